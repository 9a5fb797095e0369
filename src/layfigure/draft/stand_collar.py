"""How a stand collar lies on the standing wearer: up from the neckline along the neck, leaning in."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.geometry.polyline import resample
from layfigure.geometry.taut_line import Skin

Points = NDArray[np.float64]

COLUMNS, ROWS = 72, 5
STAND_LAYERS, FALL_LAYERS = 2.0, 4.0
"""How many cloths thick a stand is, which is cut double, and where a fall lies over it."""


def stand_rows(form: Form, neckline: Points, *, height: float, lean: float, off: float) -> Points:
    """A stand row by row from the neckline up, (ROWS, COLUMNS, 3) [mm], each row closed and begun at the same
    place.

    neckline : (n, 3) closed, its first point not repeated, on the standing wearer. lean : how much shorter
    its upper edge is, as a share. off : how far
    outside the skin it lies at least [mm].
    """
    lower = resample(_from_above(neckline), COLUMNS, closed=True)
    up = up_the_neck(form)
    out = lower - lower.mean(axis=0)
    out -= (out @ up)[:, None] * up
    share = np.linspace(0.0, 1.0, ROWS)[:, None, None]
    rows: Points = lower + share * (height * up - lean * out)
    # Its lowest row is sewn on, and stays where the neckline is.
    _, away, above = Skin.of(form.standing).near(rows[1:].reshape(-1, 3))
    rows[1:] += (np.maximum(off - above, 0.0)[:, None] * away).reshape(rows[1:].shape)
    return rows


def up_the_neck(form: Form) -> Points:
    """Unit direction of the neck's axis, (3,)."""
    sections = form.charts["neck"].sections
    # The chart of the neck runs down, from under the chin to its base.
    up = sections[0].mean(axis=0) - sections[-1].mean(axis=0)
    unit: Points = up / np.linalg.norm(up)
    return unit


def _from_above(ring: Points) -> Points:
    """The ring counter-clockwise from above."""
    x, y = ring[:, 0], ring[:, 1]
    return ring if float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) > 0.0 else ring[::-1]
