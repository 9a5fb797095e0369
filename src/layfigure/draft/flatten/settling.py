"""Panels reduced to their outlines: inner vertices settle wherever the outlines go."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_matrix, csr_matrix

from layfigure.draft.flatten.arap import PanelStiffness, as_columns, as_complex, factored, solve_complex

Complex = NDArray[np.complex128]
Reals = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class SettledPanels:
    """Panels' stiffness with what stays the same through all placings of their outlines.

    inner_factor : factored stiffness of the inner vertices; coupling : (i, b) theirs with the outlines';
    coupling_adjoint : (b, i) the same the other way. outline_stiffness : of each panel, (b, b): what is left
    when the inner vertices have settled.
    """

    stiffness: PanelStiffness
    inner_factor: Any
    coupling: csc_matrix
    coupling_adjoint: csr_matrix
    outline_stiffness: tuple[Reals, ...]

    def loads(self, flat: Complex) -> tuple[Complex, Complex]:
        """For faces turned as best suits a placing, (n,): pull on the outlines with the inner vertices
        settled, (b,) complex, and on the inner vertices themselves, (i,) complex.
        """
        pull = self.stiffness.sides @ self.stiffness.best_turns(flat)
        inner = pull[self.stiffness.inner]
        settled = solve_complex(self.inner_factor, inner)
        return pull[self.stiffness.loop] - self.coupling_adjoint @ settled, inner

    def placed(self, outline: Complex, pull: Complex) -> Complex:
        """All vertices from the outlines' and :meth:`loads`' second result, (n,) complex."""
        flat = np.empty(outline.size + pull.size, dtype=np.complex128)
        flat[self.stiffness.loop] = outline
        flat[self.stiffness.inner] = solve_complex(self.inner_factor, pull - self.coupling @ outline)
        return flat

    def resistance(self, outline: Complex) -> Complex:
        """Force that the settled panels put up against outlines, (b,) complex."""
        columns = as_columns(outline)
        parts = zip(self.outline_stiffness, self.stiffness.mesh.parts, strict=True)
        return as_complex(np.concatenate([own @ columns[part.outline] for own, part in parts]))

    def followed(self, outline: Reals) -> Reals:
        """Where inner vertices settle for moves of the outlines alone, (b, k) to (i, k)."""
        return np.asarray(-self.inner_factor.solve(self.coupling @ outline), dtype=np.float64)


def settled_panels(stiffness: PanelStiffness) -> SettledPanels:
    """Factor the inner vertices' stiffness and eliminate them."""
    coupling = stiffness.coupling()
    return SettledPanels(
        stiffness=stiffness,
        inner_factor=factored(stiffness.between_inner()),
        coupling=coupling,
        coupling_adjoint=coupling.T,
        outline_stiffness=_outline_stiffness(stiffness),
    )


def _outline_stiffness(stiffness: PanelStiffness) -> tuple[Reals, ...]:
    """Stiffness of each panel's outline with the inner vertices settled, (b, b)."""
    # With the outline eliminated last, the last block of the factors is the factored answer; the outline's
    # first vertex is left out there, and moving it is moving all the others the other way.
    factor = factored(stiffness.outline_last())
    lower, pivots = factor.L, np.sqrt(factor.U.diagonal())
    end, outlines = 0, []
    for part in stiffness.mesh.parts:
        rest = part.outline.stop - part.outline.start - 1
        first = end + part.inner.stop - part.inner.start
        end = first + rest
        starts = lower.indptr[first : end + 1]
        # The last columns have nothing above the last block. The factors are L D Lᵀ, D the diagonal of the
        # upper.
        column = np.repeat(np.arange(rest), np.diff(starts))
        half = np.zeros((rest, rest))
        half[lower.indices[starts[0] : starts[-1]] - first, column] = lower.data[starts[0] : starts[-1]]
        half *= pivots[first:end]
        others = half @ half.T
        whole = np.empty((rest + 1, rest + 1))
        whole[1:, 1:] = others
        whole[0, 1:] = whole[1:, 0] = -others.sum(axis=0)
        whole[0, 0] = others.sum()
        outlines.append(whole)
    return tuple(outlines)


def settle_inside(panels: SettledPanels, flat: Complex, *, steps: int = 10) -> Complex:
    """The inner vertices brought to rest while the outlines stay where they are, (n,) complex."""
    stiffness = panels.stiffness
    outline = flat[stiffness.loop]
    for _ in range(steps):
        pull = stiffness.sides @ stiffness.best_turns(flat)
        flat = panels.placed(outline, pull[stiffness.inner])
    return flat
