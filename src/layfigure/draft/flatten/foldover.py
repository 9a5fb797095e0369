"""Turning back the few faces that were flattened upside down, without moving what must stay.

Other vertices round the turned faces are moved to lower an energy that rises without bound as a face loses
its area, regularised so that it can be evaluated for turned faces too: V. Garanzha, I. Kaporin,
L. Kudryavtseva, F. Protais, N. Ray, D. Sokolov, "Foldover-free maps in 50 lines of code", ACM Transactions
on Graphics 40(4), 2021.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

Complex = NDArray[np.complex128]
Reals = NDArray[np.float64]
Indices = NDArray[np.int64]

LEAST_AREA = 0.05
"""Faces keep at least this share of their rest area."""
RINGS = 4
ROUNDS = 40


def unfolded(rest: Complex, faces: Indices, flat: Complex, staying: Indices) -> Complex | None:
    """The flat panel with every face the right way up, (n,) complex; None where what stays forbids it.

    rest : (m, 3) complex corners of the faces lying free. flat : (n,) complex. staying : (b,) vertices that
    do not move, as the outline, or none. Returns ``flat`` itself when nothing is turned.
    """
    to_alpha, to_beta = _derivative_weights(rest)
    areas = _face_areas(rest[:, 0], rest[:, 1], rest[:, 2])
    bad = _determinants(to_alpha, to_beta, flat[faces]) < LEAST_AREA
    if not bad.any():
        return flat
    fixed = np.zeros(flat.size, dtype=bool)
    fixed[staying] = True
    near = np.zeros(flat.size, dtype=bool)
    near[faces[bad]] = True
    for _ in range(RINGS):
        near[faces[near[faces].any(axis=1)]] = True
    free = np.flatnonzero(near & ~fixed)
    local = np.flatnonzero(near[faces].any(axis=1))
    if not free.size:
        return None
    corners, a, b, area = faces[local], to_alpha[local], to_beta[local], areas[local]
    place = flat.copy()

    for _ in range(ROUNDS):
        determinant = _determinants(a, b, place[corners])
        worst = float(determinant.min())
        if worst > LEAST_AREA:
            return place
        softness = np.sqrt(1e-4 + 0.04 * min(worst, 0.0) ** 2)

        def objective(x: Reals, eps: float = softness) -> tuple[float, Reals]:
            trial = place.copy()
            trial[free] = x[: free.size] + 1j * x[free.size :]
            value, gradient = _energy(a, b, area, trial[corners], eps)
            n = flat.size
            flat_corners = corners.ravel()
            pull = gradient.ravel()
            by_x = np.bincount(flat_corners, weights=pull.real, minlength=n)[free]
            by_y = np.bincount(flat_corners, weights=pull.imag, minlength=n)[free]
            return value, np.concatenate([by_x, by_y])

        start = np.concatenate([place[free].real, place[free].imag])
        answer = minimize(objective, start, jac=True, method="L-BFGS-B", options={"maxiter": 60})
        place[free] = answer.x[: free.size] + 1j * answer.x[free.size :]
    return place if float(_determinants(a, b, place[corners]).min()) > 0.0 else None


def _face_areas(a: Complex, b: Complex, c: Complex) -> Reals:
    return np.asarray(0.5 * ((b - a).conj() * (c - a)).imag, dtype=np.float64)


def _derivative_weights(rest: Complex) -> tuple[Complex, Complex]:
    """Weights that take corner places to α and β of the face's map z -> αz + β conj(z), (m, 3) each."""
    opposite = np.stack([rest[:, (k + 2) % 3] - rest[:, (k + 1) % 3] for k in range(3)], axis=1)
    quarter = 4.0 * _face_areas(rest[:, 0], rest[:, 1], rest[:, 2])[:, None]
    return -1j * opposite.conj() / quarter, 1j * opposite / quarter


def _determinants(to_alpha: Complex, to_beta: Complex, corners: Complex) -> Reals:
    alpha, beta = np.sum(to_alpha * corners, axis=1), np.sum(to_beta * corners, axis=1)
    return np.asarray(np.abs(alpha) ** 2 - np.abs(beta) ** 2, dtype=np.float64)


def _energy(
    to_alpha: Complex, to_beta: Complex, areas: Reals, corners: Complex, softness: float
) -> tuple[float, Complex]:
    """Energy and its gradient by every face's corners, (m, 3) complex (by x, by y)."""
    alpha, beta = np.sum(to_alpha * corners, axis=1), np.sum(to_beta * corners, axis=1)
    p, q = np.abs(alpha) ** 2, np.abs(beta) ** 2
    determinant = p - q
    root = np.sqrt(softness**2 + determinant**2)
    barrier = 0.5 * (determinant + root)
    slope = 0.5 * (1.0 + determinant / root)
    numerator = p + q + 0.5 * (determinant**2 + 1.0)
    value = float(np.sum(areas * numerator / barrier))
    by_determinant = determinant / barrier - numerator * slope / barrier**2
    by_p = areas * (1.0 / barrier + by_determinant)
    by_q = areas * (1.0 / barrier - by_determinant)
    gradient = 2.0 * (by_p * alpha)[:, None] * to_alpha.conj() + 2.0 * (by_q * beta)[:, None] * to_beta.conj()
    return value, gradient
