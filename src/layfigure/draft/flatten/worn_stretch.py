"""How far a flat panel stretches beyond its ease when worn, over its area."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.panel import FlatPanel
from layfigure.draft.flatten.rest_shape import laid_out_panel

Points = NDArray[np.float64]


def weighted_quantile(values: Points, weights: Points, share: float) -> float:
    """Value that ``share`` of the weight does not exceed."""
    order = np.argsort(values)
    reached = np.cumsum(weights[order])
    return float(values[order][np.searchsorted(reached, share * reached[-1])])


def face_areas(flat: FlatPanel) -> Points:
    """Area of each face on the body, (m,) [mm²]."""
    corners = laid_out_panel(flat.panel)
    u, v = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    return np.asarray(0.5 * (u.conj() * v).imag, dtype=np.float64)


def greatest_stretch_p95(flat: FlatPanel) -> float:
    """95th percentile over the panel's area of the larger of stretch and slack, as a share."""
    return weighted_quantile(np.abs(flat.stretch).max(axis=1), face_areas(flat), 0.95)
