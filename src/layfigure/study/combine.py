"""One edge seen in several pictures becomes one curve, every part weighted by how surely it was read.

Two pictures rarely show the same *points* of an edge, only the same curve: a mark is moved toward another
picture's curve square to it, by inverse variance. Corners are points, and meet corners.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

CORNERS_MEET = 0.004
"""Room given to two pictures' readings of one corner, beside their spreads [share of stature]."""

FAR = 3.5
"""Readings more standard deviations apart than this are of different points."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stretch:
    """A stretch of one edge on one region, from one picture.

    picture : its number. index : (m,) the marks' numbers among all of the study. station, around : (m,).
    covariance : (m, 2, 2) along and around, shares of stature. scale : (m, 2) share of stature for one
    station and one turn. corner : (m,). closed : runs back to its start within the picture.
    """

    region: str
    picture: int
    index: NDArray[np.int64]
    station: Points
    around: Points
    covariance: Points
    scale: Points
    corner: NDArray[np.bool_]
    closed: bool


def combine(stretches: Sequence[Stretch]) -> list[Stretch]:
    """The same stretches, each moved toward what the other pictures say of the same curve."""
    moved = []
    for one in stretches:
        others = [o for o in stretches if o.picture != one.picture and o.region == one.region]
        if one.closed:
            # Two pictures that show a whole window differ by where they put it, far more than in its shape.
            whole = [other for other in others if other.closed]
            one = _carried(one, whole)
            others = [other for other in others if not other.closed]
        moved.append(_moved(one, others))
    return moved


def _carried(one: Stretch, others: Sequence[Stretch]) -> Stretch:
    """A closed stretch carried, as it is, to the weighted middle of all that show it whole."""
    scale = one.scale.mean(axis=0)
    middle = _middle(one)
    own = one.covariance.mean(axis=0)
    information, pull = np.linalg.inv(own), np.zeros(2)
    for other in others:
        offset = _middle(other) - middle
        offset[1] = (offset[1] + 0.5) % 1.0 - 0.5
        offset *= scale
        theirs = other.covariance.mean(axis=0)
        apart = offset @ np.linalg.solve(own + theirs + CORNERS_MEET**2 * np.eye(2), offset)
        if apart < (2.0 * FAR) ** 2:
            weight = np.linalg.inv(theirs)
            information, pull = information + weight, pull + weight @ offset
    combined = np.linalg.inv(information)
    move = combined @ pull / scale
    # What is common to all its marks has shrunk from ``own`` to ``combined``, and they with it.
    shrink = np.linalg.cholesky(combined) @ np.linalg.inv(np.linalg.cholesky(own))
    return replace(
        one,
        station=one.station + move[0],
        around=np.mod(one.around + move[1], 1.0),
        covariance=shrink @ one.covariance @ shrink.T,
    )


def _middle(one: Stretch) -> Points:
    """Middle of a closed stretch by its outline's length, (station, around)."""
    turn = np.unwrap(one.around, period=1.0)
    places = np.stack([one.station, turn], axis=1)
    step = (np.roll(places, -1, axis=0) - places) * one.scale
    weight = np.linalg.norm(step, axis=1)
    halfway = 0.5 * (places + np.roll(places, -1, axis=0))
    middle: Points = weight @ halfway / max(float(weight.sum()), 1e-12)
    return middle


def _moved(one: Stretch, others: Sequence[Stretch]) -> Stretch:
    station, around = one.station.copy(), one.around.copy()
    covariance = one.covariance.copy()
    normals = _normals(one)
    for m in range(len(station)):
        here = one.scale[m]
        information = np.linalg.inv(one.covariance[m])
        pull = np.zeros(2)
        for other in others:
            flat = _flat(other, station[m], around[m], here)
            if one.corner[m]:
                met = _corner(flat, other, one.covariance[m])
                if met is not None:
                    place, cov = met
                    weight = np.linalg.inv(cov)
                    information = information + weight
                    pull = pull + weight @ place
                continue
            crossing = _crossing(flat, other, normals[m], one.covariance[m], here)
            if crossing is None:
                continue
            offset, variance = crossing
            n = normals[m]
            information = information + np.outer(n, n) / variance
            pull = pull + n * offset / variance
        covariance[m] = np.linalg.inv(information)
        move = covariance[m] @ pull
        station[m] += move[0] / here[0]
        around[m] = (around[m] + move[1] / here[1]) % 1.0
    return replace(one, station=station, around=around, covariance=covariance)


def _flat(other: Stretch, station: float, around: float, scale: Points) -> Points:
    """Another stretch's marks from a place, along and around, (m, 2) [share of stature]."""
    turn = np.mod(other.around - around + 0.5, 1.0) - 0.5
    return np.stack([(other.station - station) * scale[0], turn * scale[1]], axis=1)


