"""The curves of a flat pattern: cubics with a direction at both ends."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from layfigure.geometry.bezier import flattened_bezier
from layfigure.geometry.polyline import length

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


Ends = tuple[Points, Points, Points, Points]
"""Start, direction there, end, direction there, (2,) each."""

LONGEST_HANDLE = 1.2


def equally_long(one: Ends, other: Ends, *, handle: float = 0.33) -> tuple[Points, Points]:
    """Two curves with equal chords that are sewn together, made equally long, (n, 2) each [mm].

    Handles are a third of the chord; the one that bends less gets longer handles. Straight where that is
    not enough.
    """
    curves = [curve_between(*ends, handle, handle) for ends in (one, other)]
    sizes = [length(curve) for curve in curves]
    least = int(np.argmin(sizes))
    ends, wanted = (one, other)[least], max(sizes)

    def short(share: float) -> float:
        return length(curve_between(*ends, share, share)) - wanted

    if short(LONGEST_HANDLE) < 0.0:
        return np.array([one[0], one[2]]), np.array([other[0], other[2]])
    if sizes[0] != sizes[1]:
        share = float(brentq(short, handle, LONGEST_HANDLE, xtol=1e-10))
        curves[least] = curve_between(*ends, share, share)
    return curves[0], curves[1]
