"""Where two pictures show the same part of an edge: corners, crossings, and the middles of whole windows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.study.stretch import Stretch, flat, middle, normals

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

CORNERS_MEET = 0.004
"""Room given to two pictures' readings of one corner, beside their spreads [share of stature]."""

FAR = 3.5
"""Readings more standard deviations apart than this are of different points."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Meeting:
    """Where marks of two stretches show the same places: e equations over the marks of all of the study.

    equation, mark : (t,) each term's equation and mark. pull : (t, 2) what a move of that mark along and
    around adds to how far the two are apart. apart : (e,) how far they are [share of stature].
    """

    equation: Indices
    mark: Indices
    pull: Points
    apart: Points


def meetings(stretches: Sequence[Stretch], *, sides: bool) -> Iterator[Meeting]:
    """Every place where two pictures show one edge. Marks are numbered through all stretches in order.

    sides : whether windows seen whole meet mark by mark, or in their middles only.
    """
    firsts = np.cumsum([0] + [len(stretch.index) for stretch in stretches]).tolist()
    for s, one in enumerate(stretches):
        for o, other in enumerate(stretches):
            if (other.slug, other.region) != (one.slug, one.region) or other.picture == one.picture:
                continue
            if one.closed and other.closed and not sides:
                if s < o:
                    yield _middles(one, other, firsts[s], firsts[o])
                continue
            yield _on_the_way(one, other, firsts[s], firsts[o])
            if s < o:
                yield from _corners(one, other, firsts[s], firsts[o])


def _middles(one: Stretch, other: Stretch, first: int, other_first: int) -> Meeting:
    here, own_shares = middle(one)
    there, other_shares = middle(other)
    apart = there - here
    apart[1] = (apart[1] + 0.5) % 1.0 - 0.5
    marks = np.concatenate([first + np.arange(len(one.index)), other_first + np.arange(len(other.index))])
    shares = np.concatenate([-own_shares, other_shares])
    return Meeting(
        equation=np.repeat([0, 1], len(marks)),
        mark=np.tile(marks, 2),
        pull=np.kron(np.eye(2), shares[:, None]),
        apart=apart * one.scale.mean(axis=0),
    )


def _on_the_way(one: Stretch, other: Stretch, first: int, other_first: int) -> Meeting:
    """Plain marks on another picture's curve: they agree square to their own."""
    across = normals(one)
    met = crossings(one, across, other)
    own = np.flatnonzero(met.found & ~one.corner)
    before, after, share = met.before[own], met.after[own], met.share[own, None]
    number, normal = np.arange(len(own)), across[own]
    return Meeting(
        equation=np.tile(number, 3),
        mark=np.concatenate([first + own, other_first + before, other_first + after]),
        pull=np.concatenate([-normal, (1.0 - share) * normal, share * normal]),
        apart=met.offset[own],
    )


def _corners(one: Stretch, other: Stretch, first: int, other_first: int) -> Iterator[Meeting]:
    """Corners on corners: they agree both ways."""
    for m in np.flatnonzero(one.corner).tolist():
        corner = corner_met(one, m, other)
        if corner is not None:
            yield Meeting(
                equation=np.array([0, 1, 0, 1]),
                mark=np.array([first + m, first + m, other_first + corner, other_first + corner]),
                pull=np.concatenate([-np.eye(2), np.eye(2)]),
                apart=flat(other, float(one.station[m]), float(one.around[m]), one.scale[m])[corner],
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Crossings:
    """Where another curve crosses the normals at m marks.

    found : (m,) whether it passes by, and no farther off than the spreads allow. before, after : (m,) its
    marks there; share : (m,) of the second. offset : (m,) how far away along the normal [share of stature].
    """

    found: NDArray[np.bool_]
    before: Indices
    after: Indices
    share: Points
    offset: Points


def crossings(one: Stretch, across: Points, other: Stretch) -> Crossings:
    """Where another picture's curve crosses the normals ``across`` (m, 2) at a stretch's marks."""
    offsets, share = _ways_across(one, across, other)
    rows = np.arange(len(one.index))
    if not offsets.shape[1]:
        nowhere, nothing = np.zeros(len(rows), dtype=np.int64), np.zeros(len(rows))
        return Crossings(found=nowhere > 0, before=nowhere, after=nowhere, share=nothing, offset=nothing)
    best = np.abs(offsets).argmin(axis=1)
    after = (best + 1) % len(other.index)
    part, passes = share[rows, best], np.isfinite(offsets[rows, best])
    offset = np.where(passes, offsets[rows, best], 0.0)
    weight = part[:, None, None]
    both = one.covariance + (1.0 - weight) * other.covariance[best] + weight * other.covariance[after]
    variance = ((across[:, None, :] @ both)[:, 0] * across).sum(axis=1)
    found = passes & (np.abs(offset) <= FAR * np.sqrt(variance + CORNERS_MEET**2))
    # Nearer to another side of its own window than to this mark, the curve is that side seen again.
    own, _ = _ways_across(one, across, one)
    found &= ~(np.abs(own - offset[:, None]) < 0.99 * np.abs(offset)[:, None]).any(axis=1)
    return Crossings(found=found, before=best, after=after, share=part, offset=offset)


def _ways_across(one: Stretch, across: Points, other: Stretch) -> tuple[Points, Points]:
    """How far along each normal every piece of another curve crosses it, and the share of its second mark.

    Both (m, pieces) [share of stature]; infinitely far where it does not cross.
    """
    turn = np.mod(other.around - one.around[:, None] + 0.5, 1.0) - 0.5
    along, around = (other.station - one.station[:, None]) * one.scale[:, :1], turn * one.scale[:, 1:]
    if other.closed and len(other.index) > 2:
        along, around = (np.concatenate([part, part[:, :1]], axis=1) for part in (along, around))
    x, y = across[:, :1], across[:, 1:]
    # Of the other's marks: how far along the own curve, and how far off it.
    way, off = along * y - around * x, along * x + around * y
    low, high = way[:, :-1], way[:, 1:]
    # A step over the far side of the region, half a turn away, is no piece of the curve.
    near = np.abs(np.diff(around, axis=1)) < 0.5 * one.scale[:, 1:]
    crosses = ((low <= 0.0) != (high <= 0.0)) & near
    share = np.where(crosses, low / np.where(crosses, low - high, 1.0), 0.0)
    return np.where(crosses, off[:, :-1] + share * np.diff(off, axis=1), np.inf), share
