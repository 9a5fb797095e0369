"""A panel reduced to its outline: inner vertices settle wherever the outline goes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from layfigure.draft.flatten.arap import PanelStiffness, as_columns, as_complex, factored, solve_complex

Complex = NDArray[np.complex128]
Reals = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class SettledPanel:
    """A panel's stiffness with what stays the same through all placings of its outline.

    inner_factor : factored stiffness of the inner vertices; coupling : (b, i) theirs with the outline's.
    extension : (i, b) single precision, where the inner vertices settle for given outline vertices.
    outline_stiffness : (b, b), what is left when they have.
    """

    stiffness: PanelStiffness
    inner_factor: Any
    coupling: csr_matrix
    extension: NDArray[np.float32]
    outline_stiffness: Reals

    def loads(self, flat: Complex) -> tuple[Complex, Complex]:
        """For faces turned as best suits a placing, (n,): pull on the outline with the inner vertices
        settled, (b,) complex, and where these settle for an outline at 0, (i,) complex.
        """
        pull = self.stiffness.sides @ self.stiffness.best_turns(flat)
        settled = solve_complex(self.inner_factor, pull[self.stiffness.inner])
        return pull[self.stiffness.loop] - self.coupling @ settled, settled

    def placed(self, outline: Complex, settled: Complex) -> Complex:
        """All vertices from the outline's and :meth:`loads`' second result, (n,) complex."""
        flat = np.empty(outline.size + settled.size, dtype=np.complex128)
        flat[self.stiffness.loop] = outline
        # About the first vertex, so that single precision rounds distances within the panel only.
        followed = self.extension @ as_columns(outline - outline[0]).astype(np.float32)
        flat[self.stiffness.inner] = settled + outline[0] + as_complex(followed.astype(np.float64))
        return flat


def settled_panel(stiffness: PanelStiffness) -> SettledPanel:
    """Factor the inner vertices' stiffness and eliminate them."""
    loop, inner = stiffness.loop, stiffness.inner
    inner_factor = factored(stiffness.laplacian[inner][:, inner])
    coupling = stiffness.laplacian[loop][:, inner]
    extension = -inner_factor.solve(coupling.toarray().T)
    outline_stiffness = stiffness.laplacian[loop][:, loop].toarray() + coupling @ extension
    return SettledPanel(
        stiffness=stiffness,
        inner_factor=inner_factor,
        coupling=coupling,
        extension=extension.astype(np.float32),
        outline_stiffness=0.5 * (outline_stiffness + outline_stiffness.T),
    )


def settle_inside(panel: SettledPanel, flat: Complex, *, steps: int = 10) -> Complex:
    """The inner vertices brought to rest while the outline stays where it is, (n,) complex."""
    outline = flat[panel.stiffness.loop]
    for _ in range(steps):
        _, settled = panel.loads(flat)
        flat = panel.placed(outline, settled)
    return flat
