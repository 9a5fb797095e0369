"""Values along the stations of a region: straight on beyond its ends, or splines through a few knots."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

Points = NDArray[np.float64]


def straight_beyond(x: Points, y: Points, at: Points) -> Points:
    """Linear interpolation that runs on straight beyond both ends, shape of ``at``."""
    t = np.asarray(at, dtype=np.float64)
    first = (y[1] - y[0]) / (x[1] - x[0])
    last = (y[-1] - y[-2]) / (x[-1] - x[-2])
    inside: Points = np.interp(t, x, y)
    result: Points = inside + np.minimum(t - x[0], 0.0) * first + np.maximum(t - x[-1], 0.0) * last
    return result


def spline_weights(knots: Points, station: Points) -> Points:
    """Weights of the natural cubic spline through values at knots, (m, knots); constant beyond the ends."""
    t = np.clip(np.asarray(station, dtype=np.float64), knots[0], knots[-1])
    if len(knots) == 2:
        share = (t - knots[0]) / (knots[1] - knots[0])
        return np.stack([1.0 - share, share], axis=-1)
    weights: Points = _natural_spline(tuple(knots.tolist()))(t)
    return weights


@lru_cache(maxsize=64)
def _natural_spline(knots: tuple[float, ...]) -> CubicSpline:
    return CubicSpline(np.array(knots), np.eye(len(knots)), bc_type="natural")
