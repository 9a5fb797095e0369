"""Finding room for words on a piece: clear of every line and of other words, inside if it can be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from layfigure.geometry.polyline import arc_lengths, points_at
from layfigure.piece.lettering import DESCENT, LEADING, text_width

Points = NDArray[np.float64]

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

    def occupy(self, points: Points, *, closed: bool = False) -> None:
        """A line that words must stay clear of, (n, 2) [mm]."""
        line = np.vstack([points, points[:1]]) if closed else points
        # Cut short, so that a search meets only the parts of a long line that are near.
        self.taken.extend(
            shapely.LineString(line[first : first + STRETCH + 1])
            for first in range(0, len(line) - 1, STRETCH)
        )
        self._tree = None

    def occupy_with_words(self, box: Polygon) -> None:
        """Words that later words and leaders must stay clear of."""
        self.taken.append(box)
        self.words.append(box)
        self._tree = None

    def clear_of_words(self, line: BaseGeometry) -> bool:
        """True where a leader would cross no words."""
        return not any(shapely.dwithin(box, line, CLEARANCE / 2) for box in self.words)

    def free(self, boxes: Sequence[Polygon], *, inside: bool) -> NDArray[np.bool_]:
        """Which boxes are clear of everything, and inside the piece if asked."""
        array = np.array(boxes, dtype=object)
        grown = _grown(array)
        if self._tree is None:
            self._tree = shapely.STRtree(self.taken)
        hit, _ = self._tree.query(grown, predicate="intersects")
        clear = np.ones(len(array), dtype=bool)
        clear[hit] = False
        if inside:
            shapely.prepare(self.inside)
            clear &= shapely.contains(self.inside, array)
        return clear

    def whole(self, boxes: Sequence[Polygon]) -> NDArray[np.bool_]:
        """Which boxes no join runs through."""
        clear: NDArray[np.bool_] = ~shapely.intersects(np.array(boxes, dtype=object), self.joins)
        return clear

    def for_block(self, lines: Sequence[Line], near: Points, *, whole: bool = False) -> Spot | None:
        """Room inside the piece for a block of lines, near a point; upright first, then on its side.

        whole : only where no join runs through.
        """
        width, height = block_size(lines)
        west, south, east, north = self.inside.bounds
        for angle in (0.0, 90.0):
            wide, high = (width, height) if angle == 0.0 else (height, width)
            if wide > east - west or high > north - south:
                continue
            x = np.arange(west, east - wide + 1e-9, max(3.0, (east - west) / 60))
            y = np.arange(south, north - high + 1e-9, max(3.0, (north - south) / 60))
            gx, gy = (grid.ravel() for grid in np.meshgrid(x, y))
            distance = np.hypot(gx + wide / 2 - near[0], gy + high / 2 - near[1])
            order = distance.argsort(kind="stable")
            # Nearest places first, a few at a time: on most pieces one of the first will do.
            for batch in np.array_split(order, max(1, len(order) // BATCH)):
                boxes = shapely.box(gx[batch], gy[batch], gx[batch] + wide, gy[batch] + high)
                free = self.free(list(boxes), inside=True)
                if whole:
                    free &= self.whole(list(boxes))
                if free.any():
                    pick = int(free.argmax())
                    corner = np.array([gx[batch[pick]], gy[batch[pick]]])
                    return _spot(lines, corner, high, angle, boxes[pick])
        return None

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
        free = self.free(list(boxes[order]), inside=False)
        pick = int(order[int(free.argmax())])
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
        ends = points_at(curve, middles + half) - points_at(curve, middles - half)
        along = ends / np.linalg.norm(ends, axis=1, keepdims=True)
        at = points_at(curve, middles)
        # Words are straight: no place where the line bends away from under them.
        straight = np.abs(_bulge(curve, middles, half)) < 0.12 * width + 0.5
        normal = side * np.column_stack([-along[:, 1], along[:, 0]])
        flip = (along[:, 0] < -1e-6) | ((np.abs(along[:, 0]) <= 1e-6) & (along[:, 1] < 0))
        reading = np.where(flip[:, None], -along, along)
        up = np.column_stack([-reading[:, 1], reading[:, 0]])
        cut: Spot | None = None
        for offset in offsets:
            centre = at + normal * (offset + 0.5 * height)
            corners = np.stack(
                [
                    centre + sx * 0.5 * width * reading + sy * 0.5 * height * up
                    for sx, sy in ((-1, -1), (1, -1), (1, 1), (-1, 1))
                ],
                axis=1,
            )
            boxes = shapely.polygons(corners)
            free = self.free(list(boxes), inside=inside) & straight
            if free.any():
                uncut = free & self.whole(list(boxes))
                pick = int((uncut if uncut.any() else free).argmax())
                start = corners[pick, 0] + up[pick] * DESCENT * line.height
                angle = float(np.degrees(np.arctan2(reading[pick, 1], reading[pick, 0])))
                spot = Spot(at=start, angle=angle, box=boxes[pick])
                if uncut.any():
                    return spot
                cut = cut or spot
        return cut


def _grown(boxes: NDArray[np.object_]) -> NDArray[np.object_]:
    """Rectangles wider and higher by the clearance on every side."""
    corners = shapely.get_coordinates(boxes).reshape(len(boxes), 5, 2)[:, :4]
    first, second = corners[:, 1] - corners[:, 0], corners[:, 3] - corners[:, 0]
    first *= CLEARANCE / np.linalg.norm(first, axis=1, keepdims=True)
    second *= CLEARANCE / np.linalg.norm(second, axis=1, keepdims=True)
    signs = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    out = signs[:, :1] * first[:, None] + signs[:, 1:] * second[:, None]
    grown: NDArray[np.object_] = shapely.polygons(corners + out)
    return grown


def _bulge(curve: Points, middles: Points, half: float) -> Points:
    """How far a curve bends off its chord at places along it, (m,) [mm]."""
    before, after = points_at(curve, middles - half), points_at(curve, middles + half)
    chord = after - before
    off = points_at(curve, middles) - before
    bulge: Points = (chord[:, 0] * off[:, 1] - chord[:, 1] * off[:, 0]) / np.linalg.norm(chord, axis=1)
    return bulge


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
