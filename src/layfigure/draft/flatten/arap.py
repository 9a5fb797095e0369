"""Making panels flat with each face as near as possible to its rest shape, turned but not deformed.

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
from scipy.sparse import csc_matrix, csr_matrix
from scipy.sparse.linalg import splu

from layfigure.draft.flatten.connections import Connections, connections_of

Complex = NDArray[np.complex128]
Reals = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class PanelStiffness:
    """How a panel resists deformation; or several panels, one mesh that hangs together nowhere.

    mesh : which vertices meet. rest : (m, 3) complex corners of the faces lying free.
    weights : (m, 3) of every side. values : of the cotangent stiffness, see ``Connections.values``.
    pulls : (m, 3) complex, what a face's turn pulls each of its corners with.
    sides : (n, m) complex, takes faces' turns to the right-hand side; sides_adjoint : its adjoint, takes
    positions to each face's best turn.
    """

    mesh: Connections
    rest: Complex
    weights: Reals
    values: Reals
    pulls: Complex
    sides: csr_matrix
    sides_adjoint: csr_matrix

    @property
    def faces(self) -> Indices:
        """(m, 3)."""
        return self.mesh.faces

    @property
    def loop(self) -> Indices:
        """Outline vertices in order, (b,)."""
        return self.mesh.loop

    @property
    def inner(self) -> Indices:
        """The other vertices, (i,)."""
        return self.mesh.inner

    def between_inner(self) -> csc_matrix:
        """Stiffness of the inner vertices, (i, i)."""
        return self.mesh.inner_pattern.columns(self.values)

    def between_free(self) -> csc_matrix:
        """Stiffness of all vertices but each outline's first, in the order of ``mesh.free``."""
        return self.mesh.free_pattern.columns(self.values)

    def between_outline(self) -> csc_matrix:
        """Stiffness of the outlines' vertices, (b, b)."""
        return self.mesh.outline_pattern.columns(self.values)

    def coupling(self) -> csc_matrix:
        """Stiffness of inner vertices with the outline's, (i, b)."""
        return self.mesh.coupling_pattern.columns(self.values)

    def reducing(self) -> csc_matrix:
        """Of each panel the inner vertices first and then the outline's, which feel the inner ones and are
        not felt by them: what its factors have below the inner vertices reduces the panel to its outline.
        """
        return self.mesh.reducing_pattern.columns(self.values)

    def best_turns(self, flat: Complex) -> Complex:
        """Turn of each face that brings its rest shape nearest to the flat one, (m,) unit complex."""
        fitted = self.sides_adjoint @ flat
        size = np.sqrt(fitted.real**2 + fitted.imag**2)
        if not size.all():
            fitted, size = np.where(size > 0.0, fitted, 1.0), np.where(size > 0.0, size, 1.0)
        turns: Complex = fitted / size
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


def stiffness_of(rest: Complex, faces: Indices, loop: Indices) -> PanelStiffness:
    """Assemble. rest : (m, 3); faces : (m, 3); loop : (b,) outline.

    The stiffness is that of linear finite elements, positive definite for any angles, obtuse ones too.
    """
    return stiffness_on(connections_of(faces, loop), rest)


def stiffness_on(mesh: Connections, rest: Complex) -> PanelStiffness:
    """The same on connections that are known. rest : (m, 3)."""
    weights = cotangent_weights(rest)
    # Side k runs from corner k + 1 to corner k + 2, so each corner ends one side and starts another.
    along = weights * (rest[:, [2, 0, 1]] - rest[:, [1, 2, 0]])
    return _assembled(mesh, rest, weights, along[:, [1, 2, 0]] - along[:, [2, 0, 1]])


def reweighted(stiffness: PanelStiffness, face_weights: Reals) -> PanelStiffness:
    """The same panels with every face counting for ``face_weights`` times as much, (m,)."""
    factor = face_weights[:, None]
    return _assembled(stiffness.mesh, stiffness.rest, factor * stiffness.weights, factor * stiffness.pulls)


def _assembled(mesh: Connections, rest: Complex, weights: Reals, pulls: Complex) -> PanelStiffness:
    return PanelStiffness(
        mesh=mesh,
        rest=rest,
        weights=weights,
        values=mesh.values(weights),
        pulls=pulls,
        sides=mesh.by_vertices(pulls),
        sides_adjoint=mesh.by_faces(pulls.conj()),
    )


def factored(matrix: csc_matrix) -> Any:
    """Factors of a symmetric positive definite matrix whose rows are in a good order already."""
    # So small and empty a matrix is factored sooner column by column than by panels of columns.
    return splu(
        matrix, permc_spec="NATURAL", diag_pivot_thresh=0.0, panel_size=1, options={"SymmetricMode": True}
    )


def conformal_start(stiffness: PanelStiffness) -> Complex:
    """A flat start, (n,) complex: angles kept, lengths of the outline kept as well as closing allows."""
    rest, loop, inner, mesh = stiffness.rest, stiffness.loop, stiffness.inner, stiffness.mesh
    angles = np.empty(rest.shape)
    for k in range(3):
        u, v = (rest[:, (k + s) % 3] - rest[:, k] for s in (1, 2))
        angles[:, k] = np.angle(u.conj() * v)
    angle_sums = np.bincount(stiffness.faces.ravel(), weights=angles.ravel(), minlength=mesh.count)
    inner_factor = factored(stiffness.between_inner())
    coupling = stiffness.coupling()
    # Growth that takes up the curvature inside, none on the outline, turns the outline's sides.
    growth = inner_factor.solve(2.0 * np.pi - angle_sums[inner])
    turning = np.pi - angle_sums[loop] - coupling.T @ growth

    lengths = np.abs(rest[:, [2, 0, 1]] - rest[:, [1, 2, 0]]).ravel()[mesh.outline_corners]
    outline = np.concatenate(
        [_closed_outline(lengths[part.outline], turning[part.outline]) for part in mesh.parts]
    )
    flat = np.empty(mesh.count, dtype=np.complex128)
    flat[loop] = outline
    flat[inner] = solve_complex(inner_factor, -(coupling @ outline))
    return flat


def _closed_outline(lengths: Reals, turning: Reals) -> Complex:
    """Outline of sides of some lengths, (b,), that turns by so much at each vertex; the first is at 0."""
    headings = np.exp(1j * np.concatenate([[0.0], np.cumsum(turning[1:])]))
    # Least change of the outline's sides, each in proportion to its length, that closes it.
    gap = np.sum(lengths * headings)
    directions = np.stack([headings.real, headings.imag])
    pull = np.linalg.solve((lengths * directions) @ directions.T, np.array([gap.real, gap.imag]))
    closed = lengths * (1.0 - pull @ directions)
    steps = np.maximum(closed, 0.05 * lengths) * headings
    return np.concatenate([[0.0 + 0j], np.cumsum(steps)[:-1]])


def flatten_freely(stiffness: PanelStiffness, start: Complex | None = None, *, steps: int = 20) -> Complex:
    """Plain flattening with a free outline, (n,) complex, by ``steps`` local and global steps.

    start : (n,) a flat placing to improve; the conformal one when absent.
    """
    flat = conformal_start(stiffness) if start is None else start
    # The first vertex of each outline stays at 0: the energy does not see where a panel lies.
    moving = stiffness.mesh.free
    factor = factored(stiffness.between_free())
    for _ in range(steps):
        pull = stiffness.sides @ stiffness.best_turns(flat)
        flat = np.zeros(flat.size, dtype=np.complex128)
        flat[moving] = solve_complex(factor, pull[moving])
    return flat
