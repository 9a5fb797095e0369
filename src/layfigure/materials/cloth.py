"""A cloth or sheet, in our own units."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

MaterialKind = Literal["knit", "mesh", "woven", "leather", "foam", "thermoplastic", "paper"]


@dataclass(frozen=True, slots=True, kw_only=True, weakref_slot=True)
class Cloth:
    """A material.

    stretch_across, stretch_along : greatest comfortable stretch by the hand test, as a share of rest
    length (0.6 = 10 cm stretches to 16 cm); across is the direction of greater stretch, laid round the body.
    recovery : share of the stretch that returns. areal_mass : [g/m²]. width : of the roll [mm].
    thickness : [mm], 0 where it does not matter. tension : tension per width at 15 % stretch [N/m],
    None where untested. tested : the maker measured the stretch herself.
    colour : as it looks, ``#rrggbb``, for pictures; empty where nobody said.
    """

    slug: str
    kind: MaterialKind
    name: str
    width: float
    areal_mass: float
    thickness: float = 0.0
    stretch_across: float = 0.0
    stretch_along: float = 0.0
    recovery: float = 1.0
    tension: float | None = None
    tested: bool = False
    colour: str = ""
