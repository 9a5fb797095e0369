"""How to make and hang a strap, in plain words and in order."""

from __future__ import annotations

from layfigure.draft.strap.keepers import keeper_note
from layfigure.draft.strap.pieces import FOLD_BACK, StrapMake
from layfigure.draft.strap.route import StrapRun
from layfigure.materials.cloth import Cloth


def strap_note(
    run: StrapRun, make: StrapMake, cloth: Cloth, *, bent: bool, advice: tuple[str, ...]
) -> tuple[str, ...]:
    """Instructions, one a line."""
    lines = [f"Cut from {cloth.name}. The drawing is the outside."]
    if cloth.kind == "leather":
        lines.append("Cut straight straps along the spine of the hide; bevel and burnish the long edges.")
    if bent:
        lines.append(
            "It is cut with a bend: that lies where the strap is held aside, so mark which end is up."
        )
    if run.rings:
        lines.append("Both ends hang in one ring where the load hangs: fold them round it and rivet.")
    if make.fastening == "buckle":
        lines += [
            f"Fold the buckle's end back {FOLD_BACK:g} mm; no stitch and no thinning where it wraps the bar.",
            f"Punch {make.row.count} holes {make.row.spacing:g} mm apart; the middle one is today's size.",
        ]
    elif make.fastening == "hook_and_loop":
        lines.append(
            f"Hook and loop over the whole {make.lap:.0f} mm lap, so that it is pulled along, not peeled."
        )
    elif make.fastening == "snaps":
        lines.append(f"Set the snaps in the {make.lap:g} mm lap, side by side with the pull.")
    elif run.loop:
        lines.append(f"Sew the {make.lap:g} mm lap by two rows along the strap, never straight across it.")
    lines += keeper_note(make.keepers)
    if make.slots is not None:
        row = make.slots
        lines.append(
            f"Plates: rivet the first fast, the other {row.count - 1} loosely through their slots over a "
            f"washer; pushed together the row is {row.closed:g} mm high, let down {row.open:g} mm."
        )
    lines += [text for text in advice if text]
    lines += [
        "Never stitch straight across a strap that bears weight.",
        "Elastic let into a third of the length lets the wearer breathe and bend.",
        "Tape a ribbon along this way over the whole costume first; lift both arms, sit, and walk in it.",
    ]
    return tuple(lines)
