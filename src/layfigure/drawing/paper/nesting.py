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
from scipy.fft import irfft2, next_fast_len, rfft2

from layfigure.drawing.paper.sizes import Paper
from layfigure.drawing.sheet import GAP, Offset, Sheet, drawn_box, text_box
from layfigure.piece.pen import RecordingPen

Points = NDArray[np.float64]
Mask = NDArray[np.bool_]

CELL = 10.0
"""Step of the grid [mm]."""

WIDTHS = 4
"""Widths of sheet that are tried, each a page wider than the one before."""


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
        hit = _overlaps(field, mask) > 0.5
        row, column = np.indices(hit.shape)
        fresh = np.zeros((used.shape[0] + 1, used.shape[1] + 1), dtype=np.int64)
        fresh[1:, 1:] = np.cumsum(np.cumsum(1 - used, axis=0), axis=1)
        # The page right after an edge at its left, the page right before an edge at its right.
        top, bottom = row_page[row + 1], row_page[row + rows] + 1
        left, right = column_page[column + 1], column_page[column + cells] + 1
        new = fresh[bottom, right] - fresh[top, right] - fresh[bottom, left] + fresh[top, left]
        cost = np.where(hit, np.inf, new * 1e6 + row * 1e3 + column)
        at_row, at_column = np.unravel_index(int(cost.argmin()), cost.shape)
        taken[at_row : at_row + rows, at_column : at_column + cells] |= mask
        used[
            top[at_row, at_column] : bottom[at_row, at_column],
            left[at_row, at_column] : right[at_row, at_column],
        ] = 1
        reach = max(reach, int(at_row) + rows)
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


def _overlaps(field: Mask, mask: Mask) -> Points:
    """How many cells a mask shares with a field at every place where it lies wholly on it."""
    rows, cells = (have - own + 1 for have, own in zip(field.shape, mask.shape, strict=True))
    # Places that would wrap round are those cut off, so the field's own size is enough.
    size = tuple(next_fast_len(length, real=True) for length in field.shape)
    spectrum = rfft2(field.astype(np.float64), size) * np.conj(rfft2(mask.astype(np.float64), size))
    shared: Points = irfft2(spectrum, size)[:rows, :cells]
    return shared
