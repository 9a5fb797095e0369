"""The curves of a flat pattern: cubics with a direction at both ends."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.bezier import flattened_bezier

Points = NDArray[np.float64]

FLATNESS = 0.01
"""A polyline stays this near to its curve [mm]."""


def curve_between(
    start: Points, leaving: Points, end: Points, arriving: Points, first: float, second: float
) -> Points:
    """A cubic from start to end, (2,) each, with directions at both, (n, 2) [mm].

    first, second : lengths of its handles as shares of the chord.
    """
    chord = float(np.linalg.norm(end - start))
    one = start + first * chord * leaving / np.linalg.norm(leaving)
    two = end - second * chord * arriving / np.linalg.norm(arriving)
    curve: Points = np.vstack([start, flattened_bezier(np.array([start, one, two, end]), FLATNESS)])
    return curve
