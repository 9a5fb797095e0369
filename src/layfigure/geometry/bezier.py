"""Bézier curves as polylines."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]


def flattened_bezier(corners: Points, flatness: float) -> Points:
    """A Bézier curve in equal steps of its parameter, as many as its second differences ask for.

    corners : (degree + 1, d) control points. Returns (n, d) points after the first, the last exactly the end;
    no chord is further than ``flatness`` from the curve: over 1/n of the parameter it is off by at most
    degree (degree - 1) / (8 n²) times the largest second difference of the control points (Wang 1984, from
    memory).
    """
    degree = len(corners) - 1
    if degree == 1:
        return corners[1:].copy()
    bend = float(np.linalg.norm(np.diff(corners, 2, axis=0), axis=1).max())
    count = max(1, math.ceil(math.sqrt(degree * (degree - 1) / 8.0 * bend / flatness)))
    t = (np.arange(count) + 1.0)[:, None] / count
    terms = [math.comb(degree, k) * t**k * (1.0 - t) ** (degree - k) * corners[k] for k in range(degree + 1)]
    points: Points = np.sum(terms, axis=0)
    points[-1] = corners[-1]
    return points
