"""Cutting a surface by many planes at once, and reading the tape line of every cut.

Each point of a tape line stays a weighted sum of vertices, so that the same place can be read in any pose,
and so that a girth can be differentiated with respect to the vertices.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import overload

import numpy as np
from numpy.typing import NDArray

from layfigure.body.crossings import Planes, Stack, crossings

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cut:
    """One tape line: corner i is ``(1 - share) * a + share * b``, in order along; (c,) each.

    shift : (c, 3) [mm] how far a tape runs from the skin there; None where it lies on every corner.
    length : of the closed line on the body that was cut [mm].
    """

    a: Indices
    b: Indices
    share: Points
    shift: Points | None = None
    length: float = float("nan")

    def places(self, vertices: Points) -> Points:
        """Corners in space, (c, 3) [mm]."""
        start = vertices.take(self.a, axis=0)
        result: Points = start + self.share[:, None] * (vertices.take(self.b, axis=0) - start)
        return result if self.shift is None else result + self.shift


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cuts(Sequence[Cut]):
    """Many tape lines, their corners end to end: a Cut is made of one when it is asked for.

    a, b, share : (c,), shift : (c, 3) or None, as a Cut has them. number : (k,) corners of every line.
    lengths : (k,) as closed lines on the body that was cut [mm].
    """

    a: Indices
    b: Indices
    share: Points
    shift: Points | None
    number: Indices
    lengths: Points
    _ends: list[int] = field(init=False)

    def __post_init__(self) -> None:
        """Find where the lines begin and end."""
        object.__setattr__(self, "_ends", [0, *np.cumsum(self.number).tolist()])

    def __len__(self) -> int:
        return len(self.number)

    @overload
    def __getitem__(self, line: int) -> Cut: ...
    @overload
    def __getitem__(self, line: slice) -> list[Cut]: ...
    def __getitem__(self, line: int | slice) -> Cut | list[Cut]:
        if isinstance(line, slice):
            return [self[k] for k in range(*line.indices(len(self)))]
        line = range(len(self))[line]
        own = slice(self._ends[line], self._ends[line + 1])
        lift = None if self.shift is None or not self.shift[own].any() else self.shift[own]
        length = float(self.lengths[line])
        return Cut(a=self.a[own], b=self.b[own], share=self.share[own], shift=lift, length=length)

    def with_line(self, line: int, cut: Cut) -> Cuts:
        """The same with another line in place of one; none of them off the skin."""
        before, after = self._ends[line], self._ends[line + 1]
        number = self.number.copy()
        number[line] = len(cut.a)
        a, b, share = (
            np.concatenate([whole[:before], own, whole[after:]])
            for whole, own in ((self.a, cut.a), (self.b, cut.b), (self.share, cut.share))
        )
        return Cuts(a=a, b=b, share=share, shift=None, number=number, lengths=self.lengths)


def cut_stacks(vertices: Points, stacks: Sequence[Stack]) -> Cuts:
    """Tape lines of every plane of every stack, cut together, in their order.

    Corners are ordered by angle from the zero direction; fewer than three points give an empty Cut. Sections
    must be star-shaped about their middle, which limbs and trunks are.
    """
    size = [len(stack.planes.origins) for stack in stacks]
    count = sum(size)
    a, b, share, place, plane, shift = crossings(vertices, stacks)
    number = np.bincount(plane, minlength=count)
    middle = np.stack([np.bincount(plane, row, count) for row in place]) / np.maximum(number, 1)
    middle[0, np.repeat([stack.planes.midline for stack in stacks], size)] = 0.0
    offset = place - middle.take(plane, axis=1)
    zeros, positives = (
        np.concatenate([getattr(stack.planes, way) for stack in stacks]).T for way in ("zeros", "positives")
    )
    u, v = (_dots(offset, way.take(plane, axis=1)) for way in (zeros, positives))
    turn = np.arctan2(v, u)
    order = np.argsort(np.where(turn < 0.0, turn + 2.0 * np.pi, turn) + 7.0 * plane)
    hull = np.repeat([stack.planes.hull for stack in stacks], size)[plane[order]]
    if hull.any():
        bridged = order[hull]
        kept = bridged[_hulls_of_stars(u[bridged], v[bridged], plane[bridged])]
        taut = np.zeros(len(order), dtype=bool)
        taut[kept] = True
        order = order[~hull | taut[order]]
        number = np.bincount(plane[order], minlength=count)
    return Cuts(
        a=a[order],
        b=b[order],
        share=share[order],
        shift=None if shift is None else shift.take(order, axis=1).T,
        number=number,
        lengths=_lengths(place.take(order, axis=1), number),
    )


def _dots(one: Points, other: Points) -> Points:
    """Products of vectors (3, n) with others, (n,)."""
    x, y, z = one * other
    product: Points = x + z + y
    return product


def _lengths(place: Points, number: Indices) -> Points:
    """Lengths of closed lines of corners (3, c) stored end to end, ``number`` (k,) corners each."""
    starts = np.cumsum(number) - number
    after = np.arange(1, place.shape[1] + 1)
    filled = number > 0
    after[(starts + number - 1)[filled]] = starts[filled]
    way = place.take(after, axis=1) - place
    step = np.sqrt(_dots(way, way))
    lengths = np.zeros(len(number))
    if len(step):
        lengths[filled] = np.add.reduceat(step, starts[filled])
    return lengths


def _hulls_of_stars(u: Points, v: Points, line: Indices) -> Indices:
    """Which corners of closed lines, in order of angle about a point inside each, lie on their convex hulls.

    A corner of the hull never turns inward between any two others, so all that do may go at once.
    """
    if not len(line):
        return np.zeros(0, dtype=np.int64)
    place = u + 1j * v
    # Edges that meet at a vertex of the plane cross it on one place, where no corner would seem to turn.
    apart = np.append(True, (np.abs(np.diff(place)) > 1e-6) | (np.diff(line) > 0))
    # The last may lie on the first one too, just before the turn begins.
    first = np.flatnonzero(np.append(True, np.diff(line) > 0))
    last = np.append(first[1:], len(line)) - 1
    apart[last] &= (np.abs(place[last] - place[first]) > 1e-6) | (last == first)
    kept = np.flatnonzero(apart)
    place = place[kept]
    size = np.unique(line[kept], return_counts=True)[1]
    done: list[Indices] = []
    while len(kept):
        last = np.cumsum(size) - 1
        first = last - size + 1
        ahead, behind = np.empty_like(place), np.empty_like(place)
        ahead[:-1], ahead[last] = place[1:], place[first]
        ahead -= place
        behind[1:], behind[first] = ahead[:-1], ahead[last]
        inward = (behind.conj() * ahead).imag <= 0.0
        turned = np.add.reduceat(inward, first, dtype=np.int64)
        # A line is taut when no corner turns inward; one that would lose its area is left as it is.
        goes_on = (turned > 0) & (size - turned >= 3) & (size > 3)
        on = np.repeat(goes_on, size)
        done.append(kept[~on])
        left = np.flatnonzero(on & ~inward)
        kept, place, size = kept[left], place[left], (size - turned)[goes_on]
    return np.sort(np.concatenate(done))


def with_corner(vertices: Points, cut: Cut, vertex: int, zero: Points, positive: Points) -> Cut:
    """A taut line that also runs over a vertex of its plane; corners stay in order of angle."""
    # Edges that meet at the vertex cross the plane there too, and corners on one place have no turn.
    apart = np.linalg.norm(cut.places(vertices) - vertices[vertex], axis=1) > 0.5
    wider = Cut(
        a=np.append(cut.a[apart], vertex),
        b=np.append(cut.b[apart], vertex),
        share=np.append(cut.share[apart], 0.0),
    )
    places = wider.places(vertices)
    middle = cut.places(vertices).mean(axis=0)
    middle[0] = 0.0
    u, v = (places - middle) @ zero, (places - middle) @ positive
    order = np.argsort(np.mod(np.arctan2(v, u), 2.0 * np.pi))
    order = order[_hulls_of_stars(u[order], v[order], np.zeros(len(order), dtype=np.int64))]
    return Cut(a=wider.a[order], b=wider.b[order], share=wider.share[order])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TapeGrid:
    """Tape lines resampled: every place lies between two corners of cuts.

    corners : of all lines, end to end. low, high : (k, n) corner on either side of a place. share : (k, n)
    of the way from low to high.
    """

    corners: Cut
    low: Indices
    high: Indices
    share: Points

    def places(self, vertices: Points) -> Points:
        """(k, n, 3) [mm]; any pose of the same surface may be given."""
        corners = self.corners.places(vertices)
        start = corners.take(self.low, axis=0)
        result: Points = start + self.share[..., None] * (corners.take(self.high, axis=0) - start)
        return result


def resample_cuts(vertices: Points, cuts: Cuts, planes: Sequence[Planes], count: int) -> TapeGrid:
    """``count`` places at equal shares of every tape line, starting on the zero line.

    cuts : as many as all ``planes`` together, in their order, none of them off the skin.
    """
    zeros, positives = (
        np.concatenate([getattr(stack, way) for stack in planes]).T for way in ("zeros", "positives")
    )
    midline = np.repeat([stack.midline for stack in planes], [len(stack.zeros) for stack in planes])
    number = cuts.number
    first = np.cumsum(number) - number
    last = first + number - 1
    line = np.repeat(np.arange(len(cuts)), number)
    corner = np.arange(len(line))
    before, after = corner - 1, corner + 1
    before[first], after[last] = last, first
    start, end = (np.ascontiguousarray(vertices.take(rows, axis=0).T) for rows in (cuts.a, cuts.b))
    p = start + cuts.share * (end - start)
    step = np.sqrt(np.square(p.take(after, axis=1) - p).sum(axis=0))
    # The middle is weighted by length, so that crowded corners do not pull it.
    weight = step + step[before]
    middle = np.add.reduceat(weight * p, first, axis=1) / np.add.reduceat(weight, first)
    middle[0, midline] = 0.0
    offset = p - middle.take(line, axis=1)
    sideways = _dots(offset, positives.take(line, axis=1))
    turn = np.arctan2(sideways, _dots(offset, zeros.take(line, axis=1)))
    turn[turn < 0.0] += 2.0 * np.pi
    # Start with the first corner past the zero line, which may differ from the cut's own middle.
    least = np.flatnonzero(turn == np.minimum.reduceat(turn, first)[line])
    head = least[np.searchsorted(line[least], np.arange(len(cuts)))]
    order = corner + (head - first)[line]
    order = np.where(order > last[line], order - number[line], order)
    # The zero line crosses between the last corner and the first, where the angle passes 0.
    tail = before[head]
    rise = sideways[head] - sideways[tail]
    crossing = np.clip(-sideways[tail] / np.where(rise > 1e-9, rise, 1.0), 0.0, 1.0)
    crossing[rise <= 1e-9] = 1.0
    # Segment 0 of a line runs from the zero point to its first corner, the last one back to the zero point.
    segments = number + 1
    begin = np.cumsum(segments) - segments
    length = np.zeros(int(segments.sum()))
    inner = np.ones(len(length), dtype=bool)
    inner[begin] = False
    length[inner] = step[order]
    closing = step[tail]
    length[begin] = (1.0 - crossing) * closing
    length[begin + number] = crossing * closing
    reach = np.cumsum(length)
    entered = reach - length
    spacing = np.add.reduceat(length, begin) / count
    at = entered[begin][:, None] + np.arange(count) * spacing[:, None]
    # A place lies on the segment after those that were left before it; a line's last is left by all of them.
    owner = np.repeat(np.arange(len(cuts)), segments)
    passed = np.ceil((reach - entered[begin][owner]) / spacing[owner]).astype(np.int64)
    left = np.bincount(owner * count + np.minimum(passed, count), minlength=at.size + 1)
    segment = np.cumsum(left[:-1]).reshape(at.shape)
    segment = np.clip(segment, begin[:, None], (begin + number)[:, None])
    share = (at - entered[segment]) / np.maximum(length, 1e-12)[segment]
    place, size = segment - begin[:, None], number[:, None]
    opening, closed, across = place == 0, place == size, crossing[:, None]
    share = np.where(opening, across + share * (1.0 - across), share)
    share = np.where(closed, share * across, share)
    low = order[first[:, None] + np.where(opening, size, place) - 1]
    high = order[first[:, None] + np.where(closed, 0, place)]
    return TapeGrid(corners=Cut(a=cuts.a, b=cuts.b, share=cuts.share), low=low, high=high, share=share)
