"""How a stand collar lies on the standing wearer: up from the neckline along the neck, leaning in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.knit.collar import LEAN
from layfigure.geometry.polyline import resample
from layfigure.geometry.taut_line import Skin
from layfigure.geometry.tube import rows_mesh
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]

COLUMNS, ROWS = 72, 5


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
        lower = resample(_ring(necklines), COLUMNS, closed=True)
        sections = form.charts["neck"].sections
        # The chart of the neck runs down, from under the chin to its base.
        up = sections[0].mean(axis=0) - sections[-1].mean(axis=0)
        up /= np.linalg.norm(up)
        out = lower - lower.mean(axis=0)
        out -= (out @ up)[:, None] * up
        share = np.linspace(0.0, 1.0, ROWS)[:, None, None]
        rows = lower + share * (self.height * up - LEAN * out)
        skin = Skin.of(form.standing)
        _, away, above = skin.near(rows.reshape(-1, 3))
        rows += (np.maximum(self.off - above, 0.0)[:, None] * away).reshape(rows.shape)
        return WornSurface(name=self.name, mesh=rows_mesh(rows, closed=True), cloth=self.cloth)


def _ring(parts: Sequence[Points]) -> Points:
    """Lines that meet at their ends as one closed line, its first point not repeated: counter-clockwise, from
    above.
    """
    left = list(parts)
    ring = left.pop(0)
    while left:
        ends = [np.linalg.norm(part[[0, -1]] - ring[-1], axis=1) for part in left]
        nearest = min(range(len(left)), key=lambda k: float(ends[k].min()))
        part, (first, last) = left.pop(nearest), ends[nearest]
        ring = np.vstack([ring, (part if first <= last else part[::-1])[1:]])
    ring = ring[:-1]
    x, y = ring[:, 0], ring[:, 1]
    turns_left = float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) > 0.0
    return ring if turns_left else ring[::-1]
