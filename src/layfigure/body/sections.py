"""Cutting a surface by many planes at once, and reading the tape line of every cut.

Each point of a tape line stays a weighted sum of vertices, so that the same place can be read in any pose,
and so that a girth can be differentiated with respect to the vertices.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

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


def cut_stacks(vertices: Points, stacks: Sequence[Stack]) -> list[list[Cut]]:
    """Tape lines of every plane of every stack, cut together: one list a stack, one Cut a plane.

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
    u = np.einsum("dn,dn->n", offset, zeros.take(plane, axis=1))
    v = np.einsum("dn,dn->n", offset, positives.take(plane, axis=1))
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
    a, b, share = a[order], b[order], share[order]
    shifted = None if shift is None else shift.take(order, axis=1).T
    lengths = _lengths(place.take(order, axis=1), number)
    lifted = np.repeat([stack.floor is not None for stack in stacks], size).tolist()
    cuts, start = [], 0
    for end, length, lifts in zip(np.cumsum(number).tolist(), lengths, lifted, strict=True):
        own = slice(start, end)
        lift = shifted[own] if lifts and shifted is not None and shifted[own].any() else None
        cuts.append(Cut(a=a[own], b=b[own], share=share[own], shift=lift, length=length))
        start = end
    ends = np.cumsum(size).tolist()
    return [cuts[end - n : end] for end, n in zip(ends, size, strict=True)]


def _lengths(place: Points, number: Indices) -> list[float]:
    """Lengths of closed lines of corners (3, c) stored end to end, ``number`` (k,) corners each."""
    starts = np.cumsum(number) - number
    after = np.arange(1, place.shape[1] + 1)
    filled = number > 0
    after[(starts + number - 1)[filled]] = starts[filled]
    way = place.take(after, axis=1) - place
    step = np.sqrt(np.einsum("dn,dn->n", way, way))
    lengths = np.zeros(len(number))
    if len(step):
        lengths[filled] = np.add.reduceat(step, starts[filled])
    found: list[float] = lengths.tolist()
    return found


def _neighbours(line: Indices) -> tuple[Indices, Indices, Indices]:
    """Corner before and after each along closed lines stored end to end, and where each line starts.

    line : (c,) the number of every corner's line, never falling.
    """
    count = len(line)
    first = np.flatnonzero(np.diff(line, prepend=-1))
    before, after = np.arange(-1, count - 1), np.arange(1, count + 1)
    last = np.append(first[1:], count) - 1
    before[first], after[last] = last, first
    return before, after, first


def _hulls_of_stars(u: Points, v: Points, line: Indices) -> Indices:
    """Which corners of closed lines, in order of angle about a point inside each, lie on their convex hulls.

    A corner of the hull never turns inward between any two others, so all that do may go at once.
    """
    if not len(line):
        return np.zeros(0, dtype=np.int64)
    place = u + 1j * v
    # Edges that meet at a vertex of the plane cross it on one place, where no corner would seem to turn.
    apart = np.append(True, (np.abs(np.diff(place)) > 1e-6) | (np.diff(line) > 0))
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


def resample_cuts(vertices: Points, cuts: Sequence[Cut], planes: Sequence[Planes], count: int) -> TapeGrid:
    """``count`` places at equal shares of every tape line, starting on the zero line.

    cuts : as many as all ``planes`` together, in their order.
    """
    zeros = np.concatenate([stack.zeros for stack in planes])
    positives = np.concatenate([stack.positives for stack in planes])
    midline = np.repeat([stack.midline for stack in planes], [len(stack.zeros) for stack in planes])
    number = np.array([len(cut.a) for cut in cuts])
    line = np.repeat(np.arange(len(cuts)), number)
    corners = Cut(
        a=np.concatenate([cut.a for cut in cuts]),
        b=np.concatenate([cut.b for cut in cuts]),
        share=np.concatenate([cut.share for cut in cuts]),
    )
    p = corners.places(vertices)
    before, after, first = _neighbours(line)
    step = np.sqrt(np.square(p[after] - p).sum(axis=1))
    # The middle is weighted by length, so that crowded corners do not pull it.
    weight = step + step[before]
    middle = np.add.reduceat(weight[:, None] * p, first) / np.add.reduceat(weight, first)[:, None]
    middle[midline, 0] = 0.0
    offset = p - middle[line]
    sideways = np.einsum("cd,cd->c", offset, positives[line])
    turn = np.mod(np.arctan2(sideways, np.einsum("cd,cd->c", offset, zeros[line])), 2.0 * np.pi)
    # Start with the first corner past the zero line, which may differ from the cut's own middle.
    least = np.flatnonzero(turn == np.minimum.reduceat(turn, first)[line])
    head = least[np.searchsorted(line[least], np.arange(len(cuts)))]
    order = first[line] + np.mod(np.arange(len(p)) - first[line] + (head - first)[line], number[line])
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
    total = np.add.reduceat(length, begin)
    at = (reach[begin] - length[begin])[:, None] + np.arange(count) * (total / count)[:, None]
    segment = np.clip(np.searchsorted(reach, at, side="right"), begin[:, None], (begin + number)[:, None])
    passed = (at - (reach[segment] - length[segment])) / np.maximum(length[segment], 1e-12)
    place = segment - begin[:, None]
    start = crossing[:, None]
    share = np.where(place == 0, start + passed * (1.0 - start), passed)
    share = np.where(place == number[:, None], passed * start, share)
    base, size = first[:, None], number[:, None]
    low = order[base + np.mod(place - 1, size)]
    high = order[base + np.mod(place, size)]
    return TapeGrid(corners=corners, low=low, high=high, share=share)
