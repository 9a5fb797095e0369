"""Meshes of shells for pictures and weighing."""

from __future__ import annotations

import numpy as np

from layfigure.draft.shell.cap import Cap
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.tube import rows_mesh


def cap_mesh(cap: Cap, *, ways: int = 60, rings: int = 14) -> TriangleMesh:
    """The cap as a mesh, outward faces; its crown is a ring of no width."""
    azimuth = np.linspace(0.0, 2.0 * np.pi, ways, endpoint=False)
    shares = np.concatenate([np.linspace(1.0, 0.06, rings), [0.0]])
    mesh = rows_mesh(cap.points(azimuth[None, :], shares[:, None]), closed=True)
    return TriangleMesh(mesh.vertices, mesh.faces[mesh.face_areas() > 1e-9])
