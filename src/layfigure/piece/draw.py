"""Drawing a piece: every line and every word that goes on the cloth, on whatever pen it is given."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from layfigure.geometry.polyline import length, points_at
from layfigure.piece.ink import Ink
from layfigure.piece.label_room import LabelRoom, Line, Spot, baseline_step
from layfigure.piece.lettering import text_width
from layfigure.piece.notch import NotchMark, notch_marks
from layfigure.piece.pen import Pen
from layfigure.piece.piece import Piece, PieceEdge, Window
from layfigure.piece.seam_allowance import SPIKE_LIMIT, cut_line
from layfigure.piece.seam_book import SeamBook
from layfigure.piece.thin import thinned, thinned_edge
from layfigure.told_lengths import told_in
from layfigure.units import LengthUnit, format_length

Points = NDArray[np.float64]

INNER_INK: dict[str, Ink] = {
    "balance": "balance",
    "centre": "centre",
    "fold": "fold",
    "trim": "trim",
    "placement": "placement",
    "slit": "slit",
    "stitch": "stitch",
}
GRAIN_WORDS = {"grain": "grain", "stretch": "greatest stretch", "any": "any direction"}
SIDE_WORDS = {"left": "left", "right": "right", "middle": "", "both": "left and right, cut mirrored"}
VERDICT_WORDS = {
    "paper": "trust: mock it up in paper first",
    "scrap": "trust: cut cheap cloth first",
    "good material": "trust: cut the good material",
}

WORDS_BESIDE = 25.0
"""What a window is called may reach so far to either side of its middle [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, weakref_slot=True)
class Heading:
    """What is the same on all pieces of a costume: its name, the wearer's own name, and all its seams.

    cloths : cloth slug to the name printed on the piece.
    also : piece slug to lines that say what else is cut from its print. unit : in which lengths are written.
    """

    costume: str
    wearer: str = ""
    seams: SeamBook = field(default_factory=lambda: SeamBook.of(()))
    cloths: dict[str, str] = field(default_factory=dict)
    also: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    unit: LengthUnit = "cm"


def draw_piece(piece: Piece, pen: Pen, heading: Heading, *, joins: Sequence[Points] = ()) -> None:
    """Draw a piece with all its lines, notches and words.

    Words stay clear of lines and of each other; what does not fit on a small piece stands beside it,
    joined by a thin line. joins : lines where sheets of paper are joined, each (2, 2) [mm]; words stay clear
    of them where there is room.
    """
    cut = cut_line(piece.edges)
    room = LabelRoom(_writing_area(piece), joins=shapely.MultiLineString([line.tolist() for line in joins]))
    pen.begin_piece(piece)
    _draw_lines(piece, cut, pen, room, heading)
    marks = [mark for edge in piece.edges for mark in notch_marks(edge, cut)]
    for mark in marks:
        _draw_notch(mark, pen, room, heading)
    shaft = _draw_grainline(piece, pen, room)
    _write_label(piece, cut, pen, room, heading)
    _write_along(shaft, [GRAIN_WORDS[piece.grainline.kind]], pen, room, heights=(2.4, 2.0))
    for mark in marks:
        _write_notch(mark, pen, room, heading)
    for edge in piece.edges:
        _write_edge(piece, edge, pen, room, heading)
    for line in piece.lines:
        if line.label:
            curve = np.vstack([line.curve, line.curve[:1]]) if line.closed else line.curve
            _write_along(curve, [line.label], pen, room)
    for window in piece.windows:
        _write_window(window, pen, room)
    pen.end_piece()


def edge_facts(piece: Piece, edge: PieceEdge, heading: Heading) -> dict[str, str]:
    """What an edge is, for media that carry it: enough for a stranger to walk the seams."""
    facts = {"edge": edge.slug, "role": edge.role, "allowance": f"{edge.allowance:g}"}
    if edge.seam is not None:
        facts["seam"] = edge.seam
        facts["mark"] = heading.seams.mark(edge)
        facts["runs"] = "against" if edge.against else "along"
        if piece.side == "both" and piece.count > 1:
            facts["cut"] = "mirrored pair"
    if edge.eased:
        facts["eased"] = f"{edge.eased:.4f}"
    return facts


