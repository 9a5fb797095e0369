"""A flat panel's stitch line: the whole outline, and how sharply it bends."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.panel import FlatPanel

Points = NDArray[np.float64]


def stitch_line(flat: FlatPanel) -> Points:
    """The whole trued outline, (n, 2), first point not repeated."""
    return np.concatenate([flat.curves[edge.slug][:-1] for edge in flat.panel.outline])


def least_radius(curve: Points) -> float:
    """Smallest radius of curvature inside a curve sampled finely and evenly, [mm]; infinite when straight."""
    steps = np.diff(curve, axis=0)
    lengths = np.linalg.norm(steps, axis=1)
    u, v = steps[:-1], steps[1:]
    turns = np.abs(np.arctan2(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0], np.sum(u * v, axis=1)))
    bend = float(np.max(turns / (0.5 * (lengths[:-1] + lengths[1:])))) if turns.size else 0.0
    return 1.0 / bend if bend > 1e-9 else np.inf
