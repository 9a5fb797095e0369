"""Hanging pieces as they hang on the standing wearer."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.hanging.fall import Fall
from layfigure.draft.hanging.panel import PanelPlan
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.tube import rows_mesh

Points = NDArray[np.float64]

ROWS = 24
AWAY = 5.0
AWAY_FROM_CAPE = 60.0
DRAWN_IN = 0.5
"""Share of its width that the end of a sash hangs at below the knot, for pictures only."""


def panel_mesh(plan: PanelPlan, lowest: Points, *, over_cape: bool) -> TriangleMesh | None:
    """The panel on the body; None without one.

    lowest : (n,) length of the cloth down to its shaped hem at the plan's places across [mm].
    """
    if plan.fall is None:
        return None
    away = AWAY_FROM_CAPE if over_cape else AWAY
    share = np.linspace(0.0, 1.0, ROWS + 1)
    down = lowest[:, None] * share
    places = plan.fall.at(plan.turn[:, None], down)
    angle = 2.0 * np.pi * plan.turn
    aside = np.stack([np.cos(angle), np.sin(angle), np.zeros_like(angle)], axis=-1)
    out = np.stack([np.sin(angle), -np.cos(angle), np.zeros_like(angle)], axis=-1)
    wider = plan.across[:, None] * (plan.widened(share)[None, :] - 1.0)
    places = places + wider[..., None] * aside[:, None, :] + away * out[:, None, :]
    return rows_mesh(places, closed=False)


def sash_meshes(line: Points, fall: Fall, width: float, tail: float, turn: float) -> list[TriangleMesh]:
    """The band of a sash right round, and its two ends hanging from the knot.

    line : (m, 3) middle line. turn : direction of the knot. Lengths in mm.
    """
    centre = np.append(fall.centre, 0.0)
    out = (line - centre) * (1.0, 1.0, 0.0)
    out /= np.linalg.norm(out, axis=1, keepdims=True)
    every = np.unique(np.linspace(0, len(line) - 1, 60).astype(np.int64))
    ring, away = line[every], out[every]
    heights = np.linspace(0.5, -0.5, 3) * width
    band = ring[:, None, :] + AWAY * away[:, None, :] + heights[None, :, None] * np.array([0.0, 0.0, 1.0])
    meshes = [rows_mesh(band, closed=False)]
    step = DRAWN_IN * width / (2.0 * np.pi * float(fall.reach.max()))
    for side in (-0.55, 0.55):
        turns = turn + (side + np.linspace(-0.5, 0.5, 7)) * step
        places = fall.at(turns[:, None], np.linspace(0.0, tail, 20)[None, :])
        angle = 2.0 * np.pi * turns
        outward = np.stack([np.sin(angle), -np.cos(angle), np.zeros_like(angle)], axis=-1)
        meshes.append(rows_mesh(places + 2.0 * AWAY * outward[:, None, :], closed=False))
    return meshes
