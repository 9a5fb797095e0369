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
Indices = NDArray[np.integer]


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

    def pull(self, flat: Complex) -> Complex:
        """What faces turned as best suits a placing, (n,), pull all vertices with, (n,) complex."""
        pull: Complex = self.stiffness.sides @ self.stiffness.best_turns(flat)
        return pull

    def load(self, pull: Complex) -> Complex:
        """Pull on the outlines with the inner vertices settled, (b,) complex."""
        settled = solve_complex(self.inner_factor, pull[self.stiffness.inner])
        return np.asarray(pull[self.stiffness.loop] - self.coupling_adjoint @ settled, dtype=np.complex128)

    def placed(self, outline: Complex, pull: Complex) -> Complex:
        """All vertices from the outlines' and :meth:`pull`, (n,) complex."""
        inner = self.stiffness.inner
        flat = np.empty_like(pull)
        flat[self.stiffness.loop] = outline
        flat[inner] = solve_complex(self.inner_factor, pull[inner] - self.coupling @ outline)
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
    # K_bb - K_bi K_ii⁻¹ K_ib. With K_ii = L D Lᵀ, eliminating the inner vertices leaves X = K_bi L⁻ᵀ D⁻¹
    # below them, and what is taken away is X D Xᵀ.
    factor = factored(stiffness.reducing())
    lower, pivots = factor.L, np.sqrt(factor.U.diagonal())
    between = stiffness.between_outline()
    start, outlines = 0, []
    for part in stiffness.mesh.parts:
        border, inner = part.outline.stop - part.outline.start, part.inner.stop - part.inner.start
        row, column, values = _entries(lower, slice(start, start + inner))
        below = row >= start + inner
        row, column, values = row[below] - start - inner, column[below], values[below]
        # Half the inner vertices lie too deep inside to reach the outline.
        reaching = np.bincount(column, minlength=inner) > 0
        half = np.zeros((np.count_nonzero(reaching), border))
        half[(np.cumsum(reaching) - 1)[column], row] = values * pivots[start + column]
        outline = -(half.T @ half)
        row, column, values = _entries(between, part.outline)
        outline[row - part.outline.start, column] += values
        outlines.append(outline)
        start += inner + border
    return tuple(outlines)


def _entries(matrix: csc_matrix, columns: slice) -> tuple[Indices, Indices, Reals]:
    """Rows, columns counted from the first, and values of what some columns hold."""
    starts = matrix.indptr[columns.start : columns.stop + 1]
    held = slice(starts[0], starts[-1])
    return matrix.indices[held], np.repeat(np.arange(starts.size - 1), np.diff(starts)), matrix.data[held]


def settle_inside(panels: SettledPanels, flat: Complex, *, steps: int = 10) -> Complex:
    """The inner vertices brought to rest while the outlines stay where they are, (n,) complex."""
    outline = flat[panels.stiffness.loop]
    for _ in range(steps):
        flat = panels.placed(outline, panels.pull(flat))
    return flat
