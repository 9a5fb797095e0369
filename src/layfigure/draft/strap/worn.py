"""A strap as a ribbon along its way over the standing body."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.strap.route import StrapRun
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.taut_line import Skin
from layfigure.geometry.tube import rows_mesh

Points = NDArray[np.float64]

SEEN = 2.0
"""Drawn this far above where it lies, so that the skin does not show through [mm]."""


def ribbon(run: StrapRun, width: float) -> Points:
    """Rows of three points across a strap, its right edge first as seen from outside, (n, 3, 3) [mm]."""
    along = np.gradient(run.points, axis=0)
    across = np.cross(run.outward, along)
    across /= np.maximum(np.linalg.norm(across, axis=1, keepdims=True), 1e-12)
    steps = 0.5 * width * np.array([-1.0, 0.0, 1.0])[:, None]
    rows: Points = run.points[:, None] + steps * across[:, None]
    return rows


def edge_heights(skin: Skin, rows: Points) -> Points:
    """How far both edges of a ribbon are above the skin, (n, 2) [mm]."""
    _, _, high = skin.near(rows[:, [0, 2]].reshape(-1, 3))
    heights: Points = high.reshape(-1, 2)
    return heights


def worn_ribbon(skin: Skin, rows: Points, least: Points) -> TriangleMesh:
    """The ribbon for pictures, every point above the skin by its own least height, (n, 3) [mm]."""
    flat = rows.reshape(-1, 3)
    _, normal, high = skin.near(flat)
    lifted = flat + (SEEN + np.maximum(least.reshape(-1) - high, 0.0))[:, None] * normal
    return rows_mesh(lifted.reshape(rows.shape), closed=False)
