"""The plane in which windows are stated: the flat panel stretched by its ease, round and along."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.panel import Ease, FlatPanel
from layfigure.draft.flatten.rest_shape import around_in_plane
from layfigure.draft.flatten.worn_stretch import face_areas

Points = NDArray[np.float64]


@lru_cache(maxsize=16)
def grain_axes(flat: FlatPanel) -> Points:
    """The flat panel's mean directions round and along the body, rows of (2, 2), right-handed.

    Every window on a panel asks for them.
    """
    corners = flat.vertices[flat.panel.faces] @ np.array([1.0, 1j])
    directions = around_in_plane(flat.panel, corners - corners[:, :1])
    mean = np.sum(face_areas(flat) * directions)
    mean /= abs(mean)
    axes = np.array([[mean.real, mean.imag], [-mean.imag, mean.real]])
    axes.setflags(write=False)
    return axes


def worn_plane(flat: FlatPanel, ease: Ease) -> Points:
    """Matrix from flat points to worn points, (2, 2): undoes the ease along both mean directions."""
    axes = grain_axes(flat)
    return np.asarray(axes.T @ np.diag([1.0 / (1.0 + ease.around), 1.0 / (1.0 + ease.along)]) @ axes)
