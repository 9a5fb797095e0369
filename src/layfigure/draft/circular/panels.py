"""Panels of a circular piece: cut from one ring, sewn along straight lines that run to its middle."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.circular.options import CircularOptions
from layfigure.draft.circular.plan import CircularPlan
from layfigure.draft.flat_edges import straight_edge
from layfigure.draft.registry import Check
from layfigure.draft.sewn_practice import SewnPractice
from layfigure.errors import DraftError
from layfigure.geometry.polyline import arc_lengths
from layfigure.piece.piece import Grainline, InnerLine, Notch, PieceEdge

Points = NDArray[np.float64]

LARGEST_SECTOR = math.pi
"""A wider panel is clumsy to cut [rad]."""
MOST_PANELS = 48
ZIP = 200.0
"""Length of the opening below a band [mm] (common practice, no source)."""


def panel_count(plan: CircularPlan, options: CircularOptions, width: float, margin: float, where: str) -> int:
    """As many panels as asked, or as few as the width of the cloth allows [mm].

    margin : allowances on both sides. Raises DraftError where no number of panels fits.
    """
    if options.panels is not None:
        if plan.flat.sector / options.panels > 1.95 * math.pi:
            raise DraftError(
                "a panel would lap over itself on the cloth.",
                where=where,
                advice="Ask for more panels, or a smaller share of a circle.",
            )
        return options.panels
    for count in range(1, MOST_PANELS + 1):
        if plan.flat.sector / count > LARGEST_SECTOR * (1.0 + 1e-9):
            continue
        if _widest(plan, options, count) + margin <= width:
            return count
    raise DraftError(
        "no panel fits on the width of this cloth.", where=where, advice="Take wider cloth, or panels = 12."
    )


def width_check(
    plan: CircularPlan, options: CircularOptions, count: int, width: float, margin: float
) -> Check:
    """Whether the widest panel fits across the cloth, which as many panels as asked need not do."""
    wide = _widest(plan, options, count) + margin
    return Check.at_most(
        what="how wide the widest panel is on the cloth",
        unit="mm",
        value=wide,
        limit=width,
        advice="Take wider cloth or more panels, or lay it with a join.",
    )


def _widest(plan: CircularPlan, options: CircularOptions, count: int) -> float:
    return max(_width_on_cloth(plan, options, count, number) for number in range(count))


def _width_on_cloth(plan: CircularPlan, options: CircularOptions, count: int, number: int) -> float:
    """Width of a panel across its grain [mm]."""
    along = np.linspace(number / count, (number + 1) / count, 40)
    middle = grain_place(options, count, number)
    rim = plan.flat.at(along, plan.length_at(along), middle=middle)
    top = plan.flat.at(along, np.zeros(len(along)), middle=middle)
    return float(np.ptp(np.concatenate([rim, top])[:, 0]))


def grain_place(options: CircularOptions, count: int, number: int) -> float:
    """Share of the top edge at which a panel's grain runs straight down."""
    return number / count if options.grain == "edge" else (number + 0.5) / count


def panel_edges(
    plan: CircularPlan,
    options: CircularOptions,
    practice: SewnPractice,
    *,
    seam: str,
    count: int,
    number: int,
    shorter: float = 0.0,
    hem: float,
) -> tuple[PieceEdge, ...]:
    """Hem, right side, top, left side of one panel, counter-clockwise with its grain upright.

    seam : stem of the seams' names. shorter : taken off the length all round, for a lining [mm].
    hem : its allowance.
    """
    first, last = number / count, (number + 1) / count
    middle = grain_place(options, count, number)
    flat = plan.flat
    places = flat.steps(first, last, plan.deepest)
    rim = flat.at(places, plan.length_at(places) - shorter, middle=middle)
    top = flat.at(places, 0.0, middle=middle)
    whole = float(arc_lengths(top)[-1])
    top_notches = _top_notches(plan, number, count, whole)
    ends = {
        "right": (rim[-1], top[-1], number + 1),
        "left": (top[0], rim[0], number),
    }
    sides = {}
    for side, (start, end, line) in ends.items():
        free = not plan.joined and line in (0, count)
        long = float(np.linalg.norm(end - start))
        name = f"{seam}_seam_{line % count if plan.joined else line}"
        marks = () if free else _side_notches(options, line % count, long, upward=side == "right")
        sides[side] = straight_edge(
            side,
            start,
            end,
            "opening" if free else "seam",
            practice.edge * 2.0 if free else practice.seam,
            seam=None if free else name,
            against=side == "right",
            notches=marks,
        )
    sewn = plan.pleats is None and options.finish in ("band", "elastic", "collar")
    # A casing is as long as the flat edge; a band is as long as the edge drawn up.
    eased = (plan.flat.top - plan.finished) / count if sewn and options.finish != "elastic" else 0.0
    return (
        PieceEdge(slug="hem", curve=rim, role="hem", allowance=hem),
        sides["right"],
        PieceEdge(
            slug="top",
            curve=top[::-1],
            role="seam" if options.finish != "binding" else "opening",
            allowance=0.0 if options.finish == "binding" else practice.seam,
            seam=f"{seam}_top_{number + 1}" if sewn else None,
            against=True,
            notches=top_notches,
            eased=eased,
        ),
        sides["left"],
    )


