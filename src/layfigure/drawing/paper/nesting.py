"""Fitting pieces into each other's hollows on the joined sheet, so that fewer pages are printed.

Pieces keep their direction. Each is laid in turn, the largest first, where it calls for the fewest new pages,
then as high and as far left as it goes. Shapes are compared on a grid of 10 mm, a little enlarged, so
nothing ever overlaps. Cloth is laid elsewhere, with the care it deserves; this only saves paper.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.drawing.paper.sizes import Paper
from layfigure.drawing.sheet import GAP, Offset, Sheet, drawn_box, text_box
from layfigure.piece.pen import RecordingPen

Points = NDArray[np.float64]
Mask = NDArray[np.bool_]

CELL = 10.0
"""Step of the grid [mm]."""

WIDTHS = 4
"""Widths of sheet that are tried, each a page wider than the one before."""

FIRST_CELLS = 16
"""Cells of a piece that are compared at every place before any place is looked at closely."""

FEW_CELLS = 64
"""Cells compared first where a place is looked at."""

PLACES = 64
"""Places looked at together."""


def tile_count(extent: float, page: float, overlap: float) -> int:
    """Pages in a row over ``extent``: ceil((W - o) / (w - o)), at least 1."""
    return max(1, ceil(round((extent - overlap) / (page - overlap), 9)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shape:
    """A drawing on the grid. mask : (rows, columns) of cells it takes, row 0 on top.
    west, north : of its box with half a gap round it, where it was drawn [mm].
    """

    drawn: RecordingPen
    mask: Mask
    west: float
    north: float


def shape_of(drawn: RecordingPen) -> Shape:
    """A drawing with its words as cells, half a gap round it."""
    west, south, east, north = drawn_box(drawn)
    west, south, east, north = west - GAP / 2, south - GAP / 2, east + GAP / 2, north + GAP / 2
    outline = [shapely.Polygon(line.points) for line in drawn.lines if line.ink == "boundary"]
    leaders = [shapely.LineString(line.points) for line in drawn.lines if line.ink == "leader"]
    words = [text_box(text) for text in drawn.texts]
    area = shapely.simplify(shapely.union_all([*outline, *leaders, *words]), 1.0)
    # Half a cell's diagonal: a cell whose middle is outside has no part of the piece in it.
    area = area.buffer(GAP / 2 + 1.0 + CELL * np.sqrt(0.5), quad_segs=2)
    x = west + CELL * (np.arange(ceil((east - west) / CELL)) + 0.5)
    y = north - CELL * (np.arange(ceil((north - south) / CELL)) + 0.5)
    gx, gy = np.meshgrid(x, y)
    shapely.prepare(area)
    return Shape(drawn=drawn, mask=shapely.contains_xy(area, gx, gy), west=west, north=north)


def nested_sheets(drawings: Sequence[RecordingPen], paper: Paper) -> list[Sheet]:
    """Sheets of several widths, pieces laid in two orders on each: by half perimeter, and by area."""
    shapes = [shape_of(drawn) for drawn in drawings]
    size = np.array([shape.mask.shape for shape in shapes])
    orders = [np.argsort(-measure, kind="stable") for measure in (size.sum(axis=1), size.prod(axis=1))]
    page_width, _ = paper.printable
    least = tile_count(CELL * float(size[:, 1].max() + 1), page_width, paper.overlap)
    return [
        nest(shapes, paper, columns, order.tolist())
        for columns in range(least, least + WIDTHS)
        for order in orders
    ]


def nest(shapes: Sequence[Shape], paper: Paper, columns: int, order: Sequence[int]) -> Sheet:
    """Shapes on a sheet so many pages wide, laid in an order. None of them may be wider than the sheet."""
    page_width, page_height = paper.printable
    across, down = page_width - paper.overlap, page_height - paper.overlap
    wide = int((columns * across + paper.overlap) / CELL)
    taken = np.zeros((sum(shape.mask.shape[0] for shape in shapes), wide), dtype=np.bool_)
    # Page of every cell edge: an overlap belongs to the page before.
    page_of_column = np.maximum(0, np.ceil((CELL * np.arange(wide + 1) - paper.overlap) / across) - 1)
    page_of_row = np.maximum(0, np.ceil((CELL * np.arange(len(taken) + 1) - paper.overlap) / down) - 1)
    column_page, row_page = page_of_column.astype(np.int64), page_of_row.astype(np.int64)
    used = np.zeros((row_page[-1] + 2, column_page[-1] + 2), dtype=np.int64)
    offsets: dict[int, Offset] = {}
    reach = 0
    for index in order:
        mask = shapes[index].mask
        rows, cells = mask.shape
        # Rows below everything so far need no search: one of them is always free.
        field = taken[: reach + rows]
        places = _hardly_taken(field, mask)
        row, column = np.divmod(places, wide - cells + 1)
        fresh = np.zeros((used.shape[0] + 1, used.shape[1] + 1), dtype=np.int64)
        fresh[1:, 1:] = np.cumsum(np.cumsum(1 - used, axis=0), axis=1)
        # The page right after an edge at its left, the page right before an edge at its right.
        top, bottom = row_page[row + 1], row_page[row + rows] + 1
        left, right = column_page[column + 1], column_page[column + cells] + 1
        new = fresh[bottom, right] - fresh[top, right] - fresh[bottom, left] + fresh[top, left]
        # Fewest new pages first, then the highest row, then what is farthest left.
        order_of_places = np.argsort(new, kind="stable")
        pick = order_of_places[_first_free(field, mask, row[order_of_places], column[order_of_places])]
        at_row, at_column = int(row[pick]), int(column[pick])
        taken[at_row : at_row + rows, at_column : at_column + cells] |= mask
        used[top[pick] : bottom[pick], left[pick] : right[pick]] = 1
        reach = max(reach, at_row + rows)
        offsets[index] = (CELL * float(at_column), CELL * float(at_row))
    height = CELL * reach
    return Sheet(
        width=CELL * (int(np.flatnonzero(taken.any(axis=0)).max()) + 1),
        height=height,
        placed=tuple(
            (shape.drawn, (offsets[i][0] - shape.west, height - offsets[i][1] - shape.north))
            for i, shape in enumerate(shapes)
        ),
    )


def _spread(mask: Mask) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Rows and columns of a mask's cells in an order in which the first few lie far apart."""
    row, column = np.nonzero(mask)
    # Multiples of the golden section, modulo 1, never crowd.
    order = np.argsort(np.modf(np.arange(len(row)) * 0.6180339887498949)[0], kind="stable")
    return row[order], column[order]


