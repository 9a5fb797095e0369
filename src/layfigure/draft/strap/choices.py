"""What a strap chooses where the costume does not say it: what was not said, and what was done."""

from __future__ import annotations

from layfigure.draft.registry import DraftRequest, DraftResult
from layfigure.draft.strap.options import StrapOptions

CLOSES = {
    "buckle": "it has a buckle",
    "hook_and_loop": "it has hook and loop",
    "snaps": "it has snaps",
    "sewn": "its ends are sewn together",
}


def strap_choices(request: DraftRequest, _result: DraftResult) -> dict[str, str]:
    """How and where it closes, and what hangs from it."""
    options = request.options
    assert isinstance(options, StrapOptions)
    found = {}
    if request.leaves_open("fastening"):
        found["how it closes"] = CLOSES[options.fastening]
    if request.leaves_open("fastens_at"):
        found["where it closes"] = f"its ends meet {options.fastens_at:.0%} along it"
    return found