def _top_notches(plan: CircularPlan, number: int, count: int, whole: float) -> tuple[Notch, ...]:
    """The middle of the panel's top edge, or where its pleats fold; distances from its right end."""
    if plan.pleats is None:
        return (Notch(name=f"top_{number + 1}_middle", distance=0.5 * whole),)
    start = plan.flat.top * number / count
    marks = []
    for k, fold in enumerate(plan.pleats.folds(), start=1):
        for what, place in (("fold", fold.fold), ("onto", fold.onto)):
            if start - 1e-6 <= place <= start + whole + 1e-6:
                marks.append(Notch(name=f"{what}_{k}", distance=whole - (place - start)))
    return tuple(sorted(marks, key=lambda mark: mark.distance))


def _side_notches(options: CircularOptions, line: int, long: float, *, upward: bool) -> tuple[Notch, ...]:
    marks = [("third", long / 3.0, 1)]
    if line == 0 and options.opening is not None and options.use == "skirt" and long > 1.5 * ZIP:
        marks.append(("zip_end", ZIP, 2))
    return tuple(
        Notch(name=f"seam_{line}_{name}", distance=long - down if upward else down, count=strokes)
        for name, down, strokes in sorted(marks, key=lambda mark: -mark[1] if upward else mark[1])
    )


def panel_grain(plan: CircularPlan, options: CircularOptions, count: int, number: int) -> Grainline:
    """Straight down the panel, inside it."""
    place = grain_place(options, count, number)
    # Beside the middle line, which is drawn too, or beside the edge.
    inside = place + min(0.12 / count, (15.0 if options.grain == "centre" else 40.0) / plan.flat.top)
    length = float(plan.length_at(np.array([inside]))[0])
    x = float(plan.flat.at(inside, 0.35 * length, middle=place)[0])
    y0, y1 = (float(plan.flat.at(inside, share * length, middle=place)[1]) for share in (0.75, 0.3))
    return Grainline(start=(x, y0), end=(x, y1), kind="grain")


def panel_lines(plan: CircularPlan, options: CircularOptions, count: int, number: int) -> list[InnerLine]:
    """Middle line, pleat folds, and where the cloth hangs on the bias."""
    first, last, middle = number / count, (number + 1) / count, grain_place(options, count, number)

    def radial(place: float, share: float) -> Points:
        length = float(plan.length_at(np.array([place]))[0]) * share
        return plan.flat.at(np.array([place, place]), np.array([0.0, length]), middle=middle)

    lines = [InnerLine(kind="centre", curve=radial(0.5 * (first + last), 1.0), label="middle of the panel")]
    lines += [
        InnerLine(kind="balance", curve=radial(place, 1.0), label="on the bias: drops most here")
        for place in bias_places(plan, options, count, number)
    ]
    if plan.pleats is not None:
        for fold in plan.pleats.folds():
            place = fold.fold / plan.flat.top
            if first < place < last:
                lines.append(InnerLine(kind="fold", curve=radial(place, 1.0), label="pleat fold"))
                onto = radial(fold.onto / plan.flat.top, 0.25)
                lines.append(InnerLine(kind="placement", curve=onto, label="fold comes to here"))
    return lines


def bias_places(plan: CircularPlan, options: CircularOptions, count: int, number: int) -> list[float]:
    """Shares of the top edge at which a panel hangs at 45 degrees to its grain."""
    if plan.flat.share <= 0.0:
        return []
    middle = grain_place(options, count, number)
    eighth = 0.125 / plan.flat.share
    places = [middle + k * eighth for k in range(-15, 16) if k % 2]
    inset = 0.02 / count
    return [place for place in places if number / count + inset < place < (number + 1) / count - inset]
