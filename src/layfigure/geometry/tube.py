"""A tapered tube along a curve, round or with flat sides, and surfaces given as rows of points."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.transport import CurveFrames

Points = NDArray[np.float64]


def tube_rings(points: ArrayLike, frames: CurveFrames, radii: ArrayLike, sides: int) -> Points:
    """Corners of a tube's cross-sections, (m, sides, 3) [mm], counter-clockwise seen against the curve.

    points : (m, 3). radii : (m,) from the curve to the corners [mm]. Corner 0 lies toward each frame's first
    direction, so that the lines through corners of equal number do not twist.
    """
    angle = 2.0 * np.pi * np.arange(sides) / sides
    out = (
        np.cos(angle)[None, :, None] * frames.first[:, None]
        + np.sin(angle)[None, :, None] * frames.second[:, None]
    )
    centres = np.asarray(points, dtype=np.float64)[:, None]
    rings: Points = centres + np.asarray(radii, dtype=np.float64)[:, None, None] * out
    return rings


def circumscribed(radius: ArrayLike, sides: int) -> Points:
    """Radius to the corners of a regular polygon whose girth is that of the circle [mm]."""
    share: Points = np.asarray(radius, dtype=np.float64) * (np.pi / sides) / np.sin(np.pi / sides)
    return share


def rows_mesh(rows: ArrayLike, *, closed: bool) -> TriangleMesh:
    """Triangles over rows of points, (m, n, 3) [mm]; closed : each row's last point is joined to its first.

    Faces run from row to the next row, so rows that go counter-clockwise round a curve look outward.
    """
    p = np.asarray(rows, dtype=np.float64)
    m, n, _ = p.shape
    across = n if closed else n - 1
    row, column = np.meshgrid(np.arange(m - 1), np.arange(across), indexing="ij")
    a = row * n + column
    b = row * n + (column + 1) % n
    c, d = a + n, b + n
    faces = np.stack([a, b, d, a, d, c], axis=-1).reshape(-1, 3)
    return TriangleMesh(p.reshape(-1, 3), faces.astype(np.int64))
