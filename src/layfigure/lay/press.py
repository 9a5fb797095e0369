"""A layout on a roll pressed together: all parts moved at once, none turned, by small linear programs.

Two convex shapes that are apart stay apart as long as an edge of either has the one on its one side and the
other on its other. So every part is cut into convex pieces, each near pair of them keeps the edge that parts
it best, and the shortest strip under all those half-planes is a linear program in the moves. Edges are then
chosen anew, until nothing is won. A search moves parts one by one and is left with slack that only many moves
at once can take up.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.sparse import coo_array
from shapely import Polygon

from layfigure.lay.clean import covering
from layfigure.lay.layout import Section
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


@dataclass(frozen=True, slots=True, eq=False)
class _Convex:
    """Convex pieces of all laid parts, where they lie, padded to one number of corners by repeating the last.

    corners : (m, k, 2) counter-clockwise. normals : (m, k, 2) outward, of length 1, zero where padded.
    owner : which laid part each is of, (m,).
    """

    corners: Points
    normals: Points
    owner: Pairs


def press(section: Section, *, seconds: float = 2.0) -> Section:
    """The section as it is, or shorter with every part moved and none turned.

    For a single layer without repeat or fold. seconds : by the clock, at most. What is returned stands the
    checker where ``section`` did.
    """
    if section.length <= section.bound or len(section.laid) < 2:
        return section
    until = time.monotonic() + seconds
    convex = _convex(section)
    boxes = np.array([[*ring.min(axis=0), *ring.max(axis=0)] for ring in section.outlines()])
    moves = np.zeros((len(boxes), 2))
    moves[:, 0] -= boxes[:, 0].min()
    length, reach = section.length, REACH * section.width
    while time.monotonic() < until and reach > LEAST_REACH * section.width:
        step = _step(convex, moves, boxes, section.width, reach)
        if step is not None:
            moves += step
        shorter = float((boxes[:, 2] + moves[:, 0]).max())
        if step is None or shorter > length * (1.0 - WON):
            reach *= 0.5
        length = shorter
    laid = tuple(
        replace(one, x=one.x + dx, y=one.y + dy)
        for one, (dx, dy) in zip(section.laid, moves.tolist(), strict=True)
    )
    pressed = replace(section, laid=laid, length=length)
    return pressed if length < section.length and not section_faults(pressed) else section


def _step(convex: _Convex, moves: Points, boxes: Points, width: float, reach: float) -> Points | None:
    """Moves of all parts that leave the strip shortest, none past ``reach`` each way; None for none."""
    corners = convex.corners + moves[convex.owner][:, None, :]
    pairs = _near(corners, convex.owner, 2.0 * reach)
    normal, gap = _parted(corners, convex.normals, pairs)
    first, second = convex.owner[pairs].T
    count, rows = len(boxes), len(pairs)
    # normal . (second's move - first's move) >= -gap, and a hair of overlap is not made worse.
    row = np.repeat(np.arange(rows), 4)
    column = np.column_stack([2 * first, 2 * first + 1, 2 * second, 2 * second + 1]).ravel()
    value = np.column_stack([normal, -normal]).ravel()
    apart = coo_array((value, (row, column)), shape=(rows, 2 * count + 1))
    # Every right end lies before the end of the strip.
    each = np.arange(count)
    ends = coo_array(
        (np.repeat([1.0, -1.0], count), (np.r_[each, each], np.r_[2 * each, np.full(count, 2 * count)])),
        shape=(count, 2 * count + 1),
    )
    low, high = boxes[:, :2] + moves, boxes[:, 2:] + moves
    lower = np.clip(-low, -reach, 0.0)
    upper = np.column_stack([np.full(count, reach), np.clip(width - high[:, 1], 0.0, reach)])
    bounds = np.vstack([np.column_stack([lower.ravel(), upper.ravel()]), [[0.0, np.inf]]])
    cost = np.zeros(2 * count + 1)
    cost[2 * each] = LEFTWARD
    cost[-1] = 1.0
    found = linprog(
        cost,
        A_ub=_stacked(apart, ends),
        b_ub=np.r_[np.maximum(gap, 0.0), -high[:, 0]],
        bounds=bounds,
        method="highs",
    )
    if not found.success:
        return None
    step: Points = found.x[:-1].reshape(count, 2)
    return step


def _stacked(above: coo_array, below: coo_array) -> coo_array:
    return coo_array(
        (
            np.r_[above.data, below.data],
            (np.r_[above.row, below.row + above.shape[0]], np.r_[above.col, below.col]),
        ),
        shape=(above.shape[0] + below.shape[0], above.shape[1]),
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


def _convex(section: Section) -> _Convex:
    """Every laid part as convex pieces."""
    covers = tuple(replace(part, outline=covering(part.outline, PLAINER)) for part in section.parts)
    pieces: list[Points] = []
    owner: list[int] = []
    for index, ring in enumerate(replace(section, parts=covers).outlines()):
        for piece in convex_pieces(ring):
            pieces.append(piece)
            owner.append(index)
    most = max(len(piece) for piece in pieces)
    corners = np.array(
        [np.vstack([piece, np.repeat(piece[-1:], most - len(piece), axis=0)]) for piece in pieces]
    )
    along = np.roll(corners, -1, axis=1) - corners
    long = np.linalg.norm(along, axis=2, keepdims=True)
    # A last corner that is repeated has its edge back to the start at the end of the row, and none before.
    outward = np.stack([along[..., 1], -along[..., 0]], axis=2)
    normals = np.divide(outward, long, out=np.zeros_like(outward), where=long > 1e-9)
    return _Convex(corners, normals, np.array(owner))


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
