"""Finding room for words on a piece: clear of every line and of other words, inside if it can be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from layfigure.geometry.polyline import arc_lengths, points_at
from layfigure.piece.lettering import DESCENT, LEADING, text_width

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

CLEARANCE = 0.8
"""Least distance of words from lines and other words [mm]."""


BESIDE = 5.0
"""Distance of a label from a piece too small to carry it [mm]."""

STRETCH = 12
"""Steps of a line that are searched together."""

BATCH = 60
"""Places for a label that are tried at once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of words with its height [mm]."""

    words: str
    height: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spot:
    """A place for words. at : (2,) start of the first baseline. angle [deg]. box : what they cover."""

    at: Points
    angle: float
    box: Polygon


@dataclass(slots=True)
class LabelRoom:
    """What is drawn already on one piece, and where words may still go.

    inside : the piece inside its stitch line, windows taken out. joins : lines where sheets of paper are
    joined, which words should not lie across, but may.
    """

    inside: BaseGeometry
    joins: BaseGeometry = field(default_factory=shapely.MultiLineString)
    taken: list[BaseGeometry] = field(default_factory=list)
    words: list[Polygon] = field(default_factory=list)
    _tree: shapely.STRtree | None = None
    _places: _Grid | None = None

    def occupy(self, points: Points, *, closed: bool = False) -> None:
        """A line that words must stay clear of, (n, 2) [mm]."""
        line = np.vstack([points, points[:1]]) if closed else points
        # Cut short, so that a search meets only the parts of a long line that are near.
        self.taken.extend(
            shapely.LineString(line[first : first + STRETCH + 1])
            for first in range(0, len(line) - 1, STRETCH)
        )
        self._tree = self._places = None

    def occupy_with_words(self, box: Polygon) -> None:
        """Words that later words and leaders must stay clear of."""
        self.taken.append(box)
        self.words.append(box)
        self._tree = self._places = None

    def clear_of_words(self, line: BaseGeometry) -> bool:
        """True where a leader would cross no words."""
        return not any(shapely.dwithin(box, line, CLEARANCE / 2) for box in self.words)

    def free(self, boxes: NDArray[np.object_], grown: NDArray[np.object_], *, inside: bool) -> Indices:
        """Which boxes are clear of everything, and inside the piece if asked: their indices, rising.

        grown : the boxes wider and higher by the clearance on every side.
        """
        if self._tree is None:
            self._tree = shapely.STRtree(self.taken)
        hit, _ = self._tree.query(grown, predicate="intersects")
        clear = np.ones(len(boxes), dtype=bool)
        clear[hit] = False
        found = np.flatnonzero(clear)
        if inside and len(found):
            shapely.prepare(self.inside)
            found = found[shapely.contains(self.inside, boxes[found])]
        return found

    def whole(self, boxes: NDArray[np.object_]) -> NDArray[np.bool_]:
        """Which boxes no join runs through."""
        if self.joins.is_empty:
            return np.ones(len(boxes), dtype=bool)
        shapely.prepare(self.joins)
        clear: NDArray[np.bool_] = ~shapely.intersects(self.joins, boxes)
        return clear

    def for_block(self, lines: Sequence[Line], near: Points, *, whole: bool = False) -> Spot | None:
        """Room inside the piece for a block of lines, near a point; upright first, then on its side.

        whole : only where no join runs through.
        """
        width, height = block_size(lines)
        west, south, east, north = self.inside.bounds
        grid = self._grid()
        for angle in (0.0, 90.0):
            wide, high = (width, height) if angle == 0.0 else (height, width)
            if wide > east - west or high > north - south:
                continue
            gx, gy = grid.places(wide, high)
            distance = np.hypot(gx + wide / 2 - near[0], gy + high / 2 - near[1])
            order = distance.argsort(kind="stable")
            # Nearest places first, a few at a time: on most pieces one of the first will do.
            for batch in np.split(order, range(BATCH, len(order), BATCH)):
                x, y = gx[batch], gy[batch]
                boxes = shapely.box(x, y, x + wide, y + high)
                free = self.free(boxes, _grown_upright(x, y, wide, high), inside=True)
                if whole:
                    free = free[self.whole(boxes[free])]
                if len(free):
                    pick = int(free[0])
                    return _spot(lines, np.array([x[pick], y[pick]]), high, angle, boxes[pick])
        return None

    def _grid(self) -> _Grid:
        """Places on the piece and what of them is taken, for as long as nothing more is drawn."""
        if self._places is None:
            self._places = _Grid.over(self.inside, self.taken)
        return self._places

    def outside_block(self, lines: Sequence[Line], piece: Polygon) -> Spot:
        """Room beside the piece for a block that does not fit on it.

        Preferred is a place within the piece's own box (in the crook of a belt), else where the box grows
        least; of equal ones, the nearest to the piece. piece : inside its cut line.
        """
        width, height = block_size(lines)
        west, south, east, north = piece.bounds
        x = np.arange(west - width - BESIDE, east + BESIDE + 0.1, max(3.0, (east - west) / 40))
        y = np.arange(south - height - BESIDE, north + BESIDE + 0.1, max(3.0, (north - south) / 40))
        # The places right of the piece, level with its top or its foot, whatever the grid.
        gx, gy = (grid.ravel() for grid in np.meshgrid(x, y))
        gx = np.concatenate([gx, [east + BESIDE] * 2])
        gy = np.concatenate([gy, [north - height, south]])
        boxes = shapely.box(gx, gy, gx + width, gy + height)
        away = shapely.distance(boxes, shapely.simplify(piece, 0.5))
        wide = np.maximum(gx + width, east) - np.minimum(gx, west)
        high = np.maximum(gy + height, north) - np.minimum(gy, south)
        order = np.lexsort((away, np.round(wide * high)))
        order = order[away[order] >= BESIDE - 0.51]
        x, y = gx[order], gy[order]
        free = self.free(boxes[order], _grown_upright(x, y, width, height), inside=False)
        pick = int(order[free[0] if len(free) else 0])
        return _spot(lines, np.array([gx[pick], gy[pick]]), height, 0.0, boxes[pick])

    def along(
        self, curve: Points, line: Line, *, side: float, offsets: Sequence[float], inside: bool = True
    ) -> Spot | None:
        """Room for one line of words along an edge, reading left to right or bottom to top.

        side : +1 to the left of the curve's run (inside a piece), -1 to its right.
        offsets : distances from the curve to the near side of the words, best first [mm].
        """
        width, height = block_size([line])
        whole = float(arc_lengths(curve)[-1])
        shares = np.array([0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.12, 0.88])
        if width > whole * 1.05:
            return None
        half = min(0.5 * width, 0.45 * whole)
        middles = np.clip(shares * whole, half, whole - half)
        at, before, after = np.split(
            points_at(curve, np.concatenate([middles, middles - half, middles + half])), 3
        )
        ends = after - before
        chord = np.linalg.norm(ends, axis=1)
        off = at - before
        turned = ends[:, 0] * off[:, 1] - ends[:, 1] * off[:, 0]
        # Words are straight: no place where the line bends away from under them, or comes back on itself.
        straight = (chord > 1e-9) & (np.abs(turned) < (0.12 * width + 0.5) * chord)
        if not straight.any():
            return None
        at, along = at[straight], ends[straight] / chord[straight, None]
        normal = side * np.column_stack([-along[:, 1], along[:, 0]])
        flip = (along[:, 0] < -1e-6) | ((np.abs(along[:, 0]) <= 1e-6) & (along[:, 1] < 0))
        reading = np.where(flip[:, None], -along, along)
        up = np.column_stack([-reading[:, 1], reading[:, 0]])
        # Every place at every offset, the best offset's first.
        centre = (at + normal * (np.array(offsets)[:, None, None] + 0.5 * height)).reshape(-1, 2)
        reading, up = (np.tile(part, (len(offsets), 1)) for part in (reading, up))
        corners = _corners(centre, 0.5 * width * reading, 0.5 * height * up)
        boxes = shapely.polygons(corners)
        clearly = _corners(centre, (0.5 * width + CLEARANCE) * reading, (0.5 * height + CLEARANCE) * up)
        free = self.free(boxes, shapely.polygons(clearly), inside=inside)
        if not len(free):
            return None
        uncut = free[self.whole(boxes[free])]
        pick = int((uncut if len(uncut) else free)[0])
        start = corners[pick, 0] + up[pick] * DESCENT * line.height
        angle = float(np.degrees(np.arctan2(reading[pick, 1], reading[pick, 0])))
        return Spot(at=start, angle=angle, box=boxes[pick])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Grid:
    """Places on a piece, and how much that forbids words lies left of and below each of them.

    x, y : (m,) and (n,) of the places, ``step`` apart on a piece of that width and height [mm].
    outside : (n + 1, m + 1) sums of places that are not on the piece.
    lines : (n + 1, m + 1) sums of points of lines between the places.
    """

    x: Points
    y: Points
    step: tuple[float, float]
    width: float
    height: float
    outside: Indices
    lines: Indices

    @classmethod
    def over(cls, inside: BaseGeometry, taken: Sequence[BaseGeometry]) -> _Grid:
        """The places of a piece, at least 3 mm apart, of which 60 go on either side."""
        west, south, east, north = inside.bounds
        step = (max(3.0, (east - west) / 60), max(3.0, (north - south) / 60))
        x, y = np.arange(west, east, step[0]), np.arange(south, north, step[1])
        shapely.prepare(inside)
        outside = ~shapely.intersects_xy(inside, *np.meshgrid(x, y))
        points = shapely.get_coordinates(shapely.segmentize(np.array(taken, dtype=object), min(step)))
        column, row = np.floor((points - [west, south]) / step).astype(np.int64).T
        there = (column >= 0) & (column < len(x)) & (row >= 0) & (row < len(y))
        lines = np.bincount(row[there] * len(x) + column[there], minlength=outside.size)
        return cls(
            x=x,
            y=y,
            step=step,
            width=east - west,
            height=north - south,
            outside=_sums(outside),
            lines=_sums(lines.reshape(outside.shape)),
        )

    def places(self, wide: float, high: float) -> tuple[Points, Points]:
        """Where the lower left corner of a box might go: not every one of them is free, but no other is."""
        # Steps that lie wholly under the box, whatever rounding does.
        across, down = (int(size / step - 1e-6) for size, step in zip((wide, high), self.step, strict=True))
        columns = int(np.count_nonzero(self.x <= self.x[0] + self.width - wide + 1e-9))
        rows = int(np.count_nonzero(self.y <= self.y[0] + self.height - high + 1e-9))
        hit = _windows(self.outside, rows, columns, down + 1, across + 1)
        hit += _windows(self.lines, rows, columns, down, across)
        row, column = np.nonzero(hit == 0)
        return self.x[column], self.y[row]


def _windows(sums: Indices, rows: int, columns: int, high: int, wide: int) -> Indices:
    """What lies in windows so many rows high and columns wide, by their first row and column."""
    low, left = sums[:rows], slice(0, columns)
    top, right = sums[high : high + rows], slice(wide, wide + columns)
    inside: Indices = top[:, right] - low[:, right] - top[:, left] + low[:, left]
    return inside


def _sums(counts: NDArray[Any]) -> Indices:
    """Sums of all that lies before a row and a column, (n + 1, m + 1)."""
    sums = np.zeros((counts.shape[0] + 1, counts.shape[1] + 1), dtype=np.int64)
    sums[1:, 1:] = counts.cumsum(axis=0).cumsum(axis=1)
    return sums


def _corners(centre: Points, half: Points, rise: Points) -> Points:
    """Corners of rectangles about their middles, counter-clockwise from where words start, (n, 4, 2)."""
    return np.stack(
        [centre - half - rise, centre + half - rise, centre + half + rise, centre - half + rise], 1
    )


def _grown_upright(x: Points, y: Points, wide: float, high: float) -> NDArray[np.object_]:
    """Upright boxes, lower left corners given, wider and higher by the clearance on every side."""
    grown: NDArray[np.object_] = shapely.box(
        x - CLEARANCE, y - CLEARANCE, x + wide + CLEARANCE, y + high + CLEARANCE
    )
    return grown


def block_size(lines: Sequence[Line]) -> tuple[float, float]:
    """Width and height of a block of lines, descenders included [mm]."""
    width = max(text_width(line.words, line.height) for line in lines)
    rest = sum(baseline_step(above, below) for above, below in pairwise(lines))
    return width, lines[0].height + rest + lines[-1].height * DESCENT


def baseline_step(above: Line, below: Line) -> float:
    """Distance from a line's baseline to the next: more below larger letters, which hang lower [mm]."""
    return below.height * LEADING + DESCENT * max(above.height - below.height, 0.0)


def _spot(lines: Sequence[Line], corner: Points, high: float, angle: float, box: Polygon) -> Spot:
    """The first baseline of a block whose box stands at a corner; turned blocks read bottom to top."""
    first = lines[0].height
    at = corner + (np.array([0.0, high - first]) if angle == 0.0 else np.array([first, 0.0]))
    return Spot(at=at, angle=angle, box=box)
