"""What a wrap chooses where the costume does not say it: what was not said, and what was done."""

from __future__ import annotations

from layfigure.draft.registry import DraftRequest, DraftResult
from layfigure.draft.wrap.plan import WrapOptions

CLOSES = {
    "overlap": "its ends overlap and close with hook and loop",
    "butt": "its ends meet edge to edge and are glued",
    "lacing": "it is laced",
}
BOOT_OPENS = {
    "back": "there is a zip at the back",
    "inside": "there is a zip on the inside",
    "none": "it is pulled on",
}


def wrap_choices(request: DraftRequest, _result: DraftResult) -> dict[str, str]:
    """Where and how it closes, and how much room it has."""
    options, said = request.options, request.statement.options
    assert isinstance(options, WrapOptions)
    if options.boot is not None:
        boot = said.get("boot")
        unsaid = not (isinstance(boot, dict) and "opening" in boot)
        return {"how it opens": BOOT_OPENS[options.boot.opening]} if unsaid else {}
    found = {}
    if options.cover < 1.0:
        found["how the plate is held"] = "two straps go round the rest of the limb"
    else:
        if request.leaves_open("join"):
            found["how it closes"] = CLOSES[options.join]
        if request.leaves_open("closure"):
            found["where it opens"] = f"it opens at the {options.closure}"
    if request.leaves_open("air"):
        found["how much room it has"] = f"{options.air:g} mm over what lies beneath"
    return found
