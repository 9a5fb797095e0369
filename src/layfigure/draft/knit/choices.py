"""What a knit chooses where the costume does not say it: what was not said, and what was done."""

from __future__ import annotations

from layfigure.draft.knit.options import KnitOptions
from layfigure.draft.registry import DraftRequest, DraftResult
from layfigure.materials.stretch import choose_reduction


def knit_choices(request: DraftRequest, _result: DraftResult) -> dict[str, str]:
    """How it is put on, and how close it fits."""
    options = request.options
    assert isinstance(options, KnitOptions)
    found = {}
    if request.leaves_open("closure") and options.garment != "hood":
        found["how it opens"] = "it has no closure and is pulled on"
    if request.leaves_open("reduction_round"):
        less = choose_reduction(request.cloth).around
        found["how close it fits"] = f"it is cut {less:.0%} smaller than the body, as its cloth bears"
    return found
