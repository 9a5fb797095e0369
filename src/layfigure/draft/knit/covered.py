"""Which regions a close garment covers, and in how many layers."""

from __future__ import annotations

from pydantic import BaseModel

from layfigure.draft.garment_cover import SLEEVES, garment_cover
from layfigure.draft.knit.options import KnitOptions
from layfigure.draft.stand_collar import STAND_LAYERS

COVERED = {
    "leggings": ("torso", "thigh", "shank"),
    "shorts": ("torso", "thigh"),
    "hood": ("head", "neck"),
}
"""Regions of garments that have no sleeves; the others cover the trunk, and the arms with sleeves."""


def covered_regions(options: BaseModel, _side: str) -> dict[str, float]:
    """One layer where the garment lies, two in a stand collar; elastic and hems are thin enough to pass."""
    assert isinstance(options, KnitOptions)
    if options.garment in COVERED:
        return garment_cover(COVERED[options.garment])
    covered = garment_cover(("torso", *SLEEVES) if options.has_sleeves else ("torso",))
    return covered | garment_cover(("neck",), STAND_LAYERS) if options.neckline == "stand" else covered
