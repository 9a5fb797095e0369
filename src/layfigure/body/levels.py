"""Regions of a body and the named levels that divide them. One definition for every stage.

A region is a tube: thigh, torso, forearm. Its levels are numbered 0, 1, 2, … from the one named first
below; the *station* of a point is its level number plus the fraction of the way to the next level, so
``station = 1.3`` on the torso is 30 % from bust to under-bust. *Around* is the fraction of the tape line
(the section's girth as a tape reads it: over hollows on the trunk, along the skin on limbs) from the
zero line, in [0, 1).

Zero line: torso, thigh, shank, neck, head: the front. Arm: the line from biceps to thumb. Hand: middle
of its back. Foot: the ridge from instep to toes. Positive: torso, neck and head toward the wearer's
left; paired regions outward (away from the midline), so marks on both sides of a symmetric costume
carry the same numbers.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

Side = Literal["left", "right", "middle"]


@dataclass(frozen=True, slots=True)
class RegionDefinition:
    """A kind of region, before it has a side.

    name : the trade's word. levels : names in station order. paired : exists left and right.
    spacing : ``height`` when stations between levels are equal fractions of standing height, ``bone``
    when they are equal fractions along the bone.
    """

    name: str
    levels: tuple[str, ...]
    paired: bool
    spacing: Literal["height", "bone"]


REGIONS: dict[str, RegionDefinition] = {
    definition.name: definition
    for definition in (
        RegionDefinition("head", ("crown", "brow", "chin"), False, "height"),
        RegionDefinition("neck", ("under_chin", "neck_base"), False, "bone"),
        RegionDefinition("torso", ("nape", "bust", "under_bust", "waist", "hip", "crotch"), False, "height"),
        RegionDefinition("upper_arm", ("shoulder_point", "elbow"), True, "bone"),
        RegionDefinition("forearm", ("elbow", "wrist"), True, "bone"),
        RegionDefinition("hand", ("wrist", "knuckles", "fingertip"), True, "bone"),
        RegionDefinition("thigh", ("crotch", "knee"), True, "height"),
        RegionDefinition("shank", ("knee", "ankle"), True, "height"),
        RegionDefinition("foot", ("ankle", "instep", "ball", "toe_tip"), True, "bone"),
    )
}

LEVEL_GAP = 10.0
"""Smallest distance between neighbouring levels [mm]; a tape that would reverse them is still
honoured as a girth, and reported."""


def region_name(definition: str, side: Side) -> str:
    """Full name of a region: ``thigh`` and ``left`` give ``thigh_left``; the torso has no side."""
    return definition if side == "middle" else f"{definition}_{side}"


@lru_cache(maxsize=64)
def split_region(name: str) -> tuple[RegionDefinition, Side]:
    """Definition and side of a full region name. Raises KeyError for an unknown region."""
    if name in REGIONS and not REGIONS[name].paired:
        return REGIONS[name], "middle"
    stem, _, side = name.rpartition("_")
    if side == "left" and stem in REGIONS and REGIONS[stem].paired:
        return REGIONS[stem], "left"
    if side == "right" and stem in REGIONS and REGIONS[stem].paired:
        return REGIONS[stem], "right"
    raise KeyError(name)


def all_region_names() -> tuple[str, ...]:
    """Every region of a body, head to foot, left before right."""
    names: list[str] = []
    for definition in REGIONS.values():
        sides: tuple[Side, ...] = ("left", "right") if definition.paired else ("middle",)
        names.extend(region_name(definition.name, side) for side in sides)
    return tuple(names)
