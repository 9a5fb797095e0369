"""The convex hull of points, grown by a distance, seen from a place inside it.

Growing a convex hull adds the distance to its support function; seen from inside, it reaches in a direction
u as far as the nearest of its supporting planes: the least of (h(n) + distance) / (n · u). Evenly spread
directions n stand for all of them, so the surface lies outward of the true one, never inward: with 2,500 by
less than 0.2 % of its radius where it is round, by up to 6 % over flat places.

Source: convex geometry (Minkowski sums of support functions).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.spatial import ConvexHull, QhullError

Points = NDArray[np.float64]

PLANES = 2500
CHUNK = 400
MANY = 300
"""Fewer points are quicker asked than sorted out."""


@lru_cache(maxsize=4)
def sphere_directions(count: int) -> Points:
    """Unit vectors spread evenly over the sphere by the golden angle, (count, 3)."""
    k = np.arange(count) + 0.5
    height = 1.0 - 2.0 * k / count
    turn = np.pi * (1.0 + np.sqrt(5.0)) * k
    level = np.sqrt(1.0 - height**2)
    unit: Points = np.column_stack([level * np.cos(turn), level * np.sin(turn), height])
    unit.flags.writeable = False
    return unit


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OffsetHull:
    """A grown hull about a centre.

    centre : (3,) [mm]. normals : (n, 3) unit. reach : (n,) distance of each supporting plane from the
    centre [mm], all positive.
    """

    centre: Points
    normals: Points
    reach: Points

    def radius(self, directions: ArrayLike) -> Points:
        """How far it reaches from the centre in unit directions (..., 3), (...) [mm]."""
        u = np.asarray(directions, dtype=np.float64)
        scaled = self.normals / self.reach[:, None]
        flat = u.reshape(-1, 3)
        nearest = [
            (flat[start : start + CHUNK] @ scaled.T).max(axis=1) for start in range(0, len(flat), CHUNK)
        ]
        radius: Points = (1.0 / np.concatenate(nearest)).reshape(u.shape[:-1])
        return radius


def offset_hull(points: ArrayLike, centre: ArrayLike, distance: float) -> OffsetHull:
    """Hull of points (m, 3) grown by a distance [mm]. Raises ValueError when the centre is not inside."""
    c = np.asarray(centre, dtype=np.float64)
    normals = sphere_directions(PLANES)
    away = _outermost(np.asarray(points, dtype=np.float64) - c)
    reach = (away @ normals.T).max(axis=0) + distance
    if reach.min() <= 1e-6:
        raise ValueError("the centre lies outside the hull")
    return OffsetHull(centre=c, normals=normals, reach=reach)


def _outermost(points: Points) -> Points:
    """The corners of the hull of points (m, 3), which are a tenth of a body's and reach as far as all."""
    if len(points) < MANY:
        return points
    try:
        corners: Points = points[ConvexHull(points).vertices]
    except QhullError:  # all in one plane, or nearly
        return points
    return corners
