"""Which regions of the body a shell covers, where no placed edge tells."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from pydantic import BaseModel

from layfigure.body.levels import REGIONS, Side, region_name
from layfigure.draft.shell.options import ShellOptions

BENEATH: Mapping[str, tuple[str, ...]] = {
    "knee": ("thigh", "shank"),
    "elbow": ("upper_arm", "forearm"),
    "shoulder": ("upper_arm", "torso"),
    "bust": ("torso",),
}


def covered_regions(options: BaseModel, side: Side | Literal["both"]) -> Mapping[str, float]:
    """Full region names, one layer each."""
    assert isinstance(options, ShellOptions)
    if options.shape in ("helm", "horn") or options.on is not None:
        return {"head": 1.0}
    over = options.over or ("bust" if options.shape == "cup" else None)
    if over is None:
        return {}
    sides: tuple[Side, ...] = ("left", "right") if side == "both" else (side,)
    return {
        region_name(stem, each if REGIONS[stem].paired else "middle"): 1.0
        for stem in BENEATH[over]
        for each in sides
    }
