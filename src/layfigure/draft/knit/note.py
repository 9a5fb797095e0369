"""What to do with the pieces of a close garment, in plain words."""

from __future__ import annotations

from layfigure.draft.knit.closure import Closure
from layfigure.draft.knit.elastic import Elastic
from layfigure.draft.knit.garment import KnitGarment
from layfigure.draft.knit.openings import opening_words
from layfigure.draft.knit.options import KnitOptions
from layfigure.draft.knit.panel_cloths import PanelCloth
from layfigure.draft.knit.parts import joining_parts
from layfigure.draft.window.across_seams import WindowPart
from layfigure.piece.piece import Window
from layfigure.units import format_length, format_share

CAUTIONS = (
    "Try it on seated and squatting before the event; numb or marked skin means it is too tight.",
    "Elastic and rubberised knits can hold latex: ask the wearer about allergies.",
)


def make_note(
    garment: KnitGarment,
    options: KnitOptions,
    made_of: PanelCloth,
    elastics: tuple[Elastic, ...],
    closure: Closure | None,
    windows: tuple[Window, ...],
    parts: tuple[WindowPart, ...],
) -> tuple[str, ...]:
    """Instructions of one panel: how to cut it, in which order the garment is joined."""
    cloth, reduction = made_of.cloth, made_of.reduction
    arrow = (
        f"Lay the arrow along the cloth's greater stretch, {format_share(cloth.stretch_across)}, which runs "
        f"round the body; the other way it stretches {format_share(cloth.stretch_along)}. If your cloth "
        "stretches more along its length than across, turn the piece on it. The piece is "
        f"{format_share(reduction.around)} smaller than the body round it and "
        f"{format_share(reduction.along)} along it; nothing more is to be taken off."
    )
    lines = [
        arrow,
        f"Seam allowance {options.seam_allowance}, as wide as an overlocked seam.",
        *joining_parts(garment.pattern.plan),
        *garment.note,
    ]
    lines += [
        f"{opening_words(elastic.opening.slug).capitalize()}: cut elastic {format_length(elastic.cut)} long, "
        f"{elastic.how}; overlap its ends 12 mm."
        for elastic in elastics
    ]
    if closure is not None:
        lines.append(closure.words())
    raw = [
        opening_words(opening.slug)
        for opening in garment.openings
        if options.finish_of(opening.kind) == "raw"
    ]
    if raw:
        lines.append(
            f"Left raw, as a knit does not fray: {', '.join(raw)}. Pull a cut strip first: if it ladders or "
            "curls up, turn the edge instead."
        )
    lines += [f"Window {_said(window.slug)}: {_window_words(window, options)}" for window in windows]
    lines += [f"Window {_said(part.slug)}: {_across_words(options)}" for part in parts]
    return tuple(lines)


def _said(slug: str) -> str:
    return slug.replace("_", " ")


def _across_words(options: KnitOptions) -> str:
    if options.backing_as == "inset":
        return (
            "runs across a seam. Sew that seam first, notch to notch; then cut the window open "
            f"{options.seam_allowance} inside its line and set in what fills it, line on line."
        )
    return (
        "runs across a seam. Sew that seam in front and in the backing first, notch to notch; lay the "
        "backing behind, sew round the line, then cut the window through both."
    )


def _window_words(window: Window, options: KnitOptions) -> str:
    """How a window is made."""
    if window.backing is None and options.window_edge == "folded":
        return (
            "cut the inner line, slit to each corner, clip where the edge curves in; fold back on the fold "
            "line and topstitch with a narrow zigzag. It opens to its shape when worn."
        )
    if window.backing is None:
        return (
            "cut as drawn, it opens to its shape when worn. Stay the edge with clear elastic at its cut "
            "length, or leave it raw where the knit does not ladder."
        )
    if options.backing_as == "inset":
        return (
            "cut the inner line, slit into its corners; sew what is set in to the stitch line, marks meeting."
        )
    return (
        "sew the backing behind the panel along the window's edge while both lie flat, then cut the window "
        "open and trim the backing to its trim line."
    )
