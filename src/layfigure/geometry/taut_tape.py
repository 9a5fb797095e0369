"""A tape drawn taut over a mesh between two places: the way a dressmaker measures."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TapedSurface:
    """A surface to lay a tape on. vertices : (n, 3) [mm]. edges : (e, 2) every edge once."""

    vertices: Points
    edges: Indices


def taut_length(surface: TapedSurface, start: ArrayLike, end: ArrayLike, outward: ArrayLike) -> float:
    """Length of a tape from start to end, each (3,), over a surface [mm].

    It runs in the plane that holds both places and ``outward`` (3,), and bridges hollows: the upper hull
    of the
    surface's cut above the straight line between them. Exact where the shortest way lies in a plane.
    """
    a, b = np.asarray(start, dtype=np.float64), np.asarray(end, dtype=np.float64)
    reach = float(np.linalg.norm(b - a))
    if reach < 1e-9:
        return 0.0
    along = (b - a) / reach
    up = np.asarray(outward, dtype=np.float64)
    up = up - (up @ along) * along
    up /= max(float(np.linalg.norm(up)), 1e-12)
    across = np.cross(along, up)
    off = (surface.vertices - a) @ across
    i, j = surface.edges[:, 0], surface.edges[:, 1]
    cut = (off[i] > 0.0) != (off[j] > 0.0)
    i, j = i[cut], j[cut]
    share = (off[i] / (off[i] - off[j]))[:, None]
    place = surface.vertices[i] + share * (surface.vertices[j] - surface.vertices[i]) - a
    s, h = place @ along, place @ up
    over = (s > 0.0) & (s < reach) & (h > 0.0)
    hull = _upper_hull(np.concatenate([[[0.0, 0.0]], np.stack([s[over], h[over]], axis=1), [[reach, 0.0]]]))
    return float(np.linalg.norm(np.diff(hull, axis=0), axis=1).sum())


def _upper_hull(points: Points) -> Points:
    """The upper hull of points (n, 2) from the first to the last along the first axis."""
    order = points[np.argsort(points[:, 0], kind="stable")]
    hull: list[Points] = []
    for p in order:
        while len(hull) > 1:
            (ax, ay), (bx, by) = hull[-2], hull[-1]
            if (bx - ax) * (p[1] - ay) - (by - ay) * (p[0] - ax) < 0.0:
                break
            hull.pop()
        hull.append(p)
    return np.array(hull)