def _writing_area(piece: Piece) -> shapely.Geometry:
    area = Polygon(piece.stitch_line)
    holes = [Polygon(window.curve) for window in piece.windows]
    return shapely.difference(area, shapely.union_all(holes)) if holes else area


def _draw_lines(piece: Piece, cut: Points, pen: Pen, room: LabelRoom, heading: Heading) -> None:
    cut = thinned(cut, closed=True)
    drawn: list[tuple[Ink, Points, bool, dict[str, str]]] = [("boundary", cut, True, {})]
    drawn += [("cut", line, closed, {}) for line, closed in _lines_to_cut(piece, cut)]
    for edge in piece.edges:
        ink: Ink = "fold" if edge.role == "fold" else "stitch"
        drawn.append((ink, thinned_edge(edge), False, edge_facts(piece, edge, heading)))
    for window in piece.windows:
        facts = {"window": window.slug} | ({"backing": window.backing} if window.backing else {})
        drawn.append(("window", thinned(window.curve, closed=True), True, facts))
    for line in piece.lines:
        facts = {"line": line.kind} | ({"label": line.label} if line.label else {})
        curve = thinned(line.curve, closed=line.closed)
        drawn.append((INNER_INK[line.kind], curve, line.closed, facts))
    for ink, points, closed, facts in drawn:
        pen.line(ink, points, closed=closed, facts=facts)
        if ink != "boundary":
            room.occupy(points, closed=closed)


def _lines_to_cut(piece: Piece, cut: Points) -> list[tuple[Points, bool]]:
    """The boundary without its folds, as lines that are closed or not: nobody cuts along a fold."""
    folds = [edge.curve for edge in piece.edges if edge.role == "fold"]
    if not folds:
        return [(cut, True)]
    # A fold reaches on through the allowances beside it, on its own line.
    reach = max(edge.allowance for edge in piece.edges) * SPIKE_LIMIT + 1.0
    covers = [shapely.LineString(_prolonged(fold, reach)).buffer(0.05, cap_style="flat") for fold in folds]
    rest = shapely.line_merge(shapely.difference(shapely.LinearRing(cut), shapely.union_all(covers)))
    return [(np.asarray(shapely.get_coordinates(part)), False) for part in shapely.get_parts(rest)]


def _prolonged(curve: Points, reach: float) -> Points:
    """A curve run on straight at both ends [mm]."""
    before, after = curve[0] - curve[1], curve[-1] - curve[-2]
    before, after = before / np.linalg.norm(before), after / np.linalg.norm(after)
    return np.vstack([curve[0] + reach * before, curve, curve[-1] + reach * after])


def _draw_notch(mark: NotchMark, pen: Pen, room: LabelRoom, heading: Heading) -> None:
    facts = {
        "notch": mark.notch.name,
        "edge": mark.edge.slug,
        "at": f"{mark.at[0]:.4f} {mark.at[1]:.4f}",
    }
    if mark.edge.seam is not None:
        facts["seam"] = mark.edge.seam
        facts["mark"] = heading.seams.mark(mark.edge)
    for index, stroke in enumerate(mark.strokes):
        own = {"stroke": str(index + 1), "short": f"{mark.short[index]:.4f}"}
        pen.line("notch", stroke, facts=facts | own)
        room.occupy(stroke)


def _draw_grainline(piece: Piece, pen: Pen, room: LabelRoom) -> Points:
    """Draw the arrow, double-headed for stretch; returns its shaft."""
    start, end = np.array(piece.grainline.start), np.array(piece.grainline.end)
    along = (end - start) / max(float(np.linalg.norm(end - start)), 1e-9)
    across = np.array([-along[1], along[0]])
    facts = {"grain": piece.grainline.kind}
    heads = [end] if piece.grainline.kind == "grain" else [end, start]
    strokes = [np.array([start, end])]
    for tip in heads:
        back = -along if tip is end else along
        strokes.append(np.array([tip + 4.5 * back + 1.5 * across, tip, tip + 4.5 * back - 1.5 * across]))
    for index, stroke in enumerate(strokes):
        pen.line("grain", stroke, facts=facts if index == 0 else {"grain": "arrow"})
        room.occupy(stroke)
    return strokes[0]