def _normals(one: Stretch) -> Points:
    """Unit normals of a stretch at its marks, in shares of stature, (m, 2)."""
    if len(one.station) == 1:
        return np.array([[1.0, 0.0]])
    turn = np.unwrap(one.around, period=1.0)
    places = np.stack([one.station * one.scale[:, 0].mean(), turn * one.scale[:, 1].mean()], axis=1)
    if one.closed and len(places) > 2:
        tangent = np.roll(places, -1, axis=0) - np.roll(places, 1, axis=0)
    else:
        tangent = np.gradient(places, axis=0)
    length = np.maximum(np.linalg.norm(tangent, axis=1, keepdims=True), 1e-12)
    normals: Points = np.stack([-tangent[:, 1], tangent[:, 0]], axis=1) / length
    return normals


def _corner(flat: Points, other: Stretch, own: Points) -> tuple[Points, Points] | None:
    """The other picture's corner nearest to the origin, if it can be the same one."""
    corners = np.flatnonzero(other.corner)
    if not len(corners):
        return None
    both = own + other.covariance[corners] + CORNERS_MEET**2 * np.eye(2)
    apart = np.einsum("mi,mij,mj->m", flat[corners], np.linalg.inv(both), flat[corners])
    best = int(apart.argmin())
    if apart[best] > FAR**2 or np.linalg.norm(flat[corners[best]]) > 0.5 * _gap(flat[corners]):
        return None
    return flat[corners[best]], other.covariance[corners[best]]


def _gap(corners: Points) -> float:
    """Smallest distance between two corners of one stretch; infinite for a single one."""
    if len(corners) < 2:
        return np.inf
    apart = np.linalg.norm(corners[:, None] - corners, axis=2)
    return float(apart[apart > 1e-9].min(initial=np.inf))


def _crossing(
    flat: Points, other: Stretch, normal: Points, own: Points, scale: Points
) -> tuple[float, float] | None:
    """Where the other curve crosses the normal through the origin: offset along it, and its variance."""
    tangent = np.array([normal[1], -normal[0]])
    along, across = flat @ tangent, flat @ normal
    if other.closed and len(flat) > 2:
        along, across = np.append(along, along[0]), np.append(across, across[0])
        flat = np.concatenate([flat, flat[:1]])
    low, high = along[:-1], along[1:]
    # A step over the far side of the region, half a turn away, is no piece of the curve.
    near = np.abs(np.diff(flat[:, 1])) < 0.5 * scale[1]
    crosses = np.flatnonzero(((low <= 0.0) != (high <= 0.0)) & near)
    if not len(crosses):
        return None
    share = low[crosses] / (low[crosses] - high[crosses])
    offsets = across[crosses] + share * (across[crosses + 1] - across[crosses])
    best = int(np.abs(offsets).argmin())
    i, t = int(crosses[best]), float(share[best])
    j = (i + 1) % len(other.station)
    covariance = (1.0 - t) * other.covariance[i] + t * other.covariance[j]
    variance = float(normal @ covariance @ normal)
    if abs(offsets[best]) > FAR * np.sqrt(variance + normal @ own @ normal + CORNERS_MEET**2):
        return None
    return float(offsets[best]), variance


def one_curve(stretches: Sequence[Stretch]) -> tuple[list[tuple[int, int]], bool]:
    """Chain stretches of one edge into one run of (stretch, mark), leaving out what is read better elsewhere.

    Returns the run and whether it goes right round the region.
    """
    if not stretches:
        return [], False
    normals = [_normals(stretch) for stretch in stretches]
    kept = [
        [(s, m) for m, normal in enumerate(normals[s]) if not _better_elsewhere(stretches, s, m, normal)]
        for s in range(len(stretches))
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


def _better_elsewhere(stretches: Sequence[Stretch], s: int, m: int, normal: Points) -> bool:
    """True where another picture's stretch passes by this mark and was read with less spread there."""
    one = stretches[s]
    size = float(np.trace(one.covariance[m]))
    for other in stretches:
        if other.picture == one.picture or other.region != one.region:
            continue
        flat = _flat(other, float(one.station[m]), float(one.around[m]), one.scale[m])
        nearest = int(np.linalg.norm(flat, axis=1).argmin())
        if float(np.trace(other.covariance[nearest])) >= size:
            continue
        if one.corner[m]:
            if _corner(flat, other, one.covariance[m]) is not None:
                return True
        elif _crossing(flat, other, normal, one.covariance[m], one.scale[m]) is not None:
            return True
    return False
