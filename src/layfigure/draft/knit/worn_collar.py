"""The stand collar of a close knit, laid on the standing wearer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.flatten.panel import FlatPanel
from layfigure.draft.knit.collar import LEAN
from layfigure.draft.stand_collar import stand_rows
from layfigure.geometry.tube import rows_mesh
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WornCollar:
    """A collar that is still to be laid on the wearer.

    necklines : of every piece at the neck, (k, 3) on the body in the drafting pose. height : of the collar.
    off : how far outside the skin it lies at least [mm].
    """

    name: str
    cloth: str
    necklines: tuple[Points, ...]
    height: float
    off: float

    def on(self, form: Form, necklines: Sequence[Points]) -> WornSurface:
        """The collar. necklines : the same places on the standing wearer."""
        rows = stand_rows(form, _ring(necklines), height=self.height, lean=LEAN, off=self.off)
        return WornSurface(name=self.name, mesh=rows_mesh(rows, closed=True), cloth=self.cloth)


def collar_round(
    flats: Mapping[str, FlatPanel], *, slug: str, cloth: str, height: float, off: float
) -> WornCollar:
    """The collar of a garment, where its panels end at the neck.

    flats : its panels by slug. slug, cloth : of the garment. height, off : as in ``WornCollar`` [mm].
    """
    necklines = [
        flat.panel.vertices[edge.vertices]
        for flat in flats.values()
        for edge in flat.panel.outline
        if edge.slug == "neck"
    ]
    return WornCollar(name=f"{slug}_collar", cloth=cloth, necklines=tuple(necklines), height=height, off=off)


def _ring(parts: Sequence[Points]) -> Points:
    """Lines that meet at their ends as one closed line, its first point not repeated."""
    left = list(parts)
    ring = left.pop(0)
    while left:
        ends = [np.linalg.norm(part[[0, -1]] - ring[-1], axis=1) for part in left]
        nearest = min(range(len(left)), key=lambda k: float(ends[k].min()))
        part, (first, last) = left.pop(nearest), ends[nearest]
        ring = np.vstack([ring, (part if first <= last else part[::-1])[1:]])
    return ring[:-1]
