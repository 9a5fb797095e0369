"""The make note of a belt, one instruction a line, in plain words."""

from __future__ import annotations

from collections.abc import Sequence

from layfigure.draft.belt.options import BeltOptions
from layfigure.draft.belt.piece import FOLD_BACK
from layfigure.draft.registry import Check
from layfigure.materials.cloth import Cloth


def belt_note(options: BeltOptions, cloth: Cloth, checks: Sequence[Check]) -> tuple[str, ...]:
    """How to cut and close it, and what the checks advise."""
    lines = [f"Cut from {cloth.name}. The drawing is the outside, right side up."]
    if cloth.kind == "leather":
        lines.append("Cut straps along the spine of the hide; bevel and burnish the long edges.")
    if options.shape == "slung":
        lines.append("It is curved and will not lie straight: it fits one way up only, mark the top.")
    if options.buckled:
        row = options.hole_row
        lines.extend(
            [
                f"Turn the {FOLD_BACK:g} mm at the left end back round the buckle's bar; thin only the lap.",
                "Do not stitch or thin it where it bends round the bar, and never stitch across the strap.",
                f"Punch {row.count} holes {row.spacing:g} mm apart; the middle one is your size today.",
                "Round or point the tip inside the drawn end.",
            ]
        )
    else:
        lines.append(
            f"Hook and loop over the whole {options.overlap:g} mm overlap, so that it slides, not peels."
        )
    lines.extend(check.advice for check in checks if check.advice)
    lines.append("Try it in paper over the whole costume, sitting and bending, before cutting.")
    return tuple(lines)
