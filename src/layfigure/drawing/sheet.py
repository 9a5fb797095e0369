"""Drawn pieces set side by side on one flat sheet: upright, in rows, none turned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.errors import DraftError
from layfigure.piece.draw import Heading, draw_piece
from layfigure.piece.lettering import DESCENT, text_width
from layfigure.piece.pen import DrawnText, RecordingPen
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]
Offset = tuple[float, float]

GAP = 8.0
"""Least distance between the boxes of two pieces [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sheet:
    """Pieces on a sheet from (0, 0) to (width, height) [mm], each with how far it is moved."""

    width: float
    height: float
    placed: tuple[tuple[RecordingPen, Offset], ...]


def record(piece: Piece, heading: Heading) -> RecordingPen:
    """The piece's whole drawing, to be measured and played on any pen."""
    pen = RecordingPen()
    draw_piece(piece, pen, heading)
    return pen


def drawn_box(drawn: RecordingPen) -> tuple[float, float, float, float]:
    """West, south, east, north of everything drawn, words included [mm]."""
    points = [line.points for line in drawn.lines]
    points += [np.asarray(shapely.get_coordinates(text_box(text))) for text in drawn.texts]
    west, south = np.vstack(points).min(axis=0)
    east, north = np.vstack(points).max(axis=0)
    return float(west), float(south), float(east), float(north)


def text_box(text: DrawnText) -> shapely.Polygon:
    """What a line of words covers, descenders included."""
    width = text_width(text.words, text.height)
    start = -0.5 * width if text.anchor == "middle" else 0.0
    flat = shapely.box(start, -DESCENT * text.height, start + width, text.height)
    turned = shapely.affinity.rotate(flat, text.angle, origin=(0.0, 0.0))
    return shapely.affinity.translate(turned, *text.at)


def arrange(drawings: Sequence[RecordingPen], *, width: float | None = None, gap: float = GAP) -> Sheet:
    """Set drawings in rows, tallest first, on a sheet of at most ``width`` [mm] (None: about square).

    A drawing wider than the sheet widens it. Raises DraftError when there is nothing to draw.
    """
    if not drawings:
        raise DraftError("there is no piece to draw.", advice="Draft at least one piece first.")
    boxes = np.array([drawn_box(drawn) for drawn in drawings])
    sizes = boxes[:, 2:] - boxes[:, :2] + gap
    if width is None:
        width = float(np.sqrt(1.3 * sizes.prod(axis=1).sum()))
    usable = max(width, float(sizes[:, 0].max()))
    offsets: dict[int, Offset] = {}
    x = y = row = reach = 0.0
    for index in sorted(range(len(drawings)), key=lambda i: -sizes[i, 1]):
        wide, high = sizes[index]
        if x > 0.0 and x + wide > usable + 1e-9:
            x, y, row = 0.0, y + row, 0.0
        corner = np.array([x, y]) + 0.5 * gap - boxes[index, :2]
        offsets[index] = (float(corner[0]), float(corner[1]))
        x, row = x + wide, max(row, high)
        reach = max(reach, x)
    return Sheet(
        width=reach,
        height=y + row,
        placed=tuple((drawn, offsets[i]) for i, drawn in enumerate(drawings)),
    )
