"""Making one panel flat with each face as near as possible to its rest shape, turned but not deformed.

The energy sums, over faces, the cotangent-weighted squared differences between flat sides and turned rest
sides. For fixed turns it is quadratic in the positions, so best turns of all faces and best positions of
all vertices are found alternately: local and global steps of L. Liu, L. Zhang, Y. Xu, C. Gotsman and
S. Gortler, "A local/global approach to mesh parameterization", Computer Graphics Forum 27(5), 2008.

The start is a conformal flattening that keeps the outline's lengths: R. Sawhney, K. Crane, "Boundary first
flattening", ACM Transactions on Graphics 37(1), 2017.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import splu

Complex = NDArray[np.complex128]
Reals = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class PanelStiffness:
    """How a panel resists deformation.

    faces : (m, 3). rest : (m, 3) complex corners of the faces lying free. weights : (m, 3) of every side.
    loop : (b,) outline vertices in order. inner : (i,) the others.
    laplacian : (n, n) cotangent stiffness. sides : (n, m) complex, takes faces' turns to the right-hand side;
    sides_adjoint : its adjoint, takes positions to each face's best turn.
    """

    faces: Indices
    rest: Complex
    weights: Reals
    loop: Indices
    inner: Indices
    laplacian: csr_matrix
    sides: csr_matrix
    sides_adjoint: csr_matrix

    def best_turns(self, flat: Complex) -> Complex:
        """Turn of each face that brings its rest shape nearest to the flat one, (m,) unit complex."""
        fitted = self.sides_adjoint @ flat
        size = np.abs(fitted)
        turns: Complex = np.where(size > 0.0, fitted / np.where(size > 0.0, size, 1.0), 1.0 + 0j)
        return turns

    def energy(self, flat: Complex) -> float:
        """The energy with every face turned its best way [mm²]."""
        corners = flat[self.faces]
        turns = self.best_turns(flat)
        total = 0.0
        for k in range(3):
            i, j = (k + 1) % 3, (k + 2) % 3
            difference = corners[:, j] - corners[:, i] - turns * (self.rest[:, j] - self.rest[:, i])
            total += 0.5 * float(np.sum(self.weights[:, k] * np.abs(difference) ** 2))
        return total


def as_columns(values: Complex) -> Reals:
    """Real and imaginary parts side by side, (n, 2)."""
    return np.ascontiguousarray(values).view(np.float64).reshape(-1, 2)


def as_complex(columns: Reals) -> Complex:
    """The inverse of :func:`as_columns`, (n,)."""
    return np.ascontiguousarray(columns).view(np.complex128)[:, 0]


def solve_complex(factor: Any, right: Complex) -> Complex:
    """Solution of a factored real system for a complex right-hand side, (n,)."""
    return as_complex(factor.solve(as_columns(right)))


def cotangent_weights(rest: Complex) -> Reals:
    """Half the cotangent of the angle at each corner, (m, 3): the weight of the side opposite it."""
    weights = np.empty(rest.shape)
    for k in range(3):
        u, v = rest[:, (k + 1) % 3] - rest[:, k], rest[:, (k + 2) % 3] - rest[:, k]
        product = u.conj() * v
        weights[:, k] = 0.5 * product.real / product.imag
    return weights


def stiffness_of(
    rest: Complex, faces: Indices, loop: Indices, face_weights: Reals | None = None
) -> PanelStiffness:
    """Assemble. rest : (m, 3); faces : (m, 3); loop : (b,) outline; face_weights : (m,), 1 if absent.

    The stiffness is that of linear finite elements, positive definite for any angles, obtuse ones too.
    """
    n = int(faces.max()) + 1
    m = faces.shape[0]
    weights = cotangent_weights(rest)
    if face_weights is not None:
        weights = weights * face_weights[:, None]
    tails = faces[:, [1, 2, 0]].ravel()
    heads = faces[:, [2, 0, 1]].ravel()
    w = weights.ravel()
    rows, columns = np.r_[tails, heads, tails, heads], np.r_[tails, heads, heads, tails]
    laplacian = csr_matrix((np.concatenate([w, w, -w, -w]), (rows, columns)), shape=(n, n))
    pull = w * (rest[:, [2, 0, 1]] - rest[:, [1, 2, 0]]).ravel()
    face_of = np.repeat(np.arange(m), 3)
    sides = csr_matrix((np.r_[pull, -pull], (np.r_[heads, tails], np.r_[face_of, face_of])), shape=(n, m))
    is_outline = np.zeros(n, dtype=bool)
    is_outline[loop] = True
    return PanelStiffness(
        faces=faces,
        rest=rest,
        weights=weights,
        loop=loop,
        inner=np.flatnonzero(~is_outline),
        laplacian=laplacian,
        sides=sides,
        sides_adjoint=sides.conj().T.tocsr(),
    )


def factored(matrix: csr_matrix) -> Any:
    """Factors of a symmetric positive definite matrix."""
    return splu(
        matrix.tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
    )


def conformal_start(stiffness: PanelStiffness) -> Complex:
    """A flat start, (n,) complex: angles kept, lengths of the outline kept as well as closing allows."""
    rest, loop, inner = stiffness.rest, stiffness.loop, stiffness.inner
    n = loop.size + inner.size
    angles = np.empty(rest.shape)
    for k in range(3):
        u, v = (rest[:, (k + s) % 3] - rest[:, k] for s in (1, 2))
        angles[:, k] = np.angle(u.conj() * v)
    angle_sums = np.bincount(stiffness.faces.ravel(), weights=angles.ravel(), minlength=n)
    inner_factor = factored(stiffness.laplacian[inner][:, inner])
    coupling = stiffness.laplacian[loop][:, inner]
    # Growth that takes up the curvature inside, none on the outline, turns the outline's sides.
    growth = inner_factor.solve(2.0 * np.pi - angle_sums[inner])
    turning = np.pi - angle_sums[loop] - coupling @ growth

    lengths = _outline_lengths(stiffness)
    headings = np.exp(1j * np.concatenate([[0.0], np.cumsum(turning[1:])]))
    # Least change of the outline's sides, each in proportion to its length, that closes it.
    gap = np.sum(lengths * headings)
    directions = np.stack([headings.real, headings.imag])
    pull = np.linalg.solve((lengths * directions) @ directions.T, np.array([gap.real, gap.imag]))
    closed = lengths * (1.0 - pull @ directions)
    steps = np.maximum(closed, 0.05 * lengths) * headings
    flat = np.empty(n, dtype=np.complex128)
    flat[loop] = np.concatenate([[0.0 + 0j], np.cumsum(steps)[:-1]])
    flat[inner] = solve_complex(inner_factor, -(coupling.T @ flat[loop]))
    return flat


def _outline_lengths(stiffness: PanelStiffness) -> Reals:
    """Rest length of each outline side, from each loop vertex to the next, (b,)."""
    faces, loop = stiffness.faces, stiffness.loop
    n = int(faces.max()) + 1
    tails, heads = faces.ravel(), faces[:, [1, 2, 0]].ravel()
    lengths = np.abs(stiffness.rest[:, [1, 2, 0]] - stiffness.rest).ravel()
    keys = tails * n + heads
    order = np.argsort(keys)
    found = order[np.searchsorted(keys, loop * n + np.roll(loop, -1), sorter=order)]
    return np.asarray(lengths[found], dtype=np.float64)


def flatten_freely(stiffness: PanelStiffness, start: Complex | None = None, *, steps: int = 20) -> Complex:
    """Plain flattening with a free outline, (n,) complex, by ``steps`` local and global steps.

    start : (n,) a flat placing to improve; the conformal one when absent.
    """
    flat = conformal_start(stiffness) if start is None else start
    # The first outline vertex stays at 0: the energy does not see where the panel lies.
    moving = np.delete(np.arange(flat.size), stiffness.loop[0])
    factor = factored(stiffness.laplacian[moving][:, moving])
    for _ in range(steps):
        pull = stiffness.sides @ stiffness.best_turns(flat)
        flat = np.zeros(flat.size, dtype=np.complex128)
        flat[moving] = solve_complex(factor, pull[moving])
    return flat
