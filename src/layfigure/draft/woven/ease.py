"""How much room woven garments leave round the body.

Common practice, written down from memory and not seen in a stored source: any row may be overruled by the
piece's own options.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

Garment = Literal["bodice", "coat", "skirt", "trousers"]


@dataclass(frozen=True, slots=True, kw_only=True)
class GirthEase:
    """What a garment measures more than the body and the layers beneath it [mm].

    arm : of a sleeve, at the upper arm.
    """

    bust: float
    waist: float
    hip: float
    arm: float


USUAL_EASE: Mapping[Garment, GirthEase] = MappingProxyType(
    {
        # Ranges makers give: bodice bust 40 to 60, coat 100 to 150, skirt and trousers waist 10 to 25,
        # hip 40 to 60.
        "bodice": GirthEase(bust=50.0, waist=30.0, hip=50.0, arm=50.0),
        "coat": GirthEase(bust=120.0, waist=100.0, hip=120.0, arm=90.0),
        "skirt": GirthEase(bust=0.0, waist=20.0, hip=50.0, arm=0.0),
        "trousers": GirthEase(bust=0.0, waist=15.0, hip=60.0, arm=0.0),
    }
)
"""Ease by garment (common practice, from memory)."""
