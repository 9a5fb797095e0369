"""A mesh without its finest details: waves shorter than a stated length are smoothed away, the rest kept."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, diags
from scipy.sparse.linalg import splu

from layfigure.geometry.mesh import TriangleMesh

Points = NDArray[np.float64]

FLATTEST = 1e-4
"""Area of a triangle over the square of its longest side below which its angles tell nothing."""


def without_detail(mesh: TriangleMesh, finest: float) -> TriangleMesh:
    """The mesh with waves well below ``finest`` long smoothed away [mm]; its border stays where it is.

    Two implicit steps of the heat equation on the surface, the second on what the first took away, so that a
    wave of length L keeps 1 - (1 - 1/(1 + (finest / L)²))² of its height: three quarters at ``finest``, 2 %
    at a tenth of it. Source of the step: M. Desbrun, M. Meyer, P. Schröder and A. Barr, "Implicit fairing of
    irregular meshes using diffusion and curvature flow", SIGGRAPH 1999.
    """
    faces, places = mesh.faces, mesh.vertices
    n = len(places)
    area = mesh.face_areas()
    corners = mesh.face_corners()
    sides = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2).max(axis=1)
    solid = np.maximum(area, FLATTEST * sides**2)
    rows, columns, values = [], [], []
    for k in range(3):
        i, j = faces[:, (k + 1) % 3], faces[:, (k + 2) % 3]
        u, v = (corners[:, (k + s) % 3] - corners[:, k] for s in (1, 2))
        # A blunt corner's negative cotangent could turn a face over.
        weight = np.maximum(0.25 * (u * v).sum(axis=1) / solid, 0.0)
        rows += [i, j, i, j]
        columns += [j, i, i, j]
        values += [-weight, -weight, weight, weight]
    stiffness = coo_matrix(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))), shape=(n, n)
    )
    own = np.bincount(faces.ravel(), weights=np.repeat(area / 3.0, 3), minlength=n)
    held = np.zeros(n, dtype=bool)
    for loop in mesh.boundary_loops():
        held[loop] = True
    free = np.flatnonzero(~held)
    step = (finest / (2.0 * np.pi)) ** 2
    system = (diags(own) + step * stiffness).tocsr()
    factor = splu(system[free][:, free].tocsc())
    coupling = system[free][:, np.flatnonzero(held)]

    def smoothed(values: Points) -> Points:
        result = values.copy()
        result[free] = factor.solve(own[free, None] * values[free] - coupling @ values[held])
        return result

    once = smoothed(places)
    left = places - once
    return TriangleMesh(once + smoothed(left), faces)
