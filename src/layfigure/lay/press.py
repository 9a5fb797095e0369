"""A layout on a roll pressed together: all parts moved at once, none turned, by small linear programs.

Two convex shapes that are apart stay apart as long as an edge of either has the one on its one side and the
other on its other. So every part is cut into convex pieces, each near pair of them keeps the edge that parts
it best, and the shortest strip under all those half-planes is a linear program in the moves. Edges are then
chosen anew, until nothing is won. A search moves parts one by one and is left with slack that only many moves
at once can take up; and where two parts still overlap, all of them together may make the room that neither
finds by itself.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.sparse import coo_array
from shapely import Polygon

from layfigure.lay.clean import covering
from layfigure.lay.layout import Section
from layfigure.lay.part import Part, posed
from layfigure.lay.verify import section_faults

Points = NDArray[np.float64]
Pairs = NDArray[np.intp]

PLAINER = 0.1
"""How much larger outlines of many points may be here [mm]."""

REACH = 0.02
"""How far a part may go in one step, as a share of the strip's width, and the least of it that is tried."""
LEAST_REACH = 1e-4

WON = 1e-5
"""A step that wins a smaller share of the length ends its round."""

LEFTWARD = 1e-6
"""What moving every part towards the start counts beside the length: it gathers the room that is left."""

OVERLAP = 100.0
"""What a millimetre of overlap counts beside one of length: it goes first."""
NO_OVERLAP = 1e-6

MOST_CORNERS = 3000
"""Layouts of more corners take longer to press than they are searched."""

PROMISING_AFTER, LONGER, OVERLAPPING = 6, 1.01, 5.0
"""After so many steps a layout that is still this much longer than the one to beat, or overlaps by so much in
all [mm], is given up.
"""


@dataclass(frozen=True, slots=True, eq=False)
class _Convex:
    """Convex pieces of all laid parts, where they lie, padded to one number of corners by repeating the last.

    corners : (m, k, 2) counter-clockwise. normals : (m, k, 2) outward, of length 1, zero where padded.
    owner : which laid part each is of, (m,).
    """

    corners: Points
    normals: Points
    owner: Pairs


@dataclass(frozen=True, slots=True, eq=False)
class _Step:
    """moves : (n, 2) [mm]. length : of the strip then [mm]. overlap : left in all [mm]."""

    moves: Points
    length: float
    overlap: float


class Press:
    """Presses layouts of the same parts; what it knows of their outlines is made once, when it is needed.

    worth : whether there are few enough corners for it to be done in the time of a search.
    """

    def __init__(self, parts: Sequence[Part]) -> None:
        self._outlines = {part.slug: covering(part.outline, PLAINER) for part in parts}
        self.worth = sum(part.count * len(self._outlines[part.slug]) for part in parts) <= MOST_CORNERS

    @cached_property
    def _pieces(self) -> dict[str, list[Points]]:
        return {slug: convex_pieces(outline) for slug, outline in self._outlines.items()}

    def shorter(self, section: Section, *, beat: float, seconds: float = 2.0) -> Section | None:
        """The section pressed together, if it then stands the checker and is shorter than ``beat`` [mm].

        For a single layer without repeat or fold. Parts may overlap: they are moved apart, where near moves
        can do that. The section's own length is not read. seconds : by the clock, at most.
        """
        if not section.laid:
            return None
        until = time.monotonic() + seconds
        convex = self._convex(section)
        boxes = np.array([[*ring.min(axis=0), *ring.max(axis=0)] for ring in section.outlines()])
        moves = np.zeros((len(boxes), 2))
        moves[:, 0] -= boxes[:, 0].min()
        reach, value, steps = REACH * section.width, np.inf, 0
        last: _Step | None = None
        while time.monotonic() < until and reach > LEAST_REACH * section.width:
            step = _step(convex, moves, boxes, section.width, reach, until - time.monotonic())
            steps += 1
            if step is None:
                reach *= 0.5
                continue
            last = step
            moves = moves + step.moves
            before, value = value, step.length + OVERLAP * step.overlap
            if value > before * (1.0 - WON):
                reach *= 0.5
            if steps == PROMISING_AFTER and (step.length > LONGER * beat or step.overlap > OVERLAPPING):
                return None
        length = float((boxes[:, 2] + moves[:, 0]).max())
        if last is None or last.overlap > NO_OVERLAP or length >= beat:
            return None
        laid = tuple(
            replace(one, x=one.x + dx, y=one.y + dy)
            for one, (dx, dy) in zip(section.laid, moves.tolist(), strict=True)
        )
        pressed = replace(section, laid=laid, length=length)
        return None if section_faults(pressed) else pressed

    def _convex(self, section: Section) -> _Convex:
        """Every laid part as convex pieces."""
        pieces: list[Points] = []
        owner: list[int] = []
        for index, one in enumerate(section.laid):
            for piece in self._pieces[one.part]:
                ring = posed(piece, turn=one.turn, mirrored=one.mirrored, x=one.x, y=one.y)
                pieces.append(ring[::-1] if one.mirrored else ring)
                owner.append(index)
        most = max(len(piece) for piece in pieces)
        corners = np.array(
            [np.vstack([piece, np.repeat(piece[-1:], most - len(piece), axis=0)]) for piece in pieces]
        )
        along = np.roll(corners, -1, axis=1) - corners
        long = np.linalg.norm(along, axis=2, keepdims=True)
        # A last corner that is repeated has its edge back to the start at the end of the row.
        outward = np.stack([along[..., 1], -along[..., 0]], axis=2)
        normals = np.divide(outward, long, out=np.zeros_like(outward), where=long > 1e-9)
        return _Convex(corners, normals, np.array(owner))


