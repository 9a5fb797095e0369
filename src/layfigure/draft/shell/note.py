"""Make notes of shells, in order of work."""

from __future__ import annotations

from layfigure.draft.sheet_practice import sheet_practice
from layfigure.draft.shell.gores import Gores
from layfigure.materials.cloth import Cloth


def joining_words(cloth: Cloth) -> str:
    """How two edges of the sheet meet."""
    if cloth.kind == "foam":
        return "glue edge to edge, both edges coated, from the double notch on"
    if cloth.kind in ("woven", "knit", "mesh"):
        return "stitch with the right sides together, from the double notch on"
    lap = sheet_practice(cloth).band_lap
    return f"lap the {lap:.0f} mm and glue or stitch, from the double notch on"


def gore_note(cloth: Cloth, gores: Gores, rim: str) -> tuple[str, ...]:
    """What to do with the gores of a cap."""
    lines = [
        f"Cut {gores.count} gores from {cloth.name}. The drawing is the outside.",
        "They are numbered counter-clockwise seen from outside, gore 1 starting at the top or front.",
        f"Join each gore's right edge to the left edge of the next: {joining_words(cloth)}.",
        "Join two and two, then the halves, and close the crown last.",
    ]
    if cloth.kind == "foam":
        lines.append(
            "Warm each gore and press it hollow over something round before joining, its edges square. "
            "Left flat across, it needs the bevel written along the edge: from square, toward the inside."
        )
    elif cloth.kind == "leather":
        lines.append("Wet-form each gore over something round and let it dry before joining.")
    elif cloth.kind == "thermoplastic":
        lines.append("Warm and form each gore over something round, then lap and press the seams while warm.")
    lines.append(f"Finish the {rim} with a rolled or bound edge where it meets the body.")
    return tuple(lines)


def mass_words(mass: float) -> str:
    """What it weighs, in words. mass : [g]."""
    return (
        f"The bare sheet weighs about {_rounded(mass)} g; glue, seal and paint add to it: weigh it finished."
    )


def _rounded(mass: float) -> str:
    return f"{round(mass, -1):.0f}" if mass >= 100.0 else f"{mass:.0f}"
