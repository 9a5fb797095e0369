"""Convex sections described by their support function, on evenly spaced directions.

The support value in a direction is how far the section reaches that way. ``count`` values at directions
``2 pi i / count`` are also a polygon: side ``i`` lies on the line of direction ``i``, and every corner
turns by the same angle. In this form the statements a stiff wrap needs are linear and exact: a point is
inside when no direction sees it beyond the value, a blend of two sections is the blend of their values,
an offset adds a constant, and the girth is ``2 tan(step / 2)`` times the sum.

Source: convex geometry (Minkowski sums of support functions); the radius of curvature of a smooth
section is h + h''.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Points = NDArray[np.float64]


def directions(count: int) -> Points:
    """Unit vectors at angles 2 pi i / count, (count, 2)."""
    angles = np.arange(count) * (2.0 * np.pi / count)
    unit: Points = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    return unit


def support_values(points: ArrayLike, count: int) -> Points:
    """Support values of point sets about the origin.

    points : (..., n, 2) [mm]; points with NaN are left out. Returns (..., count) [mm], -inf where a set
    has no points.
    """
    p = np.asarray(points, dtype=np.float64)
    around = directions(count).T
    sets = p.reshape(-1, *p.shape[-2:])
    values = np.full((len(sets), count), -np.inf)
    # Set by set: what one set needs stays in the processor's own memory.
    for own, missing, reach in zip(sets, np.isnan(sets.sum(axis=2)), values, strict=True):
        known = own[~missing] if missing.any() else own
        if len(known):
            (known @ around).max(axis=0, out=reach)
    return values.reshape(*p.shape[:-2], count)


def side_lengths(values: ArrayLike) -> Points:
    """Signed lengths of the polygon's sides; all positive means convex. Same shape as values (..., count)."""
    h = np.asarray(values, dtype=np.float64)
    step = 2.0 * np.pi / h.shape[-1]
    sides: Points = (np.roll(h, 1, -1) - 2.0 * np.cos(step) * h + np.roll(h, -1, -1)) / np.sin(step)
    return sides


def corner_points(values: ArrayLike) -> Points:
    """Corners of the polygon, (..., count, 2); corner i is where side i starts, running counter-clockwise."""
    h = np.asarray(values, dtype=np.float64)
    count = h.shape[-1]
    half = np.pi / count
    middle = (np.arange(count) - 0.5) * 2.0 * half
    before = np.roll(h, 1, -1)
    out = (h + before) / (2.0 * np.cos(half))
    along = (h - before) / (2.0 * np.sin(half))
    cosine, sine = np.cos(middle), np.sin(middle)
    corners: Points = np.stack([out * cosine - along * sine, out * sine + along * cosine], axis=-1)
    return corners


def section_girth(values: ArrayLike) -> Points:
    """Girth of the polygon, (...) [mm]."""
    h = np.asarray(values, dtype=np.float64)
    girth: Points = 2.0 * np.tan(np.pi / h.shape[-1]) * h.sum(axis=-1)
    return girth


def least_radius(values: ArrayLike) -> float:
    """Smallest radius of curvature [mm]: shortest side over the turn at its ends."""
    h = np.asarray(values, dtype=np.float64)
    return float(side_lengths(h).min() / (2.0 * np.tan(np.pi / h.shape[-1])))


def spline_taps(count: int, coefficients: int) -> tuple[NDArray[np.int64], Points]:
    """Uniform cubic B-spline on the circle at the ``count`` directions: which coefficients each direction
    takes, and how much of each, (count, 4) both. coefficients : how many there are, four at least.

    Shares sum to 1, so equal coefficients are a circle.
    """
    position = np.arange(count) * (coefficients / count)
    before = np.floor(position).astype(np.int64)
    u = position - before
    weights = [(1.0 - u) ** 3, 3.0 * u**3 - 6.0 * u**2 + 4.0, -3.0 * u**3 + 3.0 * u**2 + 3.0 * u + 1.0, u**3]
    return (before[:, None] + np.arange(-1, 3)) % coefficients, np.column_stack(weights) / 6.0


def spline_basis(knots: NDArray[np.int64], taps: Points, coefficients: int) -> Points:
    """What takes coefficients to values, (count, coefficients). knots, taps : of ``spline_taps``."""
    basis = np.zeros((len(knots), coefficients))
    np.put_along_axis(basis, knots, taps, axis=1)
    return basis
