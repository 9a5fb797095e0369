"""How far a flat panel stretches beyond its ease when worn, over its area."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.panel import FlatPanel
from layfigure.draft.flatten.rest_shape import face_stretches, laid_out_panel
from layfigure.piece.cloth_field import at_vertices

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


def vertex_stretches(flat: FlatPanel) -> Points:
    """Greatest stretch from flat to worn at every vertex, the ease's own in it, as a share, (n,).

    Of the faces round a vertex, by their area on the body.
    """
    panel = flat.panel
    laid = flat.vertices[:, 0] + 1j * flat.vertices[:, 1]
    stretch, _ = face_stretches(laid_out_panel(panel), laid, panel.faces)
    return at_vertices(stretch[:, 1], face_areas(flat), panel.faces, len(panel.vertices))
