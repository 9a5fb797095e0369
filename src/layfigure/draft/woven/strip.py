"""The inner edge of a strip along a curve: beside it, at a width that may change along it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.polyline import arc_lengths, points_at

Points = NDArray[np.float64]

STEP = 2.0
"""Spacing of points along the edge that is followed [mm]."""


def parallel(curve: Points, first: float, last: float) -> Points:
    """The curve moved to its left as seen along it, by a width that goes evenly from first to last, (n, 2).

    Where the curve is hollow on that side, as at a folded dart, what would cross itself is left out.
    """
    along = arc_lengths(curve)
    at = np.linspace(0.0, float(along[-1]), max(3, int(np.ceil(float(along[-1]) / STEP)) + 1))
    places = points_at(curve, at)
    way = np.gradient(places, axis=0)
    way /= np.linalg.norm(way, axis=1, keepdims=True)
    width = np.interp(at, [0.0, float(along[-1])], [first, last])
    moved: Points = places + width[:, None] * np.column_stack([-way[:, 1], way[:, 0]])
    inner = without_loops(moved)
    # At a hollow end it hooks over the line that ends the strip.
    over = _crossings(places[-1], inner[-1], inner[:-1])
    inner = np.vstack([inner[: over[0][0] + 1], inner[-1]]) if over else inner
    over = _crossings(places[0], inner[0], inner[1:])
    return np.vstack([inner[0], inner[over[-1][0] + 2 :]]) if over else inner


def without_loops(line: Points) -> Points:
    """A line cut short at every place where it crosses itself, (m, 2)."""
    kept = [line[0]]
    here, place = 0, line[0]
    while here < len(line) - 1:
        crossed = _crossings(place, line[here + 1], line[here + 2 :])
        if not crossed:
            here += 1
            place = line[here]
        else:
            number, place = crossed[-1]
            here += 2 + number
        kept.append(place)
    return np.array(kept)


def _crossings(a: Points, b: Points, line: Points) -> list[tuple[int, Points]]:
    """The segments of a line that a stroke crosses between its ends, by number, and where."""
    start, step, ahead = line[:-1], np.diff(line, axis=0), b - a
    turn = ahead[0] * step[:, 1] - ahead[1] * step[:, 0]
    off = start - a
    with np.errstate(divide="ignore", invalid="ignore"):
        along = (off[:, 0] * step[:, 1] - off[:, 1] * step[:, 0]) / turn
        other = (off[:, 0] * ahead[1] - off[:, 1] * ahead[0]) / turn
    hits = np.flatnonzero((along > 0.0) & (along < 1.0) & (other >= 0.0) & (other < 1.0))
    return [(int(number), a + along[number] * ahead) for number in hits]
