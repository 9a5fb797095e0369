"""Cubic B-splines over [0, 1] with equal spans, as an outline's headings and speeds are made of.

The knots are clamped: a spline starts at its first coefficient and ends at its last.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

Reals = NDArray[np.float64]
Indices = NDArray[np.int64]

GAUSS_NODES = 3
GAUSS_POINTS = 0.5 + 0.5 * np.array([-np.sqrt(0.6), 0.0, np.sqrt(0.6)])
GAUSS_WEIGHTS = np.array([5.0, 8.0, 5.0]) / 18.0
"""On [0, 1], exact for polynomials of degree 5."""


def spline_values(spans: Indices, at: Reals) -> tuple[Indices, Reals]:
    """Number of the first of the four splines that differ from 0 at each point, (k,), and the values of
    those four, (k, 4).

    spans : (k,) each point's own; 0 for a constant, whose one value is 1. at : (k,), clipped to [0, 1].
    By the recursion of M. G. Cox (1972) and C. de Boor (1972).
    """
    at = np.clip(at, 0.0, 1.0)
    count = np.maximum(spans, 1)
    first = np.minimum((at * count).astype(np.int64), count - 1)
    knots = np.clip((first + np.arange(-2, 4)[:, None]) / count, 0.0, 1.0)
    values = np.zeros((4, at.size))
    values[0] = 1.0
    for degree in (1, 2, 3):
        carried = np.zeros(at.size)
        for k in range(degree):
            before, after = knots[3 + k - degree], knots[3 + k]
            share = values[k] / (after - before)
            values[k] = carried + (after - at) * share
            carried = (at - before) * share
        values[degree] = carried
    constant = spans == 0
    if constant.any():
        first[constant], values[:, constant] = 0, np.array([[1.0], [0.0], [0.0], [0.0]])
    return first, values.T


_THIRDS = np.arange(4) / 3.0
_CUBIC_THROUGH_THIRDS = np.linalg.inv(np.vander(_THIRDS, increasing=True)).T


def splines_at(coefficients: Reals, first: Indices, spans: Indices, which: Indices, at: Reals) -> Reals:
    """Values of several splines at many points, (k,), each span read as the cubic it is.

    first, spans : (n,) where each spline's coefficients start, and how many spans it has, 0 for a constant.
    which, at : (k,) the spline of each point, and its place on it in [0, 1].
    """
    pieces = np.maximum(spans, 1)
    starts = np.cumsum(pieces) - pieces
    own = np.repeat(np.arange(pieces.size), pieces)
    thirds = ((np.arange(own.size) - starts[own])[:, None] + _THIRDS) / pieces[own, None]
    columns, values = spline_columns(np.repeat(first[own], 4), np.repeat(spans[own], 4), thirds.ravel())
    cubics = np.einsum("ij,ij->i", values, coefficients[columns]).reshape(-1, 4) @ _CUBIC_THROUGH_THIRDS
    reached = at * pieces[which]
    piece = np.minimum(reached.astype(np.int64), pieces[which] - 1)
    past = reached - piece
    constant, linear, square, cube = cubics[starts[which] + piece].T
    return np.asarray(((cube * past + square) * past + linear) * past + constant, dtype=np.float64)


def spline_columns(first: Indices, spans: Indices, at: Reals) -> tuple[Indices, Reals]:
    """Which coefficients each point's value is made of, and of how much of each, (k, 4).

    first : (k,) where its spline's coefficients start. spans, at : as for :func:`spline_values`.
    """
    before, values = spline_values(spans, at)
    # A constant has one value; the zeros after it stay with it, or they would name a neighbour's coefficient.
    return (first + before)[:, None] + np.where(spans[:, None] > 0, np.arange(4), 0), values


def coefficient_count(spans: int) -> int:
    """Number of coefficients of a spline; one of a constant, spans 0."""
    return spans + 3 if spans else 1


def spread_values(first: Indices, values: Reals, count: int) -> Reals:
    """:func:`spline_values` of splines with ``count`` coefficients as a full basis, (k, count)."""
    basis = np.zeros((first.size, max(count, 4)))
    np.put_along_axis(basis, first[:, None] + np.arange(4), values, axis=1)
    return basis[:, :count]


def coefficient_places(spans: int) -> Reals:
    """Where each spline coefficient acts, (spans + 3,) in [0, 1]; a constant, spans 0, in the middle."""
    if not spans:
        return np.array([0.5])
    knots = _knots(spans)
    return np.asarray((knots[1:-3] + knots[2:-2] + knots[3:-1]) / 3.0, dtype=np.float64)


@lru_cache(maxsize=256)
def roughness(spans: int, order: int) -> Reals:
    """∫ of products of the splines' derivatives of an order over [0, 1], (spans + 3, spans + 3)."""
    at = ((np.arange(spans)[:, None] + GAUSS_POINTS) / spans).ravel()
    weights = np.tile(GAUSS_WEIGHTS / spans, spans)
    derivative = BSpline(_knots(spans), np.eye(spans + 3), 3).derivative(order)(at)
    return np.asarray(derivative.T @ (weights[:, None] * derivative), dtype=np.float64)


def _knots(spans: int) -> Reals:
    return np.concatenate([np.zeros(3), np.linspace(0.0, 1.0, spans + 1), np.ones(3)])
