"""A smooth closed outline through points, sharp at its corners."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import CubicSpline

from layfigure.geometry.polyline import arc_lengths

Points = NDArray[np.float64]


def smooth_outline(points: ArrayLike, corners: Sequence[bool], *, samples: int = 8) -> Points:
    """A closed outline, (n, 2), first point not repeated.

    points : (m, 2) in order. corners : which of them stay sharp. samples : points drawn between two given
    ones. Between corners it is a cubic spline by chord length, straight between two.
    """
    ring = np.asarray(points, dtype=np.float64)
    sharp = np.flatnonzero(corners)
    if not sharp.size:
        loop = np.vstack([ring, ring[:1]])
        at = arc_lengths(loop)
        whole: Points = CubicSpline(at, loop, bc_type="periodic")(_between(at, samples))[:-1]
        return whole
    loop = np.roll(ring, -int(sharp[0]), axis=0)
    loop = np.vstack([loop, loop[:1]])
    cuts = [*(sharp - sharp[0]).tolist(), len(ring)]
    return np.concatenate([_run(loop[a : b + 1], samples)[:-1] for a, b in pairwise(cuts)])


def _run(run: Points, samples: int) -> Points:
    at = arc_lengths(run)
    fine = _between(at, samples)
    if len(run) == 2:
        return np.stack([np.interp(fine, at, run[:, k]) for k in range(2)], axis=1)
    smooth: Points = CubicSpline(at, run, bc_type="natural")(fine)
    return smooth


def _between(knots: Points, samples: int) -> Points:
    parts = [np.linspace(a, b, samples, endpoint=False) for a, b in pairwise(knots.tolist())]
    return np.concatenate([*parts, knots[-1:]])
