"""The make note of a wrap, one instruction a line, in plain words."""

from __future__ import annotations

from layfigure.draft.sheet_practice import sheet_practice
from layfigure.draft.wrap.closing import HOLE_IN
from layfigure.materials.cloth import Cloth

BEVEL_WORTH_CUTTING = 3.0


def wrap_note(
    *,
    cloth: Cloth,
    number: int,
    of: int,
    join: str,
    lap: float,
    gap: float,
    closed: bool,
    bevels: tuple[tuple[float, float, float], ...],
    advice: tuple[str, ...],
) -> tuple[str, ...]:
    """Instructions for band ``number`` (from the bottom, 1 first) of ``of``.

    lap : overlap of the closure, gap : of the lacing [mm]. bevels : as ``wrap_worn.bevels`` gives them.
    advice : what the checks found, for the first band only.
    """
    practice = sheet_practice(cloth)
    lines = [f"Cut from {cloth.name}. The drawing is the outside, right side up."]
    if cloth.thickness > 0.0:
        lines.append(
            f"Drawn for a sheet {cloth.thickness:g} mm thick: with another thickness it comes out "
            "too tight or too loose, so draft it again."
        )
    if cloth.kind == "foam":
        lines.append("Heat it until the surface turns shiny, then bend it over your knee or a bottle.")
    elif cloth.kind == "thermoplastic":
        lines.append("Warm it and lay it over padding the size of the limb, never on bare skin.")
    elif cloth.kind == "leather":
        lines.append("Arrow along the spine of the hide, so that it gives round the body.")
    lines.append("It bends one way only: do not stretch it into a dome.")
    if of > 1:
        lines.append(_between_bands(practice.band_lap))
    for place, (least, mean, greatest) in enumerate(bevels, start=1):
        touches = number in (place, place + 1)
        if touches and cloth.thickness >= 4.0 and max(abs(least), abs(greatest)) >= BEVEL_WORTH_CUTTING:
            edge = "top" if number == place else "bottom"
            face = "inside" if mean > 0.0 else "outside"
            lines.append(
                f"Bevel the {edge} edge toward the {face}: blade tilted about {abs(mean):.0f} degrees "
                f"from upright (from {least:.0f} to {greatest:.0f} round it; less than nothing is "
                "toward the other face)."
            )
    lines.extend(_closing(join, lap, gap, closed=closed))
    if number == 1:
        lines.extend(advice)
    lines.append("Mock it up in paper or card first and try it on moving: bend, reach, sit.")
    return tuple(lines)


def _between_bands(lap: float) -> str:
    if lap > 0.0:
        return (
            f"Bands overlap by {lap:g} mm: the upper band lies outside; match double notches in the middle."
        )
    return "Bands meet edge to edge: match double notches in the middle, then the single ones, and glue."


def _closing(join: str, lap: float, gap: float, *, closed: bool) -> list[str]:
    if not closed:
        return ["The plate covers part of the limb: strap it at a third and two thirds of its height."]
    if join == "butt":
        return ["Left and right ends meet edge to edge."]
    if join == "lacing":
        return [
            f"The ends stay {gap:g} mm apart: punch the holes as drawn, {HOLE_IN:g} mm in, and set eyelets.",
            "Put a tongue of soft cloth under the lacing.",
        ]
    return [
        (
            f"The right end runs {lap:g} mm under the left one; hook and loop over the whole overlap, "
            "so that the pull slides and does not peel."
        )
    ]