def label_lines(piece: Piece, heading: Heading, size: float) -> list[Line]:
    """The label block: what to know before cutting, largest first. size : height of the title [mm]."""
    small = 0.55 * size
    names = [heading.costume, f"edition {piece.edition}", heading.wearer]
    cloth = heading.cloths.get(piece.cloth, piece.cloth.replace("_", " "))
    how = [SIDE_WORDS[piece.side], f"cut {piece.count} of {cloth}", f"layer {piece.layer}"]
    allowances = sorted({edge.allowance for edge in piece.edges})
    widths = [told_in(heading.unit, f"{width:g} mm") for width in allowances]
    body = [
        " · ".join(name for name in names if name),
        " · ".join(part for part in how if part),
        *heading.also.get(piece.slug, ()),
        f"allowances drawn: {', '.join(_but_last(widths))}",
        VERDICT_WORDS[piece.verdict.level],
        *(f"check: {total.what} {_check_length(total.length, heading.unit)}" for total in piece.totals),
    ]
    return [Line(words=piece.label, height=size), *(Line(words=words, height=small) for words in body)]


def _but_last(lengths: Sequence[str]) -> list[str]:
    """Lengths of one unit in a row, which the last names."""
    return [*(one.rpartition(" ")[0] for one in lengths[:-1]), lengths[-1]]


def _check_length(size: float, unit: LengthUnit) -> str:
    return f"{size / 10.0:.1f} cm" if unit == "cm" else format_length(size, unit)


def _write_label(piece: Piece, cut: Points, pen: Pen, room: LabelRoom, heading: Heading) -> None:
    polygon = Polygon(piece.stitch_line)
    middle = shapely.get_coordinates(polygon.centroid)[0]
    sizes = (7.0, 5.6, 4.6, 3.8)
    spot = lines = None
    # Whole on one sheet is worth smaller letters.
    ways = (False,) if room.joins.is_empty else (True, False)
    for whole, size in product(ways, sizes):
        lines = label_lines(piece, heading, size)
        spot = room.for_block(lines, middle, whole=whole)
        if spot is not None:
            break
    if spot is None:
        # A small piece keeps its name; the rest stands beside it.
        lines = label_lines(piece, heading, 4.6)
        spot = room.outside_block(lines, Polygon(cut))
        leader = _leader(spot.box, polygon)
        pen.line("leader", leader)
        room.occupy(leader)
    assert lines is not None
    _write_block(lines, spot, pen, room)


def _leader(words: Polygon, piece: Polygon) -> Points:
    """A line from words to the nearest part of a piece, reaching a little into it, (2, 2) [mm]."""
    start, end = shapely.get_coordinates(shapely.shortest_line(words, piece))
    inward = shapely.get_coordinates(piece.representative_point())[0] - end
    end = end + inward * min(1.0, 4.0 / max(float(np.linalg.norm(inward)), 1e-9))
    return np.array([start + (end - start) / np.linalg.norm(end - start), end])


def _write_block(lines: Sequence[Line], spot: Spot, pen: Pen, room: LabelRoom) -> None:
    radians = np.radians(spot.angle)
    down = np.array([np.sin(radians), -np.cos(radians)])
    at = np.array(spot.at)
    for index, line in enumerate(lines):
        if index:
            at = at + down * baseline_step(lines[index - 1], line)
        pen.text(line.words, (float(at[0]), float(at[1])), height=line.height, angle=spot.angle)
    room.occupy_with_words(spot.box)


def _write_edge(piece: Piece, edge: PieceEdge, pen: Pen, room: LabelRoom, heading: Heading) -> None:
    mark, meets = heading.seams.mark(edge), heading.seams.meets(piece, edge)
    name = edge.slug.replace("_", " ")
    if mark:
        choices = [f"{mark} {name}, {meets}" if meets else f"{mark} {name}", f"{mark} {meets}".strip(), mark]
    elif edge.role == "fold":
        choices = [f"{name}: place on the fold", "on the fold"]
    elif all(other.seam is None and _numbered(other) for other in piece.edges):
        # Of a facing or a disk glued behind there is nothing to tell apart.
        return
    else:
        choices = [name] if edge.role in name else [f"{name} ({edge.role})", name]
    _write_along(edge.curve, choices, pen, room, must=bool(mark))


