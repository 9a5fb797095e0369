"""Drawn pieces set side by side on one flat sheet: upright, in rows, none turned."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from threading import Lock

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.errors import DraftError
from layfigure.piece.draw import Heading, draw_piece
from layfigure.piece.lettering import DESCENT, text_width
from layfigure.piece.pen import DrawnText, RecordingPen
from layfigure.piece.piece import Piece
from layfigure.recompute.graph import remembered

Points = NDArray[np.float64]
Offset = tuple[float, float]

MOST_KEPT = 512
"""Drawings kept by ``record``, as many as several costumes have: every file asks for all of one costume's in
turn, and with room for fewer each would be gone before it is asked for again. Pieces are the same when they
are the same object: they never change.
"""

_KEPT: OrderedDict[tuple[Piece, Hashable], RecordingPen] = OrderedDict()
_KEEPING = Lock()
"""Threads of one process draw side by side: one may drop what another has just found."""

GAP = 8.0
"""Least distance between the boxes of two pieces [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sheet:
    """Pieces on a sheet from (0, 0) to (width, height) [mm], each with how far it is moved."""

    width: float
    height: float
    placed: tuple[tuple[RecordingPen, Offset], ...]


def record(piece: Piece, heading: Heading) -> RecordingPen:
    """The piece's whole drawing, to be measured and played on any pen, not to be drawn on.

    The last few are kept: paper, SVG and DXF of one costume draw every piece once.
    """
    key = (piece, heading_key(heading))
    with _KEEPING:
        pen = _KEPT.get(key)
        if pen is not None:
            _KEPT.move_to_end(key)
            return pen
    pen = remembered(drawn, piece, heading)
    with _KEEPING:
        _KEPT[key] = pen
        if len(_KEPT) > MOST_KEPT:
            _KEPT.popitem(last=False)
    return pen


def drawn(piece: Piece, heading: Heading) -> RecordingPen:
    """The piece drawn now."""
    pen = RecordingPen()
    draw_piece(piece, pen, heading)
    return pen


def forget_drawings() -> None:
    """Forget what ``record`` kept, as a measurement of time must."""
    with _KEEPING:
        _KEPT.clear()


def heading_key(heading: Heading) -> Hashable:
    """Everything of a heading that shows in a drawing."""
    seams = heading.seams
    parts = (seams.marks, seams.uses, seams.labels, heading.cloths, heading.also)
    return heading.costume, heading.wearer, heading.unit, tuple(tuple(part.items()) for part in parts)


def drawn_box(drawn: RecordingPen) -> tuple[float, float, float, float]:
    """West, south, east, north of everything drawn, words included [mm]."""
    points = [line.points for line in drawn.lines]
    points += [text_corners(text) for text in drawn.texts]
    west, south = np.vstack(points).min(axis=0)
    east, north = np.vstack(points).max(axis=0)
    return float(west), float(south), float(east), float(north)


def drawn_boxes(drawings: Sequence[RecordingPen]) -> Points:
    """Boxes of several drawings, (n, 4) [mm]."""
    return np.array([drawn_box(drawn) for drawn in drawings])


@lru_cache(maxsize=4096)
def text_box(text: DrawnText) -> shapely.Polygon:
    """What a line of words covers, descenders included."""
    return shapely.Polygon(text_corners(text))


def text_corners(text: DrawnText) -> Points:
    """Corners of that box, counter-clockwise from where the words start, (4, 2) [mm]."""
    width = text_width(text.words, text.height)
    start = -0.5 * width if text.anchor == "middle" else 0.0
    low, high = -DESCENT * text.height, text.height
    flat = np.array([[start, low], [start + width, low], [start + width, high], [start, high]])
    cosine, sine = np.cos(np.radians(text.angle)), np.sin(np.radians(text.angle))
    corners: Points = flat @ np.array([[cosine, sine], [-sine, cosine]]) + np.array(text.at)
    return corners


def arrange(
    drawings: Sequence[RecordingPen],
    *,
    width: float | None = None,
    gap: float = GAP,
    boxes: Points | None = None,
) -> Sheet:
    """Set drawings in rows, tallest first, on a sheet of at most ``width`` [mm] (None: about square).

    A drawing goes on top of a lower one in an earlier row where there is room, else at the end of a row,
    else it starts a new one. A drawing wider than the sheet widens it. boxes : as ``drawn_boxes`` gives
    them, when several widths are tried. Raises DraftError when there is nothing to draw.
    """
    if not drawings:
        raise DraftError("there is no piece to draw.", advice="Draft at least one piece first.")
    if boxes is None:
        boxes = drawn_boxes(drawings)
    sizes = boxes[:, 2:] - boxes[:, :2] + gap
    if width is None:
        width = float(np.sqrt(1.3 * sizes.prod(axis=1).sum()))
    usable = max(width, float(sizes[:, 0].max()))
    rows: list[_Row] = []
    corners: dict[int, Offset] = {}
    for index in sorted(range(len(drawings)), key=lambda i: -sizes[i, 1]):
        wide, high = sizes[index].tolist()
        place = next((spot for row in rows if (spot := row.take(wide, high, usable))), None)
        if place is None:
            rows.append(_Row(bottom=sum(row.height for row in rows), height=high))
            place = rows[-1].take(wide, high, usable)
            assert place is not None
        corners[index] = place
    offsets = [np.array(corners[i]) + 0.5 * gap - boxes[i, :2] for i in range(len(drawings))]
    return Sheet(
        # Plain numbers: numpy's own are written as its print options say, which any library may change.
        width=max(float(corners[i][0] + sizes[i, 0]) for i in corners),
        height=float(sum(row.height for row in rows)),
        placed=tuple((d, (float(x), float(y))) for d, (x, y) in zip(drawings, offsets, strict=True)),
    )


@dataclass(slots=True)
class _Row:
    """A row of stacks. stacks : left edge, width and height used so far of each."""

    bottom: float
    height: float
    stacks: list[tuple[float, float, float]] = field(default_factory=list)

    def take(self, wide: float, high: float, usable: float) -> Offset | None:
        """Lower left corner for a box of that size; None where the row has no room."""
        for index, (left, width, used) in enumerate(self.stacks):
            if wide <= width + 1e-9 and used + high <= self.height + 1e-9:
                self.stacks[index] = (left, width, used + high)
                return left, self.bottom + used
        left = sum(width for _, width, _ in self.stacks)
        if left + wide > usable + 1e-9 or high > self.height + 1e-9:
            return None
        self.stacks.append((left, wide, high))
        return left, self.bottom
