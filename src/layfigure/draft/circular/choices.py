"""What a circular chooses where the costume does not say it: what was not said, and what was done."""

from __future__ import annotations

from layfigure.draft.circular.options import CircularOptions, TopFinish
from layfigure.draft.registry import DraftRequest, DraftResult

FINISHED: dict[TopFinish, str] = {
    "band": "it has a band",
    "elastic": "it has elastic in a casing",
    "collar": "it has a stand collar",
    "binding": "it is bound",
    "sewn": "it is sewn to what it hangs from",
}


def circular_choices(request: DraftRequest, _result: DraftResult) -> dict[str, str]:
    """Where it opens, how its top edge is finished, and how much longer that is cut than the body."""
    options = request.options
    assert isinstance(options, CircularOptions)
    found = {}
    if request.leaves_open("opens") and options.use != "ruffle":
        found["where it opens"] = (
            "nowhere, it is pulled on" if options.opening is None else f"it opens at the {options.opening}"
        )
    if request.leaves_open("top_finish"):
        found["how its top edge is finished"] = FINISHED[options.finish]
    if request.leaves_open("ease", "top_girth"):
        found["how much room it has"] = f"its top edge is {options.ease:g} mm longer than what it hangs from"
    return found
