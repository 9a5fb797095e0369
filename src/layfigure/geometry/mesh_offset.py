"""A mesh moved along its normals: the surface in the middle of a sheet whose outside is given."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.corner_angle import corner_angles
from layfigure.geometry.mesh import TriangleMesh

Points = NDArray[np.float64]

SHARPEST = 3.0
"""A corner moves no further than so many distances, however sharp."""


def offset_mesh(mesh: TriangleMesh, distance: float) -> TriangleMesh:
    """Every face's plane moved outward by a distance [mm], as nearly as its corners allow.

    A corner moves along the mean normal, weighted by the faces' angles there, far enough to keep that
    distance from the planes of the faces about it on average.
    """
    normal, angle = mesh.face_normals(), corner_angles(mesh)
    mean = np.zeros_like(mesh.vertices)
    for k in range(3):
        np.add.at(mean, mesh.faces[:, k], angle[:, k : k + 1] * normal)
    mean /= np.maximum(np.linalg.norm(mean, axis=1, keepdims=True), 1e-12)
    agreement, count = np.zeros(len(mean)), np.zeros(len(mean))
    for k in range(3):
        np.add.at(agreement, mesh.faces[:, k], (mean[mesh.faces[:, k]] * normal).sum(axis=1))
        np.add.at(count, mesh.faces[:, k], 1.0)
    reach = 1.0 / np.maximum(agreement / np.maximum(count, 1.0), 1.0 / SHARPEST)
    return TriangleMesh(mesh.vertices + distance * reach[:, None] * mean, mesh.faces)
