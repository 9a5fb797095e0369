"""Frames carried along a curve in space without turning about it.

Source: W. Wang, B. Jüttler, D. Zheng, Y. Liu, "Computation of rotation minimizing frames", ACM Transactions
on Graphics 27(1), 2008: two reflections a step, whose error falls with the fourth power of the step.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CurveFrames:
    """A frame at every point of a curve.

    tangent, first, second : (m, 3) unit vectors, right-handed in this order.
    """

    tangent: Points
    first: Points
    second: Points


def tangents_of(points: ArrayLike) -> Points:
    """Unit tangents of a polyline at its points, (m, 3), by the parabola through each three neighbours."""
    p = np.asarray(points, dtype=np.float64)
    steps = np.linalg.norm(np.diff(p, axis=0), axis=1)
    distance = np.concatenate([[0.0], np.cumsum(steps)])
    slope = np.gradient(p, distance, axis=0, edge_order=2 if len(p) > 2 else 1)
    unit: Points = slope / np.linalg.norm(slope, axis=1, keepdims=True)
    return unit


def transport_frames(
    points: ArrayLike, first: ArrayLike, *, tangents: ArrayLike | None = None
) -> CurveFrames:
    """Frames along an open curve.

    points : (m, 3) [mm], neighbours apart. first : (3,) direction that the first frame's ``first`` leans
    to, off the tangent there. tangents : (m, 3) unit, found from the points if absent.
    Raises ValueError for a first direction along the curve.
    """
    p = np.asarray(points, dtype=np.float64)
    t = tangents_of(p) if tangents is None else np.asarray(tangents, dtype=np.float64)
    start = np.asarray(first, dtype=np.float64)
    start = start - (start @ t[0]) * t[0]
    size = float(np.linalg.norm(start))
    if size < 1e-9:
        raise ValueError("the first direction runs along the curve")
    r = np.empty_like(p)
    r[0] = start / size
    over_step = _reflections(p[1:] - p[:-1])
    heading = np.einsum("kij,kj->ki", over_step, t[:-1])
    for i, turn in enumerate(_reflections(t[1:] - heading) @ over_step):
        r[i + 1] = turn @ r[i]
    return CurveFrames(tangent=t, first=r, second=np.cross(t, r))


def _reflections(across: Points) -> Points:
    """Matrices that mirror in the planes square to vectors (k, 3), (k, 3, 3); of no vector, none."""
    square = np.einsum("kd,kd->k", across, across)
    twice = np.where(square < 1e-24, 0.0, 2.0 / np.maximum(square, 1e-24))
    return np.eye(3) - twice[:, None, None] * across[:, :, None] * across[:, None, :]
