"""Fair a flat line: take the small bends out of it without changing its length."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.polyline import arc_lengths, points_at

Points = NDArray[np.float64]


def faired(curve: Points, *, step: float, reach: float) -> tuple[Points, float]:
    """An open line in the plane with its direction averaged along it.

    curve : (n, 2) [mm]. step : between points of the result [mm]. reach : standard deviation of the
    average along the line [mm]; bends much shorter vanish, much longer ones stay.
    Returns the faired line, laid over the first as closely as a rigid move allows, and the furthest any point
    has moved [mm]. Its length is the curve's, resampled.
    """
    whole = float(arc_lengths(curve)[-1])
    even = points_at(curve, np.linspace(0.0, whole, max(3, int(np.ceil(whole / step)) + 1)))
    steps = np.diff(even, axis=0)
    lengths = np.linalg.norm(steps, axis=1)
    angle = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
    smooth = _local_lines(angle, reach / float(lengths.mean()))
    moved = lengths[:, None] * np.column_stack([np.cos(smooth), np.sin(smooth)])
    line = np.vstack([np.zeros(2), np.cumsum(moved, axis=0)])
    # Best rigid move (Kabsch) onto the line it replaces.
    a, b = line - line.mean(axis=0), even - even.mean(axis=0)
    turn = np.arctan2((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum(), (a * b).sum())
    matrix = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    laid = a @ matrix + even.mean(axis=0)
    return laid, float(np.linalg.norm(laid - even, axis=1).max())


def smoothed(curve: Points, *, step: float, reach: float) -> Points:
    """An open line in the plane with its places averaged along it; both ends stay.

    curve : (n, 2) [mm]. step : between points of the result [mm]. reach : standard deviation of the
    average along the line [mm]. Nothing drifts: a bend of radius R moves by about reach² / 2R.
    """
    whole = float(arc_lengths(curve)[-1])
    count = max(3, int(np.ceil(whole / step)) + 1)
    distance = np.linspace(0.0, whole, count)
    even = points_at(curve, distance)
    places = np.column_stack([_local_lines(even[:, k], reach * (count - 1) / whole) for k in range(2)])
    for end, away in ((0, distance), (-1, whole - distance)):
        places += np.exp(-0.5 * (away / reach) ** 2)[:, None] * (curve[end] - places[end])
    places[0], places[-1] = curve[0], curve[-1]
    return places


def _local_lines(values: Points, deviation: float) -> Points:
    """At every place, the value of the straight line fitted around it with Gaussian weights.

    Unlike an average it keeps a steady slope up to both ends.
    """
    reach = int(np.ceil(4.0 * deviation))
    x = np.arange(-reach, reach + 1)
    weight = np.exp(-0.5 * (x / deviation) ** 2)

    def summed(signal: Points, power: int) -> Points:
        # Convolution mirrors the kernel, hence the sign of its odd power.
        kernel = weight * (-x) ** power
        full: Points = np.convolve(signal, kernel, mode="full")[reach : reach + len(signal)]
        return full

    ones = np.ones(len(values))
    w, wx, wxx = summed(ones, 0), summed(ones, 1), summed(ones, 2)
    y, xy = summed(values, 0), summed(values, 1)
    result: Points = (wxx * y - wx * xy) / (w * wxx - wx**2)
    return result
