"""A chain that hangs between two places under its own weight.

Sources: the catenary y = a cosh(x / a) and its arc length a sinh(x / a) (Leibniz, Huygens and Johann
Bernoulli, 1691); for ends at a level difference v and a horizontal distance h, a chain of length L has
sqrt(L^2 - v^2) = 2 a sinh(h / 2a).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq

Points = NDArray[np.float64]

TAUT = 1e-9
UPRIGHT = 1e-6
"""Ends nearer to the same plumb line than this share of the length hang as a fold."""


def catenary(start: ArrayLike, end: ArrayLike, length: float, count: int = 41) -> Points:
    """The hanging chain from start to end, each (3,), z up, as points at equal arc lengths (count, 3) [mm].

    length : of the chain [mm]; shorter than the straight way it is drawn straight.
    """
    p, q = np.asarray(start, dtype=np.float64), np.asarray(end, dtype=np.float64)
    share = np.linspace(0.0, 1.0, count)
    level = q[:2] - p[:2]
    h, v = float(np.linalg.norm(level)), float(q[2] - p[2])
    if length <= math.hypot(h, v) * (1.0 + TAUT):
        straight: Points = p + share[:, None] * (q - p)
        return straight
    s = length * share
    if h < UPRIGHT * length:
        low = 0.5 * (length - v)
        return np.column_stack(
            [p[0] + share * level[0], p[1] + share * level[1], p[2] - low + np.abs(s - low)]
        )
    a, vertex = _curve(h, v, length)
    from_vertex = s - a * math.sinh(vertex / a)
    x = vertex + a * np.arcsinh(from_vertex / a)
    z = np.sqrt(a**2 + from_vertex**2) - math.sqrt(a**2 + (a * math.sinh(vertex / a)) ** 2)
    along = (x / h)[:, None]
    hanging: Points = np.column_stack([p[:2] + along * level, p[2] + z])
    hanging[[0, -1]] = p, q
    return hanging


def _curve(h: float, v: float, length: float) -> tuple[float, float]:
    """The a of the catenary, and how far from its start its lowest place is, level [mm]."""
    a = 0.5 * h / _flatness(math.sqrt(length**2 - v**2) / h)
    return a, 0.5 * h - a * math.atanh(v / length)


def _flatness(ratio: float) -> float:
    """The u with sinh(u) / u = ratio, ratio above 1."""
    return float(brentq(lambda u: math.log(math.sinh(u) / u) - math.log(ratio), 1e-7, 50.0, xtol=1e-13))


def sag(hanging: ArrayLike) -> float:
    """Greatest plumb distance of a hanging chain below the straight line between its ends [mm]."""
    p = np.asarray(hanging, dtype=np.float64)
    along = np.linalg.norm(p[:, :2] - p[0, :2], axis=1)
    across = float(along[-1])
    if across < 1e-9:
        return float(min(p[0, 2], p[-1, 2]) - p[:, 2].min())
    straight = p[0, 2] + along / across * (p[-1, 2] - p[0, 2])
    return float((straight - p[:, 2]).max())


def length_for_sag(start: ArrayLike, end: ArrayLike, depth: float) -> float:
    """Length of chain that sags by ``depth`` below the straight line between two places [mm]."""
    p, q = np.asarray(start, dtype=np.float64), np.asarray(end, dtype=np.float64)
    straight = float(np.linalg.norm(q - p))
    if depth <= 0.0:
        return straight
    h, v = math.hypot(q[0] - p[0], q[1] - p[1]), float(q[2] - p[2])
    most = straight + 2.0 * depth + 1.0
    return float(brentq(lambda length: _sag_of(h, v, length) - depth, straight, most, xtol=1e-6))


def _sag_of(h: float, v: float, length: float) -> float:
    """What ``sag`` reads of the whole curve: it is farthest below the straight where it runs as steeply."""
    if length <= math.hypot(h, v) * (1.0 + TAUT):
        return 0.0
    if h < UPRIGHT * length:
        return 0.5 * (length - abs(v))
    a, vertex = _curve(h, v, length)
    x = vertex + a * math.asinh(v / h)
    return v * x / h - a * (math.hypot(1.0, v / h) - math.cosh(vertex / a))
