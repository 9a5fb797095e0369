"""Panels plainly flattened as one mesh, each by itself and its outline free: where truing begins.

Whoever looks how panels come out so before truing them need not have that done again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.arap import PanelStiffness, flatten_freely, stiffness_on
from layfigure.draft.flatten.connections import connections_of
from layfigure.draft.flatten.one_mesh import one_mesh
from layfigure.draft.flatten.panel import Ease, Panel
from layfigure.draft.flatten.panel_outline import outline_loop
from layfigure.draft.flatten.rest_shape import rest_triangles

Complex = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FreePlacing:
    """Panels after some steps. stiffness : of all. flat : (n,) complex [mm]. steps : taken from the start."""

    panels: tuple[Panel, ...]
    stiffness: PanelStiffness
    flat: Complex
    steps: int

    def after(self, steps: int) -> FreePlacing:
        """The same after so many steps in all, no fewer than were taken."""
        if steps == self.steps:
            return self
        flat = flatten_freely(self.stiffness, self.flat, steps=steps - self.steps)
        return replace(self, flat=flat, steps=steps)


def place_freely(panels: Sequence[Panel], ease: Ease | Mapping[str, Ease], *, steps: int) -> FreePlacing:
    """Panels after so many steps from the conformal start. ease : for all, or by panel slug.

    Raises DraftError for panels with a broken outline or faces without area.
    """
    eases = [ease if isinstance(ease, Ease) else ease[panel.slug] for panel in panels]
    mesh = one_mesh(tuple(connections_of(panel.faces, outline_loop(panel)) for panel in panels))
    rests = [rest_triangles(panel, own) for panel, own in zip(panels, eases, strict=True)]
    stiffness = stiffness_on(mesh, np.concatenate(rests))
    flat = flatten_freely(stiffness, steps=steps)
    return FreePlacing(panels=tuple(panels), stiffness=stiffness, flat=flat, steps=steps)
