"""What colour a cloth has in pictures of the whole costume."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from layfigure.materials.cloth import Cloth, MaterialKind

Shade = tuple[float, float, float, float]

UNSAID: Mapping[MaterialKind, str] = MappingProxyType(
    {
        "knit": "#55788c",
        "mesh": "#b9a98f",
        "woven": "#8a6f9e",
        "leather": "#7a4a2b",
        "foam": "#a8893f",
        "thermoplastic": "#9aa0a6",
        "paper": "#d8d2c4",
    }
)
"""For a cloth nobody said the colour of: told apart by what it is."""
BOUGHT = "#c2a14d"
SHEER = 0.45
"""Opacity of mesh in pictures; how it really covers is measured, not drawn."""


def shade_of(cloth: Cloth | None) -> Shade:
    """Linear red, green, blue and opacity of a cloth; of something bought when None."""
    said = BOUGHT if cloth is None else cloth.colour or UNSAID[cloth.kind]
    red, green, blue = (_linear(int(said[k : k + 2], 16) / 255.0) for k in (1, 3, 5))
    return red, green, blue, SHEER if cloth is not None and cloth.kind == "mesh" else 1.0


def _linear(value: float) -> float:
    """IEC 61966-2-1 (sRGB) to linear light."""
    return value / 12.92 if value <= 0.04045 else float(((value + 0.055) / 1.055) ** 2.4)
