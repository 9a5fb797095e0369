"""All stretches of one edge chained into one run of points, every part taken from where it was read best."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.study.meeting import corner_met, crossings
from layfigure.study.stretch import Stretch, normals

Points = NDArray[np.float64]


def one_curve(stretches: Sequence[Stretch]) -> tuple[list[tuple[int, int]], bool]:
    """Chain stretches of one edge into one run of (stretch, mark), leaving out what is read better elsewhere.

    Returns the run and whether it goes right round the region.
    """
    if not stretches:
        return [], False
    kept = [
        [(s, m) for m in np.flatnonzero(~_better_elsewhere(stretches, one)).tolist()]
        for s, one in enumerate(stretches)
    ]
    turns = np.concatenate([stretch.around for stretch in stretches])
    whole = [s for s, stretch in enumerate(stretches) if stretch.closed]
    widest = _widest_gap(turns)
    if not whole and widest < 0.35:
        # Right round: in order of around, starting after the widest gap.
        run = sorted((pair for part in kept for pair in part),
                     key=lambda pair: float(stretches[pair[0]].around[pair[1]]))  # fmt: skip
        return run, True
    if whole:
        size = np.array([np.trace(stretches[s].covariance, axis1=1, axis2=2).mean() for s in whole])
        # Stretches that met as wholes are equally sure but for rounding: the first picture's is taken.
        best = whole[int(np.flatnonzero(size <= size.min() * (1.0 + 1e-9))[0])]
        return [(best, m) for m in range(len(stretches[best].station))], False
    parts = [part for part in kept if part]
    if not parts:
        return [], False
    run = parts.pop(int(np.argmax([len(part) for part in parts])))
    while parts:
        choices = []
        for number, part in enumerate(parts):
            for reverse in (False, True):
                ordered = part[::-1] if reverse else part
                choices.append((_apart(stretches, run[-1], ordered[0]), number, reverse, True))
                choices.append((_apart(stretches, ordered[-1], run[0]), number, reverse, False))
        _, number, reverse, after = min(choices)
        part = parts.pop(number)
        part = part[::-1] if reverse else part
        run = run + part if after else part + run
    return run, False


def _widest_gap(turns: Points) -> float:
    ordered = np.sort(turns)
    return float(np.max(np.append(np.diff(ordered), 1.0 - ordered[-1] + ordered[0])))


def _apart(stretches: Sequence[Stretch], one: tuple[int, int], other: tuple[int, int]) -> float:
    a, b = stretches[one[0]], stretches[other[0]]
    turn = np.mod(b.around[other[1]] - a.around[one[1]] + 0.5, 1.0) - 0.5
    along = (b.station[other[1]] - a.station[one[1]]) * a.scale[one[1], 0]
    return float(np.hypot(along, turn * a.scale[one[1], 1]))


def _better_elsewhere(stretches: Sequence[Stretch], one: Stretch) -> NDArray[np.bool_]:
    """True where another picture's stretch passes by a mark and was read with less spread there, (m,)."""
    size = np.trace(one.covariance, axis1=1, axis2=2)
    better = np.zeros(len(size), dtype=bool)
    across = normals(one)
    for other in stretches:
        if other.picture == one.picture or other.region != one.region:
            continue
        met = crossings(one, across, other).found
        for m in np.flatnonzero(one.corner).tolist():
            met[m] = corner_met(one, m, other) is not None
        turn = np.mod(other.around - one.around[:, None] + 0.5, 1.0) - 0.5
        along = (other.station - one.station[:, None]) * one.scale[:, :1]
        nearest = np.hypot(along, turn * one.scale[:, 1:]).argmin(axis=1)
        better |= met & (np.trace(other.covariance[nearest], axis1=1, axis2=2) < size)
    return better
