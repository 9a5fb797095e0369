"""What a belt chooses where the costume does not say it: what was not said, and what was done."""

from __future__ import annotations

from layfigure.draft.registry import DraftRequest, DraftResult

CLOSES = {"buckle": "it has a buckle", "hook_and_loop": "it has hook and loop"}


def belt_choices(request: DraftRequest, _result: DraftResult) -> dict[str, str]:
    """Where and how it closes, and how much room it has."""
    options = request.options.model_dump()
    found = {}
    if request.leaves_open("fastening"):
        found["how it closes"] = CLOSES[options["fastening"]]
    if request.leaves_open("opens"):
        found["where it opens"] = f"it opens at the {options['opens']}"
    if request.leaves_open("air"):
        found["how much room it has"] = f"{options['air']:g} mm over what lies beneath"
    return found
