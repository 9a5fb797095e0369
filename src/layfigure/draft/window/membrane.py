"""Equilibrium of a stretched sheet with holes, from its rest shape to its worn shape or backwards.

Linear triangles, Green's strain, the linear law of ``membrane_law``. Backwards is as easy as forwards: the
worn places are known, the rest places are sought, and the same forces must vanish.
"""

from __future__ import annotations

from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu

Points = NDArray[np.float64]
Indices = NDArray[np.int64]
Sought = Literal["rest", "worn"]

DIFFERENCE = 1e-5
"""Step of the differences that give the tangent [mm]."""


def corner_forces(rest: Points, worn: Points, stiffness: Points) -> Points:
    """Forces of every triangle on its corners, (m, 3, 2), from corners at rest and worn, (m, 3, 2) each."""
    rest_sides = np.stack([rest[:, 1] - rest[:, 0], rest[:, 2] - rest[:, 0]], axis=2)
    worn_sides = np.stack([worn[:, 1] - worn[:, 0], worn[:, 2] - worn[:, 0]], axis=2)
    twice_area = rest_sides[:, 0, 0] * rest_sides[:, 1, 1] - rest_sides[:, 0, 1] * rest_sides[:, 1, 0]
    inverse = np.empty_like(rest_sides)
    inverse[:, 0, 0], inverse[:, 1, 1] = rest_sides[:, 1, 1], rest_sides[:, 0, 0]
    inverse[:, 0, 1], inverse[:, 1, 0] = -rest_sides[:, 0, 1], -rest_sides[:, 1, 0]
    inverse /= twice_area[:, None, None]
    gradient = worn_sides @ inverse
    strain = 0.5 * (np.swapaxes(gradient, 1, 2) @ gradient - np.eye(2))
    voigt = np.stack([strain[:, 0, 0], strain[:, 1, 1], 2.0 * strain[:, 0, 1]], axis=1) @ stiffness
    tension = np.empty_like(strain)
    tension[:, 0, 0], tension[:, 1, 1] = voigt[:, 0], voigt[:, 1]
    tension[:, 0, 1] = tension[:, 1, 0] = voigt[:, 2]
    # Rows of the inverse are the gradients of the second and third corner's hat functions.
    pulls = 0.5 * twice_area[:, None, None] * (gradient @ tension @ np.swapaxes(inverse, 1, 2))
    second, third = pulls[:, :, 0], pulls[:, :, 1]
    return np.stack([-(second + third), second, third], axis=1)


def factored_tangent(
    rest: Points, worn: Points, faces: Indices, free: Indices, stiffness: Points, sought: Sought
) -> Any:
    """Factored derivative of the free vertices' forces by their sought places."""
    r, w = rest[faces], worn[faces]
    m = faces.shape[0]
    blocks = np.empty((m, 6, 6))
    for column in range(6):
        step = np.zeros((1, 3, 2))
        step[0, column // 2, column % 2] = DIFFERENCE
        if sought == "worn":
            difference = corner_forces(r, w + step, stiffness) - corner_forces(r, w - step, stiffness)
        else:
            difference = corner_forces(r + step, w, stiffness) - corner_forces(r - step, w, stiffness)
        blocks[:, :, column] = difference.reshape(m, 6) / (2.0 * DIFFERENCE)
    place = np.full(rest.shape[0], -1, dtype=np.int64)
    place[free] = np.arange(free.size)
    own = place[faces]
    unknown = np.where(own[:, :, None] >= 0, 2 * own[:, :, None] + np.arange(2), -1).reshape(m, 6)
    rows = np.repeat(unknown[:, :, None], 6, axis=2).ravel()
    columns = np.repeat(unknown[:, None, :], 6, axis=1).ravel()
    kept = (rows >= 0) & (columns >= 0)
    size = 2 * free.size
    matrix = csc_matrix((blocks.ravel()[kept], (rows[kept], columns[kept])), shape=(size, size))
    return splu(matrix, permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True}, diag_pivot_thresh=0.01)


def vertex_forces(rest: Points, worn: Points, faces: Indices, stiffness: Points) -> Points:
    """Sum of the triangles' forces at every vertex, (n, 2)."""
    forces = corner_forces(rest[faces], worn[faces], stiffness)
    at, n = faces.ravel(), rest.shape[0]
    return np.stack([np.bincount(at, weights=forces[..., k].ravel(), minlength=n) for k in range(2)], axis=1)


def equilibrium(
    rest: Points,
    worn: Points,
    faces: Indices,
    free: Indices,
    stiffness: Points,
    *,
    sought: Sought,
    steps: int = 10,
    tolerance: float = 5e-3,
) -> Points | None:
    """Sought places of all vertices, (n, 2): those of ``free`` so that no force is left there.

    rest, worn : (n, 2) places, the sought ones a starting guess. Newton steps, shortened where one would turn
    a face over; ends when no vertex moves further than ``tolerance`` [mm] in a step.
    None where the steps do not settle.
    """
    places = {"rest": rest.copy(), "worn": worn.copy()}
    for _ in range(steps):
        force = vertex_forces(places["rest"], places["worn"], faces, stiffness)[free]
        factor = factored_tangent(places["rest"], places["worn"], faces, free, stiffness, sought)
        change = factor.solve(-force.ravel()).reshape(-1, 2)
        share = 1.0
        while not _upright(_moved(places[sought], free, share * change), faces) and share > 0.01:
            share *= 0.5
        places[sought] = _moved(places[sought], free, share * change)
        if share * float(np.max(np.abs(change))) < tolerance:
            return places[sought]
    return None


def _moved(places: Points, free: Indices, change: Points) -> Points:
    moved = places.copy()
    moved[free] += change
    return moved


def _upright(places: Points, faces: Indices) -> bool:
    u, v = (places[faces[:, k]] - places[faces[:, 0]] for k in (1, 2))
    return bool(np.all(u[:, 0] * v[:, 1] > u[:, 1] * v[:, 0]))
