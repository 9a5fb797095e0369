"""Making one panel flat with each face as near as possible to its rest shape, turned but not deformed.

The energy sums, over faces, the cotangent-weighted squared differences between flat sides and turned rest
sides. For fixed turns it is quadratic in the positions, so best turns of all faces and best positions of
all vertices are found alternately: local and global steps of L. Liu, L. Zhang, Y. Xu, C. Gotsman and
S. Gortler, "A local/global approach to mesh parameterization", Computer Graphics Forum 27(5), 2008.

The start is a conformal flattening that keeps the outline's lengths (R. Sawhney, K. Crane, "Boundary first
flattening", ACM Transactions on Graphics 37(1), 2017), which needs no more than the same factored
matrix.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import splu

Complex = NDArray[np.complex128]
Reals = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class FlatteningSystem:
    """What stays the same through all steps for one panel's rest shape.

    rest : (m, 3) complex corners. loop : (b,) outline vertices in order. inner : (i,) the others.
    laplacian : (n, n) cotangent stiffness. sides : (n, m) complex, takes faces' turns to the right-hand side;
    sides_adjoint : its adjoint, takes positions to each face's best turn.
    inner_factor : factored stiffness of the inner vertices; coupling : (b, i) theirs with the outline's.
    extension : (i, b), where the inner vertices settle for given outline vertices.
    outline_stiffness : (b, b), what is left when they have.
    """

    faces: Indices
    rest: Complex
    loop: Indices
    inner: Indices
    laplacian: csr_matrix
    sides: csr_matrix
    sides_adjoint: csr_matrix
    inner_factor: Any
    coupling: csr_matrix
    extension: Reals
    outline_stiffness: Reals

    def best_turns(self, flat: Complex) -> Complex:
        """Turn of each face that brings its rest shape nearest to the flat one, (m,) unit complex."""
        fitted = self.sides_adjoint @ flat
        size = np.abs(fitted)
        turns: Complex = np.where(size > 0.0, fitted / np.where(size > 0.0, size, 1.0), 1.0 + 0j)
        return turns

    def loads(self, turns: Complex) -> tuple[Complex, Complex]:
        """Pull of the turned rest shapes on the outline with the inner vertices settled, (b,) complex, and
        where the inner vertices settle for an outline at 0, (i,) complex.
        """
        pull = self.sides @ turns
        inner_pull = pull[self.inner]
        settled = solve_complex(self.inner_factor, inner_pull)
        return pull[self.loop] - self.coupling @ settled, settled

    def assembled(self, outline: Complex, settled: Complex) -> Complex:
        """All vertices from the outline's and :meth:`loads`' second result, (n,) complex."""
        flat = np.empty(self.loop.size + self.inner.size, dtype=np.complex128)
        flat[self.loop] = outline
        flat[self.inner] = settled + real_times(self.extension, outline)
        return flat

    def energy(self, flat: Complex) -> float:
        """The energy with every face turned its best way [mm²]."""
        corners = flat[self.faces]
        turns = self.best_turns(flat)
        cotangents = cotangent_weights(self.rest)
        total = 0.0
        for k in range(3):
            i, j = (k + 1) % 3, (k + 2) % 3
            difference = corners[:, j] - corners[:, i] - turns * (self.rest[:, j] - self.rest[:, i])
            total += 0.5 * float(np.sum(cotangents[:, k] * np.abs(difference) ** 2))
        return total


def as_columns(values: Complex) -> Reals:
    """Real and imaginary parts side by side, (n, 2)."""
    return np.ascontiguousarray(values).view(np.float64).reshape(-1, 2)


def as_complex(columns: Reals) -> Complex:
    """The inverse of :func:`as_columns`, (n,)."""
    return np.ascontiguousarray(columns).view(np.complex128)[:, 0]


def real_times(matrix: Reals, values: Complex) -> Complex:
    """Product of a real matrix and a complex vector, without a complex copy of the matrix."""
    return as_complex(matrix @ as_columns(values))


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


def build_system(rest: Complex, faces: Indices, loop: Indices) -> FlatteningSystem:
    """Assemble and factor. rest : (m, 3); faces : (m, 3); loop : (b,) outline vertices in loop order.

    The stiffness is that of linear finite elements, positive definite for any angles, obtuse ones too.
    """
    n = int(faces.max()) + 1
    m = faces.shape[0]
    weights = cotangent_weights(rest)
    tails = faces[:, [1, 2, 0]].ravel()
    heads = faces[:, [2, 0, 1]].ravel()
    w = weights.ravel()
    laplacian = csr_matrix(
        (
            np.concatenate([w, w, -w, -w]),
            (np.r_[tails, heads, tails, heads], np.r_[tails, heads, heads, tails]),
        ),
        shape=(n, n),
    )
    pull = w * (rest[:, [2, 0, 1]] - rest[:, [1, 2, 0]]).ravel()
    face_of = np.repeat(np.arange(m), 3)
    sides = csr_matrix((np.r_[pull, -pull], (np.r_[heads, tails], np.r_[face_of, face_of])), shape=(n, m))

    is_outline = np.zeros(n, dtype=bool)
    is_outline[loop] = True
    inner = np.flatnonzero(~is_outline)
    inner_factor = splu(
        laplacian[inner][:, inner].tocsc(),
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
    coupling = laplacian[loop][:, inner]
    extension = -inner_factor.solve(coupling.toarray().T)
    stiffness = laplacian[loop][:, loop].toarray() + coupling @ extension
    return FlatteningSystem(
        faces=faces,
        rest=rest,
        loop=loop,
        inner=inner,
        laplacian=laplacian,
        sides=sides,
        sides_adjoint=sides.conj().T.tocsr(),
        inner_factor=inner_factor,
        coupling=coupling,
        extension=extension,
        outline_stiffness=0.5 * (stiffness + stiffness.T),
    )


def conformal_start(system: FlatteningSystem) -> Complex:
    """A flat start, (n,) complex: angles kept, lengths of the outline kept as well as closing allows."""
    n = system.loop.size + system.inner.size
    angles = np.empty(system.rest.shape)
    for k in range(3):
        u, v = (system.rest[:, (k + s) % 3] - system.rest[:, k] for s in (1, 2))
        angles[:, k] = np.angle(u.conj() * v)
    angle_sums = np.bincount(system.faces.ravel(), weights=angles.ravel(), minlength=n)
    defects = 2.0 * np.pi - angle_sums[system.inner]
    turning = np.pi - angle_sums[system.loop] + system.extension.T @ defects

    lengths = _outline_lengths(system)
    headings = np.exp(1j * np.concatenate([[0.0], np.cumsum(turning[1:])]))
    # Least change of the outline's sides, each in proportion to its length, that closes it.
    gap = np.sum(lengths * headings)
    spread = np.array(
        [
            [np.sum(lengths * headings.real**2), np.sum(lengths * headings.real * headings.imag)],
            [np.sum(lengths * headings.real * headings.imag), np.sum(lengths * headings.imag**2)],
        ]
    )
    pull = np.linalg.solve(spread, np.array([gap.real, gap.imag]))
    closed = lengths * (1.0 - (headings.real * pull[0] + headings.imag * pull[1]))
    steps = np.maximum(closed, 0.05 * lengths) * headings
    outline = np.concatenate([[0.0 + 0j], np.cumsum(steps)[:-1]])
    return system.assembled(outline, np.zeros(system.inner.size, dtype=np.complex128))


def _outline_lengths(system: FlatteningSystem) -> Reals:
    """Rest length of each outline side, from each loop vertex to the next, (b,)."""
    n = system.loop.size + system.inner.size
    tails, heads = system.faces.ravel(), system.faces[:, [1, 2, 0]].ravel()
    lengths = np.abs(system.rest[:, [1, 2, 0]] - system.rest).ravel()
    keys = tails * n + heads
    order = np.argsort(keys)
    wanted = system.loop * n + np.roll(system.loop, -1)
    found = order[np.searchsorted(keys, wanted, sorter=order)]
    return np.asarray(lengths[found], dtype=np.float64)


def flatten_freely(
    system: FlatteningSystem, start: Complex | None = None, *, steps: int = 20, tolerance: float = 0.0
) -> Complex:
    """Plain flattening with a free outline, (n,) complex, by ``steps`` local and global steps.

    start : (n,) a flat placing to improve; the conformal one when absent. Stops early when no vertex
    moves further than ``tolerance`` [mm] in a step.
    """
    flat = conformal_start(system) if start is None else start
    # The first outline vertex stays at 0: the energy does not see where the panel lies.
    factor = cho_factor(system.outline_stiffness[1:, 1:])
    outline = np.zeros(system.loop.size, dtype=np.complex128)
    for _ in range(steps):
        load, settled = system.loads(system.best_turns(flat))
        outline[1:] = as_complex(cho_solve(factor, as_columns(load[1:])))
        moved = system.assembled(outline, settled)
        change = float(np.max(np.abs((moved - moved[system.loop[0]]) - (flat - flat[system.loop[0]]))))
        flat = moved
        if change < tolerance:
            break
    return flat


def settle_inside(system: FlatteningSystem, flat: Complex, *, steps: int = 10) -> Complex:
    """The inner vertices brought to rest while the outline stays where it is, (n,) complex."""
    outline = flat[system.loop]
    for _ in range(steps):
        _, settled = system.loads(system.best_turns(flat))
        flat = system.assembled(outline, settled)
    return flat
