"""What a woven chooses where the costume does not say it: what was not said, and what was done."""

from __future__ import annotations

from layfigure.draft.registry import DraftRequest, DraftResult
from layfigure.draft.woven.options import Closure, WovenOptions

CLOSES: dict[Closure, str] = {
    "front_buttons": "it buttons down the front",
    "back_zip": "there is a zip at the back",
    "front_open": "its front stays open",
}
EASES = {"ease_bust": "bust", "ease_waist": "waist", "ease_hip": "hips"}


def woven_choices(request: DraftRequest, result: DraftResult) -> dict[str, str]:
    """How it closes, where its pleats are, and how much room it has."""
    options = request.options
    assert isinstance(options, WovenOptions)
    found = {}
    if request.leaves_open("closure"):
        found["how it closes"] = (
            "there is a zip under a fly"
            if options.garment == "trousers"
            else CLOSES[options.closure or "front_buttons"]
        )
    if any("Its pleats are in front" in line for piece in result.pieces for line in piece.note):
        found["where its pleats are"] = "in front: behind, the wearer would sit on them"
    ease = {"bust": options.ease.bust, "waist": options.ease.waist, "hips": options.ease.hip}
    usual = [
        f"{ease[part]:g} mm round the {part}"
        for name, part in EASES.items()
        if request.leaves_open(name) and ease[part] > 0.0
    ]
    if usual:
        found["how much room it has"] = f"{' and '.join(usual)}, as is usual for it"
    return found
