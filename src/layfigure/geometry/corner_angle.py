"""Angles at the corners of a mesh's triangles, and how a surface curves by what they lack of a full turn."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.mesh import TriangleMesh

Points = NDArray[np.float64]


def corner_angles(mesh: TriangleMesh) -> Points:
    """Angle at every corner of every face, (m, 3) [rad]. For meshes in space."""
    corners = mesh.face_corners()
    ahead, behind = np.roll(corners, -1, axis=1) - corners, np.roll(corners, 1, axis=1) - corners
    sine = np.linalg.norm(np.cross(ahead, behind), axis=2)
    angles: Points = np.arctan2(sine, (ahead * behind).sum(axis=2))
    return angles


def angle_defects(mesh: TriangleMesh) -> Points:
    """What the angles about each vertex lack of a full turn, (n,) [rad]: its share of Gaussian curvature.

    At a vertex of the border it says nothing of curvature.
    """
    summed = np.bincount(
        mesh.faces.ravel(), weights=corner_angles(mesh).ravel(), minlength=len(mesh.vertices)
    )
    return np.asarray(2.0 * np.pi - summed, dtype=np.float64)
