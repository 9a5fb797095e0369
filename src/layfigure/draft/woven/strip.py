"""The inner edge of a strip along a curve: beside it, at a width that may change along it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.polyline import arc_lengths, points_at

Points = NDArray[np.float64]

STEP = 2.0
"""Spacing of points along the edge that is followed [mm]."""


def parallel(curve: Points, first: float, last: float) -> Points:
    """The curve moved to its left as seen along it, by a width that goes evenly from first to last, (n, 2).

    Meant for curves whose hollow side is on the right, or that bend less than the width.
    """
    along = arc_lengths(curve)
    at = np.linspace(0.0, float(along[-1]), max(3, int(np.ceil(float(along[-1]) / STEP)) + 1))
    places = points_at(curve, at)
    way = np.gradient(places, axis=0)
    way /= np.linalg.norm(way, axis=1, keepdims=True)
    width = np.interp(at, [0.0, float(along[-1])], [first, last])
    moved: Points = places + width[:, None] * np.column_stack([-way[:, 1], way[:, 0]])
    return moved
