"""The joined sheet drawn small: where every page goes, and which pieces lie on it.

A long joined sheet is shown in strips side by side, each going on below the one before; where even the first
page has no room for it, the map has a page of its own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from reportlab.pdfgen.canvas import Canvas

from layfigure.drawing.paper.pdf_pen import stroke, write
from layfigure.drawing.paper.tiling import Tile, Tiling

Points = NDArray[np.float64]
Room = tuple[float, float, float, float]

LEAST_SHEET = 6.0
"""A page drawn narrower than this cannot carry its name [mm]."""
BETWEEN = 6.0
"""Between strips [mm]."""


@dataclass(frozen=True, slots=True)
class _Layout:
    """How a map is laid into a room. scale : of the joined sheet. strips : side by side. rows : of each."""

    scale: float
    strips: int
    rows: int


def fits(tiling: Tiling, room: Room) -> bool:
    """Whether a map in one strip can be read in a room (left, bottom, right, top) [mm]."""
    return _layout(tiling, room, most_strips=1).scale * _page_width(tiling) >= LEAST_SHEET


def draw_map(canvas: Canvas, tiling: Tiling, room: Room, *, in_strips: bool = False) -> None:
    """Pages with their names, pieces with their numbers, blank pages hatched.

    in_strips : side by side, where that shows them larger.
    """
    layout = _layout(tiling, room, most_strips=tiling.rows if in_strips else 1)
    pieces = []
    for drawn, offset in tiling.sheet.placed:
        cut = next(line.points for line in drawn.lines if line.ink == "boundary")
        pieces.append(shapely.Polygon(cut + np.array(offset)))
    numbers = _largest_parts(tiling, pieces, layout.rows)
    west = min(tile.left for tile in _every(tiling))
    width = layout.scale * (max(tile.right for tile in _every(tiling)) - west)
    for strip in range(layout.strips):
        own = [tile for tile in _every(tiling) if tile.row // layout.rows == strip]
        if not own:
            continue
        corner = np.array([room[0] + strip * (width + BETWEEN), room[3]])
        upper_left = np.array([west, max(tile.top for tile in own)])
        area = shapely.union_all([tile.box for tile in own])

        def small(points: Points, corner: Points = corner, upper_left: Points = upper_left) -> Points:
            placed: Points = corner + layout.scale * (points - upper_left)
            return placed

        for tile in own:
            stroke(canvas, small(_ring(tile)), width=0.15, closed=True, shade=0.45)
        for tile in tiling.blank:
            if tile.row // layout.rows == strip:
                _hatch(canvas, small(np.array([[tile.left, tile.bottom], [tile.right, tile.top]])))
        for number, piece in enumerate(pieces, start=1):
            for line in shapely.get_parts(piece.exterior.intersection(area)):
                if line.geom_type == "LineString" and not line.is_empty:
                    stroke(canvas, small(np.asarray(line.coords)), width=0.35)
            if numbers[number - 1][0] == strip:
                x, y = small(numbers[number - 1][1])
                write(canvas, str(number), (float(x), float(y) - 1.2), height=2.4, anchor="middle")
        for tile in tiling.tiles:
            if tile.row // layout.rows == strip:
                x, y = small(np.array([tile.left, tile.top])) + np.array([0.8, -2.6])
                write(canvas, tile.name, (float(x), float(y)), height=1.7, shade=0.35)


def _layout(tiling: Tiling, room: Room, *, most_strips: int) -> _Layout:
    """The largest map of at most so many strips."""
    every = _every(tiling)
    width = max(tile.right for tile in every) - min(tile.left for tile in every)
    heights = {tile.row: (tile.bottom, tile.top) for tile in every}
    best = _Layout(0.0, 1, tiling.rows)
    for strips in range(1, most_strips + 1):
        rows = -(-tiling.rows // strips)
        tall = max(
            heights[first][1] - heights[min(first + rows, tiling.rows) - 1][0]
            for first in range(0, tiling.rows, rows)
        )
        across = (room[2] - room[0] - (strips - 1) * BETWEEN) / (strips * width)
        scale = min(across, (room[3] - room[1]) / tall)
        if scale > best.scale:
            best = _Layout(scale, strips, rows)
    return best


def _largest_parts(tiling: Tiling, pieces: list[shapely.Polygon], rows: int) -> list[tuple[int, Points]]:
    """Of every piece, the strip that shows most of it and a place inside it there."""
    strips: dict[int, list[shapely.Polygon]] = {}
    for tile in _every(tiling):
        strips.setdefault(tile.row // rows, []).append(tile.box)
    areas = {strip: shapely.union_all(boxes) for strip, boxes in strips.items()}
    found = []
    for piece in pieces:
        shown = {strip: piece.intersection(area) for strip, area in areas.items()}
        strip = max(shown, key=lambda strip: float(shown[strip].area))
        whole = piece if len(areas) == 1 else shown[strip]
        inner = whole.representative_point()
        found.append((strip, np.array([inner.x, inner.y])))
    return found


def _every(tiling: Tiling) -> tuple[Tile, ...]:
    return (*tiling.tiles, *tiling.blank)


def _page_width(tiling: Tiling) -> float:
    return tiling.tiles[0].right - tiling.tiles[0].left


def _ring(tile: Tile) -> Points:
    ring: Points = np.array(tile.box.exterior.coords)[:-1]
    return ring


def _hatch(canvas: Canvas, corners: Points) -> None:
    """A page that is not printed. corners : lower left and upper right (2, 2) [mm]."""
    low, high = corners
    for share in np.linspace(0.1, 0.9, 5):
        x, y = low + share * (high - low)
        stroke(canvas, np.array([[low[0], y], [x, low[1]]]), width=0.1, shade=0.45)
        stroke(canvas, np.array([[x, high[1]], [high[0], y]]), width=0.1, shade=0.45)