def _numbered(edge: PieceEdge) -> bool:
    return edge.slug.removeprefix("edge_").isdecimal()


def _write_along(
    curve: Points,
    choices: Sequence[str],
    pen: Pen,
    room: LabelRoom,
    *,
    heights: Sequence[float] = (2.8, 2.3, 1.9),
    sides: Sequence[float] = (1.0, -1.0),
    must: bool = False,
) -> bool:
    """Write the first of some wordings that fits along a line, on the piece if possible. Returns whether one
    did.
    """
    offsets = (1.2, 2.5, 4.5, 7.0, 10.0)
    for words in choices:
        for height in heights:
            for side in sides:
                line = Line(words=words, height=height)
                spot = room.along(curve, line, side=side, offsets=offsets)
                if spot is not None:
                    _write_block([line], spot, pen, room)
                    return True
    if must:
        _write_outside(curve, choices[-1], pen, room)
    return False


def _write_window(window: Window, pen: Pen, room: LabelRoom) -> None:
    """What a window is called, and what lies behind it where there is room to say so.

    Words are straight, and a small window bends away from under them: they stand beside its box then.
    """
    name = window.slug.replace("_", " ")
    behind = [f"{name}, backing {window.backing.replace('_', ' ')}"] if window.backing else []
    outline = np.vstack([window.curve, window.curve[:1]])
    if _write_along(outline, [*behind, name], pen, room, sides=(-1.0, 1.0)):
        return
    west, south, east, north = shapely.LineString(outline).bounds
    x, y, reach = 0.5 * (west + east), 0.5 * (south + north), WORDS_BESIDE
    for start, end, side in (
        ((x - reach, north), (x + reach, north), 1.0),
        ((x - reach, south), (x + reach, south), -1.0),
        ((west, y - reach), (west, y + reach), 1.0),
        ((east, y - reach), (east, y + reach), -1.0),
    ):
        if _write_along(np.array([start, end]), [name], pen, room, sides=(side,)):
            return


def _write_outside(curve: Points, words: str, pen: Pen, room: LabelRoom) -> None:
    """A seam's mark beside the piece, with a thin line to the middle of its edge."""
    line = Line(words=words, height=2.8)
    middle = points_at(curve, [0.5 * length(curve)])[0]
    for offset in (14.0, 18.0, 24.0, 32.0, 44.0, 60.0, 80.0):
        spot = room.along(curve, line, side=-1.0, offsets=(offset,), inside=False)
        if spot is None:
            continue
        near = shapely.get_coordinates(shapely.shortest_line(spot.box, shapely.Point(middle)))
        leader = np.array([near[0] + 0.15 * (near[1] - near[0]), near[1]])
        if room.clear_of_words(shapely.LineString(leader)):
            pen.line("leader", leader)
            room.occupy(leader)
            _write_block([line], spot, pen, room)
            return


def _write_notch(mark: NotchMark, pen: Pen, room: LabelRoom, heading: Heading) -> None:
    """The notch's short mark by its foot, to one side where a line ends at the notch."""
    outward = mark.strokes[0, 1] - mark.strokes[0, 0]
    outward = outward / max(float(np.linalg.norm(outward)), 1e-9)
    if mark.edge.allowance <= 0.0:
        outward = -outward
    along = np.array([-outward[1], outward[0]])
    words = heading.seams.notch_mark(mark.edge, mark.notch)
    for height in (2.0, 1.6):
        reach = text_width(words, height) + 5.0
        here = np.array([mark.at - reach * along, mark.at + reach * along])
        line = Line(words=words, height=height)
        spot = room.along(here, line, side=1.0, offsets=(1.2, 2.0, 3.5, 5.0))
        if spot is not None:
            _write_block([line], spot, pen, room)
            return
