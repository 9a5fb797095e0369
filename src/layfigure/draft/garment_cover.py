"""Which regions of the body a garment covers, so that what lies over it is given room."""

from __future__ import annotations

from collections.abc import Iterable

from layfigure.body.levels import REGIONS, region_name

SLEEVES = ("upper_arm", "forearm")
PLEATED = 3.0
"""A pleat lies three cloths thick; pleats that meet edge to edge do so right round."""
FOLDS = 30.0
"""How far a pleated skirt hangs off the body below the waist beyond its thickness [mm]: the usual ease of a
hip girth makes 8 to 10, pleats that stand a little open the rest (common practice, no source)."""


def garment_cover(parts: Iterable[str], layers: float = 1.0) -> dict[str, float]:
    """Full names of regions on both sides, with how many layers of cloth lie on each.

    parts : regions without a side, such as ``torso`` and ``thigh``.
    """
    return {
        region_name(part, side): layers
        for part in parts
        for side in (("left", "right") if REGIONS[part].paired else ("middle",))
    }
