"""A woven collar on the standing wearer: its stand on the bodice's neckline, its fall turned down over it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.stand_collar import stand_rows, up_the_neck
from layfigure.draft.woven.bodice import BodicePlan, Halves
from layfigure.draft.woven.collar import FALL_DEEPER, FALL_SPREAD, FINGER_ROOM, stand_lean
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.polyline import length
from layfigure.geometry.taut_line import Skin
from layfigure.geometry.tube import rows_mesh
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]

TURN = 4.0
"""A fall lies so far outside its stand and the bodice, both cut double, for pictures [mm]."""
FALL_ROWS = 7


def worn_collar(shell: TriangleMesh, halves: Halves, plan: BodicePlan) -> list[WornSurface]:
    """The stand, and its fall where one is wanted; nothing without a collar. shell : the worn bodice."""
    options, form = plan.options, plan.request.form
    if options.collar == "none":
        return []
    slug, off = plan.request.statement.slug, plan.request.stack + FINGER_ROOM / (2.0 * np.pi)
    lean = stand_lean(form, halves, plan)
    stand = stand_rows(form, neckline_of(shell), height=options.collar_height, lean=lean, off=off)
    parts = {"stand": stand}
    if options.collar == "stand_and_fall":
        parts["fall"] = _fall_rows(stand, up_the_neck(form), Skin.of(shell))
    return [
        WornSurface(name=f"{slug}_collar_{part}", mesh=rows_mesh(rows, closed=True), cloth=plan.cloth)
        for part, rows in parts.items()
    ]


def neckline_of(shell: TriangleMesh) -> Points:
    """The neck edge of a worn bodice, its highest rim, (n, 3) closed, its first point not repeated."""
    rims = [shell.vertices[loop] for loop in shell.boundary_loops()]
    longest = max(length(rim, closed=True) for rim in rims)
    # Where the cut grazes a corner a rim of a few millimetres may be left.
    whole = [rim for rim in rims if length(rim, closed=True) > 0.1 * longest]
    return whole[int(np.argmax([rim[:, 2].mean() for rim in whole]))]


def _fall_rows(stand: Points, up: Points, shell: Skin) -> Points:
    """The fall from its outer edge up to the top of the stand, (FALL_ROWS, n, 3) [mm]."""
    top, lower = stand[-1], stand[0]
    out = lower - lower.mean(axis=0)
    out -= (out @ up)[:, None] * up
    out /= np.linalg.norm(out, axis=1, keepdims=True)
    edge = lower - FALL_DEEPER * up + (TURN + FALL_SPREAD / (2.0 * np.pi)) * out
    share = np.linspace(0.0, 1.0, FALL_ROWS)[:, None, None]
    # It turns over at the top, and hangs clear of the stand below.
    rows: Points = edge + share * (top - edge) + TURN * np.sqrt(share * (1.0 - share)) * out
    below = rows[:-1].reshape(-1, 3)
    _, away, above = shell.near(below)
    rows[:-1] += (np.maximum(TURN - above, 0.0)[:, None] * away).reshape(rows[:-1].shape)
    return rows
