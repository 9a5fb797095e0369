"""A layout to cut by: one page a section, with sizes, arrows, the fold, remnants and the order of cutting."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from reportlab.pdfgen.canvas import Canvas
from shapely import Polygon

from layfigure.drawing.paper.pattern_pdf import finished_pdf
from layfigure.drawing.paper.pdf_pen import MM, fitted, words_width, wrapped
from layfigure.drawing.paper.sizes import PAPERS, Paper
from layfigure.drawing.plotter import PdfPlotter, Plotter, SvgPlotter
from layfigure.lay.cutting_order import CutStep, cutting_order
from layfigure.lay.layout import Laid, Layout, Section
from layfigure.lay.part import Part
from layfigure.lay.remnants import Remnant, remnants_of
from layfigure.units import LengthUnit, format_length

Points = NDArray[np.float64]

LIST_WIDTH = 66.0
"""Width of the list of cuts at the right [mm]."""

HEAD = 24.0
"""Height of the title and what stands under it [mm]."""

PART_SHADE, FLAW_SHADE, ZONE_SHADE = 0.93, 0.55, 0.82

NARROW = 6.0
"""Shorter than this on the page, a dimension has its arrows outside [mm]."""
KIND_WORDS = {
    "single": "single layer, right side up",
    "fold": "folded lengthwise, right sides together: two layers",
    "sheet": "one sheet",
    "hide": "one hide, finished side up",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutTitle:
    """What stands over the drawings of one cloth. buy : what to buy, in words; remark : how it was found.
    notes : what else the cutter must know.
    """

    cloth: str
    buy: str
    remark: str = ""
    notes: tuple[str, ...] = ()
    unit: LengthUnit = "cm"


def layouts_pdf(
    layouts: Sequence[tuple[Layout, LayoutTitle]], costume: str, *, letter: bool = False
) -> bytes:
    """All sections of all cloths as a PDF, a page each; the same input gives the same bytes."""
    paper = PAPERS["letter" if letter else "a4"].turned
    stream = io.BytesIO()
    canvas = Canvas(stream, invariant=True, pageCompression=1)
    canvas.setTitle(f"{costume}: layouts")
    canvas.setCreator("layfigure")
    for layout, title in layouts:
        steps = cutting_order(layout)
        for index in range(len(layout.sections)):
            canvas.setPageSize((paper.width * MM, paper.height * MM))
            canvas.scale(MM, MM)
            _draw(PdfPlotter(canvas), layout, index, steps, title, paper)
            canvas.showPage()
    canvas.save()
    return finished_pdf(stream)


def section_svg(layout: Layout, index: int, title: LayoutTitle) -> str:
    """One section as an SVG page."""
    paper = PAPERS["a4"].turned
    plotter = SvgPlotter(paper.width, paper.height, f"{title.cloth}: {layout.sections[index].name}")
    _draw(plotter, layout, index, cutting_order(layout), title, paper)
    return plotter.document()


def _draw(
    plotter: Plotter, layout: Layout, index: int, steps: Sequence[CutStep], title: LayoutTitle, paper: Paper
) -> None:
    section = layout.sections[index]
    left, top = paper.margin, paper.height - paper.margin
    room = paper.width - 2.0 * left
    head = f"{title.cloth}: {title.buy}"
    plotter.words(head, (left, top - 5.0), height=fitted(head, 4.2, room))
    kind = KIND_WORDS[section.kind]
    name = "" if section.name in ("single layer", "folded lengthwise") else f"{section.name}, "
    many = f"{index + 1} of {len(layout.sections)}. " if len(layout.sections) > 1 else ""
    below = f"{many}{name}{kind}. {100.0 * section.density:.0f} % of it ends in pieces."
    plotter.words(below, (left, top - 11.0), height=fitted(below, 2.3, room))
    if title.remark:
        plotter.words(title.remark, (left, top - 15.5), height=fitted(title.remark, 1.9, room))
    box = (left + 12.0, left + 12.0, paper.width - left - LIST_WIDTH - 6.0, top - HEAD)
    own = [step for step in steps if step.section == index]
    remnants = remnants_of(section)
    view = _View.fit(section, box)
    _draw_ground(plotter, section, view, title.unit)
    for remnant in remnants:
        _draw_remnant(plotter, remnant, view, title.unit)
    outlines = section.outlines()
    for step in own:
        one = section.laid[step.laid]
        _draw_part(plotter, section.by_slug[one.part], one, outlines[step.laid], step.number, view)
    at = (paper.width - left - LIST_WIDTH, top - HEAD, left)
    _draw_list(plotter, _list_rows(own, remnants, section, title), at)


@dataclass(frozen=True, slots=True)
class _View:
    """Where the ground lies on the page. scale : page mm for each mm; corner : of its lower left on the
    page.
    """

    scale: float
    corner: Points
    low: Points
    size: Points

    @classmethod
    def fit(cls, section: Section, box: tuple[float, float, float, float]) -> _View:
        if section.surface is None:
            low, size = np.zeros(2), np.array([section.length, section.width])
        else:
            low = section.surface.outline.min(axis=0)
            size = np.ptp(section.surface.outline, axis=0)
        west, south, east, north = box
        scale = min((east - west) / max(size[0], 1.0), (north - south) / max(size[1], 1.0), 0.5)
        # The drawing hangs under the title.
        corner = np.array([west, north - scale * size[1]])
        return cls(scale, corner, low, size)

    def at(self, points: Points) -> Points:
        """Points of the ground on the page."""
        placed: Points = self.corner + self.scale * (points - self.low)
        return placed


def _draw_ground(plotter: Plotter, section: Section, view: _View, unit: LengthUnit) -> None:
    (west, south), (east, north) = view.corner.tolist(), (view.corner + view.scale * view.size).tolist()
    if section.surface is None:
        plotter.line(
            np.array([[west, south], [east, south], [east, north], [west, north]]), width=0.4, closed=True
        )
    else:
        for zone in section.surface.zones:
            outline = view.at(zone.outline)
            plotter.area(outline, shade=ZONE_SHADE)
            plotter.line(outline, width=0.2, dash=(1.5, 1.0), closed=True)
            x, y = float(outline[:, 0].mean()), float(outline[:, 1].max())
            plotter.words(f"zone {zone.quality}", (x, y - 2.2), height=1.5, anchor="middle")
        plotter.line(view.at(section.surface.outline), width=0.6, closed=True)
        for flaw in section.surface.flaws:
            plotter.area(view.at(flaw), shade=FLAW_SHADE)
            plotter.line(view.at(flaw), width=0.3, closed=True)
    if section.kind == "fold":
        plotter.line(
            np.array([[west - 3.0, south], [east + 3.0, south]]), width=0.9, dash=(8.0, 2.0, 2.0, 2.0)
        )
        plotter.words("fold", (west, south - 3.4), height=2.0)
        plotter.words("selvedges", (west, north + 1.2), height=1.8)
    elif section.kind == "single":
        plotter.words("selvedge", (west, north + 1.2), height=1.8)
    _dimension(plotter, (west, south - 6.5), (east, south - 6.5), format_length(float(view.size[0]), unit))
    _dimension(plotter, (west - 6.5, south), (west - 6.5, north), format_length(float(view.size[1]), unit))


def _dimension(plotter: Plotter, start: tuple[float, float], end: tuple[float, float], words: str) -> None:
    """A line with arrows at both ends, its length written over it."""
    a, b = np.array(start), np.array(end)
    long = float(np.linalg.norm(b - a))
    way = (b - a) / max(long, 1e-9)
    side = np.array([-way[1], way[0]])
    plotter.line(np.array([a, b]), width=0.18)
    # Too short to hold two arrows, it is pointed at from outside, as drawings of machines do.
    inward = 1.0 if long > NARROW else -1.0
    for tip, back in ((a, inward * way), (b, -inward * way)):
        plotter.line(
            np.array([tip + 1.8 * back + 0.6 * side, tip, tip + 1.8 * back - 0.6 * side]), width=0.18
        )
        plotter.line(np.array([tip - 1.4 * side, tip + 1.4 * side]), width=0.18)
    middle = 0.5 * (a + b)
    upright = abs(way[1]) > 0.5
    # Words wider than the line would stand in the strokes at its ends.
    clear = 1.2 if words_width(words, 2.2) < long else 2.0
    x, y = (middle + (np.array([-clear, 0.0]) if upright else np.array([0.0, -2.0 - clear]))).tolist()
    plotter.words(words, (x, y), height=2.2, anchor="middle", angle=90.0 if upright else 0.0)


def _draw_remnant(plotter: Plotter, remnant: Remnant, view: _View, unit: LengthUnit) -> None:
    low = view.at(np.array([[remnant.x, remnant.y]]))[0]
    size = view.scale * np.array([remnant.length, remnant.width])
    corners = low + size * np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    plotter.line(corners, width=0.25, dash=(1.2, 1.2), closed=True)
    plotter.line(corners[[0, 2]], width=0.12, dash=(0.6, 2.4))
    words = f"keep {_size_words(remnant, unit)}"
    upright = size[1] > size[0]
    height = min(1.9, fitted(words, 1.9, 0.9 * float(max(size))))
    at = low + 0.5 * size
    if height >= 1.1:
        plotter.area(_label_box(at, words, height, upright), shade=1.0)
        lift = np.array([0.5 * height, 0.0]) if upright else np.array([0.0, -0.5 * height])
        x, y = (at + lift).tolist()
        plotter.words(words, (x, y), height=height, anchor="middle", angle=90.0 if upright else 0.0)


def _label_box(at: Points, words: str, height: float, upright: bool) -> Points:
    half = np.array([0.5 * words_width(words, height) + 0.6, 0.9 * height])
    half = half[::-1] if upright else half
    box: Points = at + half * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    return box


def _size_words(remnant: Remnant, unit: LengthUnit) -> str:
    size = f"{format_length(remnant.length, unit)} × {format_length(remnant.width, unit)}"
    return f"{size}, twice" if remnant.layers == 2 else size


def _draw_part(plotter: Plotter, part: Part, one: Laid, outline: Points, number: int, view: _View) -> None:
    placed = view.at(outline)
    shape = Polygon(placed)
    plotter.area(placed, shade=PART_SHADE)
    plotter.line(placed, width=0.35, closed=True)
    circle = shapely.maximum_inscribed_circle(shapely.make_valid(shape), 0.2)
    (x, y), radius = circle.coords[0], float(circle.length)
    digits = f"{number}"
    height = float(np.clip(0.55 * radius, 1.2, 3.6))
    plotter.words(digits, (x, y + 0.15 * height), height=height, anchor="middle")
    if part.turns is not None:
        _arrow(plotter, shape, one, (x, y), height, two_ways=len(part.turns) > 1)
    size = min(1.9, 0.45 * height + 0.6)
    rows = [
        (line, np.array([x, y - 0.8 * height - (row + 1) * 1.6 * size]))
        for row, line in enumerate(wrapped(part.label, size, 1.7 * radius))
    ]
    # Words that do not lie wholly on their piece are left to the list.
    boxes = [
        Polygon(_label_box(at + np.array([0.0, 0.5 * size]), line, size, upright=False)) for line, at in rows
    ]
    if size >= 1.1 and all(shape.covers(box) for box in boxes):
        for line, at in rows:
            plotter.words(line, (float(at[0]), float(at[1])), height=size, anchor="middle")


def _arrow(
    plotter: Plotter, shape: Polygon, one: Laid, at: tuple[float, float], height: float, *, two_ways: bool
) -> None:
    """The way of the grain, through the middle of a part and clear of its number; one head where only one
    way holds.
    """
    way = np.array([np.cos(np.radians(one.turn)), np.sin(np.radians(one.turn))])
    side = np.array([-way[1], way[0]])
    middle = np.array(at) - 0.45 * height * abs(float(way[0])) * np.array([0.0, 1.0])
    if abs(way[1]) > 0.5:
        middle = np.array(at) + 1.1 * height * side
    line = shapely.intersection(
        shapely.make_valid(shape), shapely.LineString([middle - 500.0 * way, middle + 500.0 * way])
    )
    runs = [run for run in shapely.get_parts(line) if run.geom_type == "LineString"]
    run = min(runs, key=lambda one: float(one.distance(shapely.Point(middle))), default=None)
    if run is None or run.length < 4.0:
        return
    ends = shapely.get_coordinates(run)
    if (ends[-1] - ends[0]) @ way < 0.0:
        ends = ends[::-1]
    half = 0.36 * (ends[-1] - ends[0])
    centre = 0.5 * (ends[0] + ends[-1])
    start, tip = centre - half, centre + half
    head = min(1.6, 0.25 * float(np.linalg.norm(tip - start)))
    plotter.line(np.array([start, tip]), width=0.2)
    plotter.line(
        np.array([tip - head * way + 0.4 * head * side, tip, tip - head * way - 0.4 * head * side]), width=0.2
    )
    if two_ways:
        plotter.line(
            np.array([start + head * way + 0.4 * head * side, start, start + head * way - 0.4 * head * side]),
            width=0.2,
        )


def _list_rows(
    steps: Sequence[CutStep], remnants: Sequence[Remnant], section: Section, title: LayoutTitle
) -> list[tuple[str, str]]:
    """Numbers and words of the list: what to cut in order, what to keep, what to know."""
    rows: list[tuple[str, str]] = [("", "Cut in this order")]
    rows += [(f"{step.number}", step.words) for step in steps]
    if remnants:
        rows += [("", ""), ("", "Worth keeping")]
        rows += [("", _size_words(remnant, title.unit)) for remnant in remnants]
    notes = list(title.notes)
    if any(part.turns is not None and len(part.turns) == 1 for part in section.parts if not part.on_fold):
        notes.insert(0, "All arrows one way: nap or print.")
    if notes:
        rows += [("", ""), *(("", note) for note in notes)]
    return rows


def _draw_list(plotter: Plotter, rows: Sequence[tuple[str, str]], at: tuple[float, float, float]) -> None:
    """The list, downward from ``at`` to the foot of the page; a long one is set smaller."""
    x, y, foot = at
    size = 2.0
    while size > 1.1 and _height(rows, size) > y - foot:
        size *= 0.95
    for number, words in rows:
        for line, part in enumerate(wrapped(words, size, LIST_WIDTH - 8.0)):
            if y - 1.9 * size < foot:
                return
            if number and line == 0:
                plotter.words(number, (x, y - size), height=size)
            plotter.words(part, (x + (8.0 if number else 0.0), y - size), height=size)
            y -= 1.75 * size


def _height(rows: Sequence[tuple[str, str]], size: float) -> float:
    return sum(1.75 * size * len(wrapped(words, size, LIST_WIDTH - 8.0)) for _, words in rows) + 2.0
