"""What a hanging chooses where the costume does not say it: what was not said, and what was done."""

from __future__ import annotations

from layfigure.draft.hanging.options import Carried, HangingOptions
from layfigure.draft.registry import DraftRequest, DraftResult

HELD: dict[Carried, str] = {
    "loops": "it hangs from loops",
    "channel": "it has a channel for a rod",
    "hook_and_loop": "it hangs by hook and loop",
    "sewn": "it is sewn to what it hangs from",
}


def hanging_choices(request: DraftRequest, _result: DraftResult) -> dict[str, str]:
    """How it is held, and the shape of its hem."""
    options = request.options
    assert isinstance(options, HangingOptions)
    found = {}
    if options.form == "sash":
        found["how it is held"] = "it is tied round the body"
    elif request.leaves_open("carried"):
        found["how it is held"] = HELD[options.carrying]
    if request.leaves_open("hem"):
        found["how its hem is shaped"] = {"straight": "it is straight", "point": "it ends in a point"}.get(
            options.hem_shape, options.hem_shape
        )
    return found
