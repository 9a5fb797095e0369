"""What a pouch chooses where the costume does not say it: what was not said, and what was done."""

from __future__ import annotations

from layfigure.draft.pouch.options import Closure, PouchOptions
from layfigure.draft.registry import DraftRequest, DraftResult

CLOSES: dict[Closure, str] = {
    "snap": "it has a snap",
    "hook_and_loop": "it has hook and loop",
    "buckle": "it has a buckle",
    "tie": "it is tied",
    "none": "it stays open",
}


def pouch_choices(request: DraftRequest, _result: DraftResult) -> dict[str, str]:
    """How it closes, and how much room its contents have."""
    options = request.options
    assert isinstance(options, PouchOptions)
    found = {}
    if request.leaves_open("closure"):
        found["how it closes"] = CLOSES[options.closing]
    if request.leaves_open("clearance"):
        found["how much room its contents have"] = f"{options.clearance:g} mm in every direction"
    return found
