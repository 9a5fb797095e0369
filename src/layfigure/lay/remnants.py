"""What is left of a layout and worth keeping: the largest rectangles that no part touches."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from layfigure.lay.layout import Section

CELL = 10.0
"""Rectangles are found to this [mm], always inside what is free."""

LEAST_SIDE, LEAST_AREA = 120.0, 30_000.0
"""A remnant is kept from 12 cm wide and 3 dm² on: a pocket, a facing, a test seam. Common practice, no source
[mm, mm²]."""

MOST = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Remnant:
    """A free rectangle, along and across, corner and size [mm]. layers : of cloth that it is there in."""

    x: float
    y: float
    length: float
    width: float
    layers: int = 1

    @property
    def area(self) -> float:
        """Area of one layer [mm²]."""
        return self.length * self.width


def remnants_of(section: Section) -> list[Remnant]:
    """The largest free rectangles of a section, largest first; of a roll only within the length that is
    used.
    """
    free = _free_cells(section)
    found: list[Remnant] = []
    while len(found) < MOST:
        row, column, high, wide = _largest_rectangle(free)
        length, width = wide * CELL, high * CELL
        if min(length, width) < LEAST_SIDE or length * width < LEAST_AREA:
            break
        free[row : row + high, column : column + wide] = False
        found.append(
            Remnant(x=column * CELL, y=row * CELL, length=length, width=width, layers=section.layers)
        )
    return found


def _free_cells(section: Section) -> NDArray[np.bool_]:
    """Cells across by along that lie wholly on the cloth and touch no part."""
    rows, columns = int(section.width / CELL), int(section.length / CELL)
    if section.surface is not None:
        low, high = section.surface.outline.min(axis=0), section.surface.outline.max(axis=0)
        columns, rows = (int((end) / CELL) for end in (high - np.minimum(low, 0.0)).tolist())
    if not rows or not columns:
        return np.zeros((0, 0), dtype=np.bool_)
    y, x = np.mgrid[0:rows, 0:columns].astype(np.float64) * CELL
    boxes = shapely.box(x, y, x + CELL, y + CELL)
    free: NDArray[np.bool_] = np.ones((rows, columns), dtype=np.bool_)
    if section.surface is not None:
        whole = shapely.make_valid(Polygon(section.surface.outline))
        for flaw in section.surface.flaws:
            whole = shapely.difference(whole, shapely.make_valid(Polygon(flaw)))
        shapely.prepare(whole)
        free = shapely.covers(whole, boxes)
    for outline in section.outlines():
        west, south = np.floor(outline.min(axis=0) / CELL).astype(int) - 1
        east, north = np.ceil(outline.max(axis=0) / CELL).astype(int) + 1
        near = (slice(max(south, 0), max(north, 0)), slice(max(west, 0), max(east, 0)))
        shape = Polygon(outline)
        shapely.prepare(shape)
        free[near] &= ~shapely.intersects(shape, boxes[near])
    return free


def _largest_rectangle(free: NDArray[np.bool_]) -> tuple[int, int, int, int]:
    """Row, column, height and width of the largest free rectangle, by the heights of free columns."""
    best, found = 0, (0, 0, 0, 0)
    if not free.size:
        return found
    heights = np.zeros(free.shape[1] + 1, dtype=np.int64)
    for row in range(free.shape[0]):
        heights[:-1] = np.where(free[row], heights[:-1] + 1, 0)
        stack: list[tuple[int, int]] = []
        for column, height in enumerate(heights.tolist()):
            start = column
            while stack and stack[-1][1] >= height:
                start, high = stack.pop()
                if high * (column - start) > best:
                    best = high * (column - start)
                    found = (row - high + 1, start, high, column - start)
            stack.append((start, height))
    return found
