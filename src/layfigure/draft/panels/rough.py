"""A rough flat map of a patch: good enough to lay an even grid on, not to cut from.

Conformal first (least squares, free outline), because it never needs a starting guess; then a few
as-rigid-as-possible rounds, because an even grid wants even scale.

Sources: B. Lévy et al., Least squares conformal maps, ACM TOG 21(3), 2002; L. Liu et al., A local/global
approach to mesh parameterization, CGF 27(5), 2008.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, csc_matrix, diags
from scipy.sparse.linalg import factorized, spsolve

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


def rough_flat(vertices: Points, faces: Indices, loop: Indices, rounds: int = 12) -> Points:
    """Flat places of a disk's vertices, (n, 2) [mm], counter-clockwise like the faces.

    vertices : (n, 3) [mm]. faces : (m, 3). loop : (b,) outline.
    """
    local = _laid_flat(vertices, faces)
    flat = _conformal(local, faces, len(vertices), _far_pair(vertices, loop))
    area3 = 0.5 * np.abs(_cross(local[:, 1], local[:, 2])).sum()
    corners = flat[faces]
    area2 = 0.5 * np.abs(_cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])).sum()
    flat *= np.sqrt(area3 / area2)
    return _rigid_rounds(local, faces, flat, rounds)


def _cross(u: Points, v: Points) -> Points:
    product: Points = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    return product


def _laid_flat(vertices: Points, faces: Indices) -> Points:
    """Every face in its own plane, (m, 3, 2), first corner at the origin, second on the first axis."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    u, v = b - a, c - a
    length = np.maximum(np.linalg.norm(u, axis=1), 1e-9)
    along = (u * v).sum(1) / length
    height = np.linalg.norm(np.cross(u, v), axis=1) / length
    zero = np.zeros_like(length)
    local: Points = np.stack(
        [np.stack([zero, zero], 1), np.stack([length, zero], 1), np.stack([along, height], 1)], 1
    )
    return local


def _far_pair(vertices: Points, loop: Indices) -> tuple[int, int]:
    """Two outline vertices far apart."""
    start = vertices[loop].mean(axis=0)
    first = loop[np.linalg.norm(vertices[loop] - start, axis=1).argmax()]
    second = loop[np.linalg.norm(vertices[loop] - vertices[first], axis=1).argmax()]
    return int(first), int(second)


def _conformal(local: Points, faces: Indices, n: int, pins: tuple[int, int]) -> Points:
    m = len(faces)
    # W_j = opposite side as a complex number, over the root of twice the area (Lévy et al., eq. 4).
    z = local[..., 0] + 1j * local[..., 1]
    weight = np.stack([z[:, 2] - z[:, 1], z[:, 0] - z[:, 2], z[:, 1] - z[:, 0]], 1)
    twice = np.maximum(np.abs(_cross(local[:, 1], local[:, 2])), 1e-6)
    weight /= np.sqrt(twice)[:, None]
    row = np.repeat(np.arange(m), 3)
    M = coo_matrix((weight.ravel(), (row, faces.ravel())), shape=(m, n)).tocsc()
    free = np.setdiff1d(np.arange(n), pins)
    known = np.zeros(2, dtype=np.complex128)
    known[1] = 1000.0
    A, b = M[:, free], -(M[:, list(pins)] @ known)
    # The complex normal equations, A* A x = A* b, keep the problem half the size of the real form.
    normal = (A.conj().T @ A).tocsc()
    solved = spsolve(normal, A.conj().T @ b)
    whole = np.zeros(n, dtype=np.complex128)
    whole[free] = solved
    whole[list(pins)] = known
    flat: Points = np.stack([whole.real, whole.imag], 1)
    return flat


def _rigid_rounds(local: Points, faces: Indices, flat: Points, rounds: int) -> Points:
    n = len(flat)
    side = np.stack([local[:, 2] - local[:, 1], local[:, 0] - local[:, 2], local[:, 1] - local[:, 0]], 1)
    twice = np.maximum(np.abs(_cross(local[:, 1], local[:, 2])), 1e-6)
    # Cotangent at corner c weighs the side opposite it; clamped so that slivers cannot push.
    cot = np.stack([-(side[:, (c + 1) % 3] * side[:, (c + 2) % 3]).sum(1) / twice for c in range(3)], 1)
    cot = np.clip(cot, 0.01, 20.0)
    i, j = faces[:, [1, 2, 0]], faces[:, [2, 0, 1]]
    off = coo_matrix((cot.ravel(), (i.ravel(), j.ravel())), shape=(n, n)).tocsc()
    off = off + off.T
    L = csc_matrix(diags(np.asarray(off.sum(axis=1)).ravel()) - off)
    solve = factorized(L[1:, 1:].tocsc())
    for _ in range(rounds):
        edge = flat[j] - flat[i]
        # Best rotation of every face: the angle of the weighted sum of (flat side) x conj(own side).
        f, s = edge[..., 0] + 1j * edge[..., 1], side[..., 0] + 1j * side[..., 1]
        turn = (cot * f * s.conj()).sum(axis=1)
        turn /= np.maximum(np.abs(turn), 1e-12)
        pull = cot * s * turn[:, None]
        right = np.zeros(n, dtype=np.complex128)
        np.add.at(right, j.ravel(), pull.ravel())
        np.add.at(right, i.ravel(), -pull.ravel())
        solved = np.zeros((n, 2))
        solved[1:, 0], solved[1:, 1] = solve(right.real[1:].copy()), solve(right.imag[1:].copy())
        flat = solved
    return flat
