"""Edges traced on a band and laid flat, and the outline they make."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.developable import Band, FlatBand
from layfigure.geometry.fairing import smoothed
from layfigure.geometry.polyline import arc_lengths, length, points_at

Points = NDArray[np.float64]

RIPPLE = 2.5
"""Waves about this long are taken out of an edge [mm]."""

LONGEST_STEP = 1.95
"""Between points of an outline [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trace:
    """A line on a band: ruling (m,) strictly rising, share (m,), and which points are corners."""

    ruling: Points
    share: Points
    corner: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatLine:
    """A line on a flat band, left to right: (n, 2) [mm] and the indices of its sharp points."""

    curve: Points
    corners: tuple[int, ...] = ()

    def fair(self) -> FlatLine:
        """The same line without the ripples that the tape surface's facets leave in it.

        Sharp points and both ends stay where they are.
        """
        parts = []
        for part in self.parts():
            long = length(part) > 8.0 * RIPPLE
            parts.append(smoothed(part, step=LONGEST_STEP, reach=RIPPLE) if long else part)
        ends = np.cumsum([len(part) - 1 for part in parts])
        curve = np.concatenate([parts[0], *[part[1:] for part in parts[1:]]])
        return FlatLine(curve=curve, corners=tuple(int(end) for end in ends[:-1]))

    def dense(self) -> FlatLine:
        """The same line with points added on its longer steps, so that none exceeds ``LONGEST_STEP``."""
        steps = np.linalg.norm(np.diff(self.curve, axis=0), axis=1)
        extra = np.maximum(np.ceil(steps / LONGEST_STEP).astype(np.int64), 1)
        place = np.concatenate([[0], np.cumsum(extra)])
        position = np.interp(np.arange(place[-1] + 1), place, np.arange(len(place)))
        curve = np.column_stack(
            [np.interp(position, np.arange(len(place)), self.curve[:, k]) for k in range(2)]
        )
        return FlatLine(curve=curve, corners=tuple(int(place[k]) for k in self.corners))

    def parts(self) -> list[Points]:
        """The line cut at its sharp points."""
        cuts = [0, *self.corners, len(self.curve) - 1]
        return [self.curve[a : b + 1] for a, b in itertools.pairwise(cuts) if b > a]


def trace(band: Band, local: Points, corner: NDArray[np.bool_]) -> Trace:
    """Where a line near a band lies on it: nearest in the plane of each of its points.

    local : (m, 3) in the frame, one way round. Points are added on every ruling crossed, so that the line
    between two points stays within one trapezoid and lies flat without error.
    """
    ruling, share = band.nearest(local)
    ruling = np.unwrap(ruling, period=band.count)
    if ruling[-1] < ruling[0]:
        ruling, share, corner = ruling[::-1], share[::-1], corner[::-1]
    # Nearest points never run backward on a convex section; rounding may.
    forward = np.concatenate([[True], ruling[1:] > np.maximum.accumulate(ruling)[:-1] + 1e-6])
    forward |= corner
    ruling, share, corner = ruling[forward], share[forward], corner[forward]
    steady = np.concatenate([[True], np.diff(ruling) > 0.0])
    ruling, share, corner = ruling[steady], share[steady], corner[steady]
    whole = np.arange(np.ceil(ruling[0]), np.floor(ruling[-1]) + 1)
    extra = whole[~np.isin(whole, ruling)]
    position = np.concatenate([ruling, extra])
    order = np.argsort(position, kind="stable")
    return Trace(
        ruling=position[order],
        share=np.concatenate([share, np.interp(extra, ruling, share)])[order],
        corner=np.concatenate([corner, np.zeros(len(extra), dtype=np.bool_)])[order],
    )


def stretch_of(line: Trace, first: int, trapezoids: int, count: int) -> Trace:
    """The part of a line from ruling ``first`` over a number of trapezoids, repeated if it goes round.

    Raises ValueError when an open line does not reach that far.
    """
    ruling, share, corner = line.ruling, line.share, line.corner
    if ruling[-1] - ruling[0] > count - 1e-6:
        laps = [
            (ruling[:-1] + lap * count, share[:-1], corner[:-1])
            for lap in range(
                int(np.floor((first - ruling[0]) / count)) - 1,
                int(np.ceil((first + trapezoids - ruling[0]) / count)) + 2,
            )
        ]
        ruling, share, corner = (np.concatenate(parts) for parts in zip(*laps, strict=True))
    else:
        lap = np.round((first + 0.5 * trapezoids - 0.5 * (ruling[0] + ruling[-1])) / count) * count
        ruling = ruling + lap
        if ruling[0] > first + 1e-6 or ruling[-1] < first + trapezoids - 1e-6:
            raise ValueError("the line does not reach across the piece")
    ends = np.array([first, first + trapezoids], dtype=np.float64)
    at_ends = np.interp(ends, ruling, share)
    margin = 1e-4
    near = corner & ((np.abs(ruling - ends[0]) <= 1.0) | (np.abs(ruling - ends[1]) <= 1.0))
    if near.any() and trapezoids == count:
        # A point marked where the piece opens belongs on the opening, not a hair beside it.
        at_ends[:] = share[near][0]
        margin = 1.0
    inside = (ruling > ends[0] + margin) & (ruling < ends[1] - margin)
    return Trace(
        ruling=np.concatenate([ends[:1], ruling[inside], ends[1:]]),
        share=np.concatenate([at_ends[:1], share[inside], at_ends[1:]]),
        corner=np.concatenate([[False], corner[inside], [False]]),
    )


def lay_flat(line: Trace, flat: FlatBand) -> FlatLine:
    """The line on the flat band."""
    curve = flat.points(line.ruling, line.share)
    return FlatLine(curve=curve, corners=tuple(int(i) for i in np.flatnonzero(line.corner)))


def level_line(first: int, trapezoids: int, share: float) -> Trace:
    """The section at one share, ruling by ruling."""
    ruling = first + np.arange(trapezoids + 1, dtype=np.float64)
    return Trace(
        ruling=ruling,
        share=np.full(len(ruling), share),
        corner=np.zeros(len(ruling), dtype=np.bool_),
    )


def shortened(line: FlatLine, start: float, end: float) -> FlatLine:
    """The line with lengths taken off both ends, for a lacing gap."""
    if start <= 0.0 and end <= 0.0:
        return line
    distance = arc_lengths(line.curve)
    low, high = start, distance[-1] - end
    keep = np.flatnonzero((distance > low + 1e-6) & (distance < high - 1e-6))
    tips = points_at(line.curve, [low, high])
    moved = {int(k): i + 1 for i, k in enumerate(keep)}
    return FlatLine(
        curve=np.concatenate([tips[:1], line.curve[keep], tips[1:]]),
        corners=tuple(moved[k] for k in line.corners if k in moved),
    )


def straight(start: Points, end: Points, *, step: float = 2.0) -> Points:
    """A straight edge, sampled finely like any other, (n, 2)."""
    pieces = max(1, int(np.ceil(float(np.linalg.norm(end - start)) / step)))
    share = np.linspace(0.0, 1.0, pieces + 1)[:, None]
    line: Points = (1.0 - share) * start + share * end
    line[0], line[-1] = start, end
    return line
