"""Letting the most stretched places count for more, so that stretch is shared out over the panel.

Least squares alone stretches a bust or an elbow further than need be, while the cloth about it is hardly
stretched at all. Faces are weighted once, by how far plain flattening stretches them and their neighbours.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.arap import PanelStiffness
from layfigure.draft.flatten.rest_shape import face_stretches

Complex = NDArray[np.complex128]
Reals = NDArray[np.float64]

HARMLESS = 0.03
"""Stretch that adds no weight, a share."""
DOUBLING = 0.06
"""Stretch beyond that which doubles the weight."""
GREATEST_WEIGHT = 9.0
SMOOTHING = 3
"""Rounds of averaging over neighbours: weights that jump from face to face would make the outline rough."""


def stretch_weights(stiffness: PanelStiffness, flat: Complex) -> Reals:
    """Weight of every face, (m,), 1 where a plain flat placing hardly stretches it."""
    stretch, _ = face_stretches(stiffness.rest, flat, stiffness.faces)
    far = np.minimum(np.abs(stretch).max(axis=1), 1.0)
    at, n = stiffness.faces.ravel(), flat.size
    shares = np.bincount(at, minlength=n)
    for _ in range(SMOOTHING):
        far = (np.bincount(at, weights=np.repeat(far, 3), minlength=n) / shares)[stiffness.faces].mean(axis=1)
    beyond = np.maximum(far - HARMLESS, 0.0) / DOUBLING
    return np.asarray(np.minimum(1.0 + beyond**2, GREATEST_WEIGHT), dtype=np.float64)
