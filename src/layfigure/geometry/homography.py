"""A flat sheet seen by a camera: pixels to millimetres on the sheet."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Points = NDArray[np.float64]


def homography(seen: ArrayLike, flat: ArrayLike) -> Points:
    """The projective map that takes four places seen to the same four on a plane, (3, 3).

    seen, flat : (4, 2), no three of either on a line. Raises ValueError where three are.
    Hartley and Zisserman, Multiple View Geometry, 2nd ed., section 4.1 (from memory).
    """
    p, q = np.asarray(seen, dtype=np.float64), np.asarray(flat, dtype=np.float64)
    for places in (p, q):
        spread = max(float(np.ptp(places, axis=0).max()), 1e-300)
        for k in range(4):
            a, b, c = np.delete(places, k, axis=0) / spread
            if abs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) < 1e-4:
                raise ValueError("three of the four places lie on a line")
    rows = np.zeros((8, 9))
    for k, ((x, y), (u, v)) in enumerate(zip(p, q, strict=True)):
        rows[2 * k] = [x, y, 1.0, 0.0, 0.0, 0.0, -u * x, -u * y, -u]
        rows[2 * k + 1] = [0.0, 0.0, 0.0, x, y, 1.0, -v * x, -v * y, -v]
    matrix: Points = np.append(np.linalg.solve(rows[:, :8], -rows[:, 8]), 1.0).reshape(3, 3)
    return matrix


def mapped(matrix: Points, places: ArrayLike) -> Points:
    """Places carried by a homography, (n, 2). Raises ValueError for one beyond the sheet's horizon."""
    p = np.asarray(places, dtype=np.float64)
    w = p @ matrix[2, :2] + matrix[2, 2]
    if (w <= 1e-9).any():
        raise ValueError("a place lies beyond the horizon of the sheet")
    result: Points = (p @ matrix[:2, :2].T + matrix[:2, 2]) / w[:, None]
    return result
