"""The placement card: one page to hold while fitting, with every edge and what a tape reads there."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from reportlab.pdfgen.canvas import Canvas

from layfigure.body.form import Form
from layfigure.drawing.paper.pattern_pdf import finished_pdf
from layfigure.drawing.paper.pdf_pen import MM, fitted, stroke, wrapped, write
from layfigure.drawing.paper.sizes import PAPERS, Paper
from layfigure.drawing.silhouette import View, body_outline, facing, outlines, seen_from, seen_runs
from layfigure.place.check_words import Unit, check_lines, sureness
from layfigure.place.placement import PlacedEdge, Placement

Points = NDArray[np.float64]

VIEWS: tuple[View, ...] = ("front", "back")

FIGURES_WIDTH = 74.0
"""Width of the page's left part, with the two figures [mm]."""

BADGE = 2.4
"""Half the width of a number's badge [mm]."""


@dataclass(frozen=True, slots=True)
class _Row:
    """One line of the list. indent : from the column's left edge [mm]. size : of a capital [mm]."""

    words: str
    indent: float
    size: float
    number: int | None = None


def placement_card(
    form: Form, placement: Placement, costume: str, *, unit: Unit = "cm", paper: Paper = PAPERS["a4"]
) -> bytes:
    """The card as a PDF of one page; the same input gives the same bytes.

    Lists that are too long are set smaller, down to 1.3 mm capitals; what still does not fit is left to
    the report, and the card says so.
    """
    stream = io.BytesIO()
    canvas = Canvas(stream, invariant=True, pageCompression=1)
    canvas.setTitle(f"{costume}: placement card")
    canvas.setCreator("layfigure")
    canvas.setPageSize((paper.width * MM, paper.height * MM))
    canvas.scale(MM, MM)
    top, left = paper.height - paper.margin, paper.margin
    title = f"{costume}, on {placement.wearer}"
    write(canvas, title, (left, top - 5.0), height=fitted(title, 4.4, paper.width - 2.0 * left))
    note = "Where every edge lies, standing, tape level and close. Private: it tells sizes of the body."
    write(canvas, note, (left, top - 10.0), height=1.9)
    numbers = {slug: index for index, slug in enumerate(placement.edges, start=1)}
    half = 0.5 * (top - 14.0 - paper.margin)
    for row, view in enumerate(VIEWS):
        above = top - 14.0 - row * half
        room = (left, above - half + 3.0, left + FIGURES_WIDTH, above - 1.0)
        _figure(canvas, form, placement, numbers, view, room)
    column = (left + FIGURES_WIDTH + 5.0, paper.margin, paper.width - paper.margin, top - 16.0)
    _list(canvas, placement, numbers, unit, column)
    canvas.showPage()
    canvas.save()
    return finished_pdf(stream)


def _figure(
    canvas: Canvas,
    form: Form,
    placement: Placement,
    numbers: Mapping[str, int],
    view: View,
    room: tuple[float, float, float, float],
) -> None:
    """One view of the wearer, drawn from her own sections, with the numbered edges seen from there."""
    rings = body_outline(form, view)
    low, high = np.vstack(rings).min(axis=0), np.vstack(rings).max(axis=0)
    west, south, east, north = room
    scale = min((east - west - 16.0) / (high[0] - low[0]), (north - south - 5.0) / (high[1] - low[1]))
    middle = np.array([0.5 * (west + east), south])

    def placed(flat: Points) -> Points:
        onto: Points = middle + scale * (flat - [0.5 * (low[0] + high[0]), low[1]])
        return onto

    for ring in outlines(form.charts, view):
        stroke(canvas, placed(ring), width=0.1, closed=True, shade=0.72)
    for ring in rings:
        stroke(canvas, placed(ring), width=0.35, closed=True, shade=0.35)
    write(canvas, view, (west, north - 3.0), height=2.2)
    tags: list[tuple[int, Points]] = []
    for slug, edge in placement.edges.items():
        runs = [placed(run) for run in _seen_of(edge, form, view)]
        for run in runs:
            stroke(canvas, run, width=0.55)
        if runs and _best_view(edge, form) == view:
            tags.append((numbers[slug], np.vstack(runs)))
    _badges(canvas, tags, room)


def _seen_of(edge: PlacedEdge, form: Form, view: View) -> list[Points]:
    """The parts of an edge that are seen from one side, each (n, 2) [mm]."""
    runs: list[Points] = []
    for curve in edge.curves:
        chart = form.charts[curve.region]
        places = chart.points(curve.station, curve.around)
        runs += seen_runs(seen_from(places, view), facing(places, curve.station, chart, view))
    return runs


