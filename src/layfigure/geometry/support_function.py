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
    values = np.full((*p.shape[:-2], count), -np.inf)
    # Set by set: what one set needs stays in the processor's own memory.
    for index in np.ndindex(p.shape[:-2]):
        known = p[index][~np.isnan(p[index]).any(axis=1)]
        if len(known):
            (known @ around).max(axis=0, out=values[index])
    return values


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


def periodic_spline_basis(count: int, coefficients: int) -> Points:
    """Uniform cubic B-spline basis on the circle at the ``count`` directions, (count, coefficients).

    Rows sum to 1, so equal coefficients are a circle.
    """
    position = np.arange(count) * (coefficients / count)
    knot = np.floor(position).astype(np.int64)
    u = position - knot
    weights = np.stack(
        [(1.0 - u) ** 3, 3.0 * u**3 - 6.0 * u**2 + 4.0, -3.0 * u**3 + 3.0 * u**2 + 3.0 * u + 1.0, u**3]
    )
    basis = np.zeros((count, coefficients))
    for k in range(4):
        np.add.at(basis, (np.arange(count), (knot + k - 1) % coefficients), weights[k] / 6.0)
    return basis
