"""Where two pictures show the same part of an edge: corners, crossings, and the middles of whole windows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.study.stretch import Stretch, flat, middle, normals

Points = NDArray[np.float64]

CORNERS_MEET = 0.004
"""Room given to two pictures' readings of one corner, beside their spreads [share of stature]."""

FAR = 3.5
"""Readings more standard deviations apart than this are of different points."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Meeting:
    """Marks of two stretches that show one place.

    own, others : (k,) and (l,) marks among all of the study, and the shares of each. directions : (d, 2)
    unit, in which they ought to agree. apart : (d,) how far the others lie along them [share of stature].
    """

    own: NDArray[np.int64]
    own_shares: Points
    others: NDArray[np.int64]
    other_shares: Points
    directions: Points
    apart: Points


def meetings(stretches: Sequence[Stretch], *, sides: bool) -> Iterator[Meeting]:
    """Every place where two pictures show one edge. Marks are numbered through all stretches in order.

    sides : whether windows seen whole meet mark by mark, or in their middles only.
    """
    firsts = np.cumsum([0] + [len(stretch.index) for stretch in stretches])
    for s, one in enumerate(stretches):
        across = normals(one)
        for o, other in enumerate(stretches):
            if (other.slug, other.region) != (one.slug, one.region) or other.picture == one.picture:
                continue
            if one.closed and other.closed and not sides:
                if s < o:
                    yield _middles(one, other, int(firsts[s]), int(firsts[o]))
                continue
            for m in range(len(one.index)):
                met = _mark(one, m, across[m], other, int(firsts[s]), int(firsts[o]))
                if met is not None:
                    yield met


def _middles(one: Stretch, other: Stretch, first: int, other_first: int) -> Meeting:
    here, own_shares = middle(one)
    there, other_shares = middle(other)
    apart = there - here
    apart[1] = (apart[1] + 0.5) % 1.0 - 0.5
    return Meeting(
        own=first + np.arange(len(one.index)),
        own_shares=own_shares,
        others=other_first + np.arange(len(other.index)),
        other_shares=other_shares,
        directions=np.eye(2),
        apart=apart * one.scale.mean(axis=0),
    )


def _mark(
    one: Stretch, m: int, normal: Points, other: Stretch, first: int, other_first: int
) -> Meeting | None:
    """A single mark on another picture's curve, or a corner on its corner."""
    if one.corner[m]:
        corner = corner_met(one, m, other)
        if corner is None:
            return None
        # The same two corners meet only once.
        if other_first < first:
            return None
        others, shares, directions = [corner], [1.0], np.eye(2)
        apart = flat(other, float(one.station[m]), float(one.around[m]), one.scale[m])[corner]
    else:
        met = crossing(one, m, normal, other)
        if met is None:
            return None
        before, after, share, offset = met
        others, shares, directions = [before, after], [1.0 - share, share], normal[None]
        apart = np.array([offset])
    return Meeting(
        own=np.array([first + m]),
        own_shares=np.ones(1),
        others=other_first + np.array(others),
        other_shares=np.array(shares),
        directions=directions,
        apart=apart,
    )


def corner_met(one: Stretch, m: int, other: Stretch) -> int | None:
    """The other picture's corner nearest to a corner, if it can be the same one."""
    corners = np.flatnonzero(other.corner)
    if not len(corners):
        return None
    places = flat(other, float(one.station[m]), float(one.around[m]), one.scale[m])[corners]
    both = one.covariance[m] + other.covariance[corners] + CORNERS_MEET**2 * np.eye(2)
    apart = np.einsum("mi,mij,mj->m", places, np.linalg.inv(both), places)
    best = int(apart.argmin())
    if apart[best] > FAR**2 or np.linalg.norm(places[best]) > 0.5 * _gap(places):
        return None
    return int(corners[best])


def _gap(corners: Points) -> float:
    """Smallest distance between two corners of one stretch; infinite for a single one."""
    if len(corners) < 2:
        return np.inf
    apart = np.linalg.norm(corners[:, None] - corners, axis=2)
    return float(apart[apart > 1e-9].min(initial=np.inf))


def crossing(one: Stretch, m: int, normal: Points, other: Stretch) -> tuple[int, int, float, float] | None:
    """Where the other curve crosses the normal at a mark.

    Its marks before and after, the share of the second, and how far away along the normal [share of
    stature]. None where it does not pass by, or only farther off than the spreads allow.
    """
    scale = one.scale[m]
    places = flat(other, float(one.station[m]), float(one.around[m]), scale)
    tangent = np.array([normal[1], -normal[0]])
    along, across = places @ tangent, places @ normal
    if other.closed and len(places) > 2:
        along, across = np.append(along, along[0]), np.append(across, across[0])
        places = np.concatenate([places, places[:1]])
    low, high = along[:-1], along[1:]
    # A step over the far side of the region, half a turn away, is no piece of the curve.
    near = np.abs(np.diff(places[:, 1])) < 0.5 * scale[1]
    crosses = np.flatnonzero(((low <= 0.0) != (high <= 0.0)) & near)
    if not len(crosses):
        return None
    share = low[crosses] / (low[crosses] - high[crosses])
    offsets = across[crosses] + share * (across[crosses + 1] - across[crosses])
    best = int(np.abs(offsets).argmin())
    i, t = int(crosses[best]), float(share[best])
    j = (i + 1) % len(other.station)
    theirs = (1.0 - t) * other.covariance[i] + t * other.covariance[j]
    variance = float(normal @ (theirs + one.covariance[m]) @ normal)
    if abs(offsets[best]) > FAR * np.sqrt(variance + CORNERS_MEET**2):
        return None
    return i, j, t, float(offsets[best])
