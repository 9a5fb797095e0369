"""Where a closed outline turns, and the outline cut there."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.polyline import arc_lengths, points_at

Points = NDArray[np.float64]

CORNER = 25.0
"""An outline turns by more than this at a corner [degrees]."""
LOOK = 2.0
"""How far to either side its direction is read [mm]."""


def signed_area(points: Points) -> float:
    """Area within a closed outline (n, 2), positive when it runs counter-clockwise [mm²]."""
    x, y = points.T
    return float(0.5 * np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))


def cut_at_corners(points: Points, nodes: NDArray[np.int64] | None = None) -> list[Points]:
    """A closed outline from corner to corner, beginning at the corner nearest its lower left.

    points : (n, 2) [mm], the first not repeated. nodes : indices that may be corners, all when None.
    An outline without two corners is cut in two, so that it can be walked. Returns curves (k, 2) that
    each start where the one before ends.
    """
    nodes = np.arange(len(points)) if nodes is None else nodes
    whole = arc_lengths(points, closed=True)
    look = min(LOOK, 0.02 * whole[-1])
    at = whole[nodes]
    back, ahead = (points_at(points, at + step, closed=True) for step in (-look, look))
    before, after = points[nodes] - back, ahead - points[nodes]
    turned = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    turn = np.degrees(np.abs(np.arctan2(turned, np.einsum("ij,ij->i", before, after))))
    corners = _peaks(nodes, turn, at, look, whole[-1])
    if len(corners) < 2:
        first = int(corners[0]) if len(corners) else int((points @ [1.0, 1.0]).argmin())
        half = int(np.abs(np.mod(whole[:-1] - whole[first], whole[-1]) - 0.5 * whole[-1]).argmin())
        corners = np.array([first, half])
    corners = np.roll(corners, -int((points[corners] @ [1.0, 1.0]).argmin()))
    moved = np.roll(points, -corners[0], axis=0)
    stops = [*((corners - corners[0]) % len(points)).tolist(), len(points)]
    ring = np.vstack([moved, moved[:1]])
    return [ring[a : b + 1] for a, b in pairwise(stops)]


def _peaks(
    nodes: NDArray[np.int64], turn: Points, at: Points, look: float, whole: float
) -> NDArray[np.int64]:
    """Nodes that turn most within reach: points beside a corner see its turn too."""
    chosen: list[int] = []
    for k in np.argsort(-turn, kind="stable"):
        if turn[k] <= CORNER:
            break
        apart = np.abs(np.mod(at[k] - at[chosen] + 0.5 * whole, whole) - 0.5 * whole)
        if not chosen or float(apart.min()) > look:
            chosen.append(int(k))
    return np.sort(nodes[chosen])