def _step(
    convex: _Convex, moves: Points, boxes: Points, width: float, reach: float, seconds: float
) -> _Step | None:
    """Moves of all parts that leave the least overlap and then the shortest strip, none past ``reach`` each
    way; None where the program has no answer, or has none in time.
    """
    corners = convex.corners + moves[convex.owner][:, None, :]
    pairs = _near(corners, convex.owner, 2.0 * reach)
    normal, gap = _parted(corners, convex.normals, pairs)
    first, second = convex.owner[pairs].T
    count, rows = len(boxes), len(pairs)
    overlapping = np.flatnonzero(gap < 0.0)
    columns = 2 * count + 1 + len(overlapping)
    each = np.arange(count)
    # normal . (second's move - first's move) + overlap left >= -gap, and every right end before the strip's.
    terms = [
        (np.arange(rows), 2 * first, normal[:, 0]),
        (np.arange(rows), 2 * first + 1, normal[:, 1]),
        (np.arange(rows), 2 * second, -normal[:, 0]),
        (np.arange(rows), 2 * second + 1, -normal[:, 1]),
        (overlapping, np.arange(2 * count + 1, columns), np.full(len(overlapping), -1.0)),
        (rows + each, 2 * each, np.ones(count)),
        (rows + each, np.full(count, 2 * count), np.full(count, -1.0)),
    ]
    row, column, value = (np.concatenate(part) for part in zip(*terms, strict=True))
    low, high = boxes[:, :2] + moves, boxes[:, 2:] + moves
    lower = np.clip(-low, -reach, reach)
    upper = np.column_stack([np.full(count, reach), np.clip(width - high[:, 1], -reach, reach)])
    # A part may be wider than the cloth by a hair.
    lower = np.minimum(lower, upper)
    bounds = np.zeros((columns, 2))
    bounds[: 2 * count] = np.column_stack([lower.ravel(), upper.ravel()])
    bounds[2 * count :, 1] = np.inf
    cost = np.full(columns, OVERLAP)
    cost[: 2 * count] = 0.0
    cost[2 * each] = LEFTWARD
    cost[2 * count] = 1.0
    found = linprog(
        cost,
        A_ub=coo_array((value, (row, column)), shape=(rows + count, columns)).tocsr(),
        b_ub=np.r_[gap, -high[:, 0]],
        bounds=bounds,
        method="highs",
        options={"time_limit": max(seconds, 0.01)},
    )
    if not found.success:
        return None
    return _Step(
        moves=found.x[: 2 * count].reshape(count, 2),
        length=float(found.x[2 * count]),
        overlap=float(found.x[2 * count + 1 :].sum()),
    )


def _near(corners: Points, owner: Pairs, distance: float) -> Pairs:
    """Pairs of convex pieces of different parts whose boxes are nearer than ``distance``, (p, 2)."""
    low, high = corners.min(axis=1), corners.max(axis=1)
    boxes = shapely.box(*(low - 0.5 * distance).T, *(high + 0.5 * distance).T)
    first, second = shapely.STRtree(boxes).query(boxes)
    kept = owner[first] < owner[second]
    pairs: Pairs = np.column_stack([first[kept], second[kept]])
    return pairs


def _parted(corners: Points, normals: Points, pairs: Pairs) -> tuple[Points, NDArray[np.float64]]:
    """The edge that parts each pair best: normals from the first to the second (p, 2), gaps (p,) [mm]."""
    one, other = pairs.T
    gaps = np.concatenate(
        [
            _beyond(corners[one], normals[one], corners[other]),
            _beyond(corners[other], normals[other], corners[one]),
        ],
        axis=1,
    )
    best = gaps.argmax(axis=1)
    each = np.arange(len(pairs))
    normal = np.concatenate([normals[one], -normals[other]], axis=1)[each, best]
    return normal, gaps[each, best]


def _beyond(corners: Points, normals: Points, others: Points) -> Points:
    """How far beyond each edge line the whole of the other lies, (p, k); -inf where an edge is padding."""
    line = np.einsum("pkc,pkc->pk", normals, corners)
    least = np.einsum("pkc,pjc->pkj", normals, others).min(axis=2)
    padded = (normals == 0.0).all(axis=2)
    found: Points = np.where(padded, -np.inf, least - line)
    return found


def convex_pieces(ring: Points) -> list[Points]:
    """A simple ring cut into convex rings that cover it, counter-clockwise, each (k, 2)."""
    triangles = list(shapely.get_parts(shapely.constrained_delaunay_triangles(Polygon(ring))))
    return [_corners(piece) for piece in _joined(triangles)]


def _joined(pieces: Sequence[Polygon]) -> list[Polygon]:
    """Neighbours joined while what they make is convex."""
    found: list[Polygon] = list(pieces)
    index = 0
    while index < len(found):
        other = index + 1
        while other < len(found):
            hull = shapely.union(found[index], found[other]).convex_hull
            if hull.area <= (found[index].area + found[other].area) * (1.0 + 1e-9):
                found[index] = hull
                found.pop(other)
                other = index + 1
            else:
                other += 1
        index += 1
    return found


def _corners(piece: Polygon) -> Points:
    ring = shapely.get_coordinates(shapely.orient_polygons(piece).exterior)[:-1]
    return np.asarray(ring, dtype=np.float64)