def _hardly_taken(field: Mask, mask: Mask) -> NDArray[np.int64]:
    """Places of a mask on a field at which a few of its cells are free: all that could be, and some more.

    A place is the index, in rows, of its upper left cell among those where the mask lies wholly on the field.
    """
    high, wide = (have - own + 1 for have, own in zip(field.shape, mask.shape, strict=True))
    hit = np.zeros((high, wide), dtype=np.bool_)
    for row, column in zip(*(cells[:FIRST_CELLS] for cells in _spread(mask)), strict=True):
        hit |= field[row : row + high, column : column + wide]
    return np.flatnonzero(~hit)


def _first_free(field: Mask, mask: Mask, row: NDArray[np.int64], column: NDArray[np.int64]) -> int:
    """The first of some places at which no cell of a mask is taken."""
    cells = np.ravel_multi_index(_spread(mask), field.shape)
    flat = field.ravel()
    for first in range(0, len(row), PLACES):
        starts = row[first : first + PLACES] * field.shape[1] + column[first : first + PLACES]
        left = np.arange(len(starts))
        for some in np.split(cells, [FEW_CELLS]):
            left = left[~flat[starts[left, None] + some].any(axis=1)]
        if len(left):
            return first + int(left[0])
    raise AssertionError("below everything there is always room")