def _best_view(edge: PlacedEdge, form: Form) -> View:
    """The side from which more of an edge is seen."""
    seen = {view: sum(len(run) for run in _seen_of(edge, form, view)) for view in VIEWS}
    return "front" if seen["front"] >= seen["back"] else "back"


def _badges(canvas: Canvas, tags: list[tuple[int, Points]], room: tuple[float, float, float, float]) -> None:
    """Numbers down both sides of a figure, each joined to the nearest end of its edge."""
    west, south, east, north = room
    middle = 0.5 * (west + east)
    sides: dict[bool, list[tuple[float, int, Points]]] = {True: [], False: []}
    for number, line in tags:
        right = bool(line[:, 0].mean() > middle + 1.0) or (
            abs(line[:, 0].mean() - middle) <= 1.0 and len(sides[True]) < len(sides[False])
        )
        end = line[line[:, 0].argmax() if right else line[:, 0].argmin()]
        sides[right].append((float(end[1]), number, end))
    for right, entries in sides.items():
        x = east - BADGE if right else west + BADGE
        heights = _spread([height for height, _, _ in entries], 2.0 * BADGE + 0.6, south + BADGE, north - 7.0)
        for height, (_, number, end) in zip(heights, entries, strict=True):
            near = x - BADGE if right else x + BADGE
            stroke(canvas, np.array([[near, height], end]), width=0.15, shade=0.3)
            _badge(canvas, number, (x, height))


def _badge(canvas: Canvas, number: int, at: tuple[float, float]) -> None:
    canvas.setFillGray(1.0)
    canvas.setStrokeGray(0.0)
    canvas.setLineWidth(0.25)
    canvas.setDash()
    canvas.circle(*at, BADGE, stroke=1, fill=1)
    write(canvas, str(number), (at[0], at[1] - 0.9), height=1.8, anchor="middle")


def _spread(wanted: list[float], gap: float, low: float, high: float) -> list[float]:
    """Heights near those wanted, at least ``gap`` apart where there is room, in the same order of height."""
    order = np.argsort(wanted, kind="stable")
    gap = min(gap, (high - low) / max(len(wanted) - 1, 1))
    placed = np.clip(np.array(wanted, dtype=np.float64)[order], low, high)
    for index in range(1, len(placed)):
        placed[index] = max(placed[index], placed[index - 1] + gap)
    if len(placed):
        placed[-1] = min(placed[-1], high)
    for index in range(len(placed) - 2, -1, -1):
        placed[index] = min(placed[index], placed[index + 1] - gap)
    result = np.empty_like(placed)
    result[order] = placed
    return [float(height) for height in result]


def _rows(
    placement: Placement, numbers: Mapping[str, int], unit: Unit, most: int, size: float, room: float
) -> list[_Row]:
    rows: list[_Row] = []
    for slug, edge in placement.edges.items():
        title = ", ".join(part for part in (edge_title(edge), sureness(edge.checks, unit)) if part)
        rows.append(_Row(title, 7.0, 1.15 * size, numbers[slug]))
        lines = check_lines(edge.checks, unit)
        for line in lines[:most]:
            first, *others = wrapped(line, size, room - 10.0)
            rows.append(_Row(first, 7.0, size))
            rows.extend(_Row(words, 10.0, size) for words in others)
        if len(lines) > most > 1:
            rows.append(_Row(f"{len(lines) - most} more in the report", 7.0, 0.85 * size))
    return rows


def edge_title(edge: PlacedEdge) -> str:
    """Name of an edge, and whether it is carried by proportion or by anatomy."""
    name = edge.edge.slug.replace("_", " ")
    return f"{name} (same point of skin)" if edge.edge.meaning == "anatomy" else name


def _list(
    canvas: Canvas,
    placement: Placement,
    numbers: Mapping[str, int],
    unit: Unit,
    column: tuple[float, float, float, float],
) -> None:
    """Every edge with its checks, as large as the column allows."""
    west, south, east, north = column
    rows: list[_Row] = []
    for size, most in ((2.1, 99), (1.9, 99), (1.7, 99), (1.5, 99), (1.3, 99), (1.3, 2), (1.3, 1), (1.3, 0)):
        rows = _rows(placement, numbers, unit, most, size, east - west)
        heights = [row.size * (2.7 if row.number else 1.85) for row in rows]
        if sum(heights) <= north - south:
            break
    y = north
    for row, height in zip(rows, heights, strict=True):
        y -= height
        if y < south:
            write(canvas, "The rest is in the report.", (west, south - 3.0), height=1.5)
            return
        if row.number is not None:
            _badge(canvas, row.number, (west + BADGE, y + 0.5 * row.size))
        room = east - west - row.indent
        write(canvas, row.words, (west + row.indent, y), height=fitted(row.words, row.size, room))
