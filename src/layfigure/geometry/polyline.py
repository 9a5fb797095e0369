"""Open and closed polylines measured and resampled by arc length."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Points = NDArray[np.float64]


def arc_lengths(points: ArrayLike, *, closed: bool = False) -> Points:
    """Arc length at every point, starting at 0.

    points : (n, d) [mm]. Returns (n,), or (n + 1,) with the whole length last when closed.
    """
    p = np.asarray(points, dtype=np.float64)
    if closed:
        p = np.concatenate([p, p[:1]])
    # Asked for thousands of times, of short lines: written out, it takes half as long.
    steps = p[1:] - p[:-1]
    lengths: Points = np.zeros(len(p))
    np.sqrt((steps * steps).sum(axis=1)).cumsum(out=lengths[1:])
    return lengths


def length(points: ArrayLike, *, closed: bool = False) -> float:
    """Whole length of a polyline [mm]."""
    return float(arc_lengths(points, closed=closed)[-1])


def points_at(points: ArrayLike, distances: ArrayLike, *, closed: bool = False) -> Points:
    """Points at given arc lengths along a polyline.

    points : (n, d) [mm]; distances : (m,) [mm], wrapped round when closed, clamped when open.
    Returns (m, d).
    """
    p = np.asarray(points, dtype=np.float64)
    s = arc_lengths(p, closed=closed)
    d = np.asarray(distances, dtype=np.float64)
    return _at(p, s, np.mod(d, s[-1]) if closed else np.clip(d, 0.0, s[-1]), closed=closed)


def _at(points: Points, along: Points, distances: Points, *, closed: bool) -> Points:
    """Points at arc lengths within the polyline's own, ``along`` (n,) or, closed, (n + 1,)."""
    p = np.concatenate([points, points[:1]]) if closed else points
    result = np.empty((*distances.shape, p.shape[1]))
    for k in range(p.shape[1]):
        result[..., k] = np.interp(distances, along, p[:, k])
    return result


def resample(points: ArrayLike, count: int, *, closed: bool = False) -> Points:
    """``count`` points at equal arc length; an open polyline keeps both its ends. Returns (count, d)."""
    p = np.asarray(points, dtype=np.float64)
    along = arc_lengths(p, closed=closed)
    distances = np.linspace(0.0, float(along[-1]), count, endpoint=not closed)
    result = _at(p, along, distances, closed=closed)
    if not closed:
        result[-1] = p[-1]
    return result
