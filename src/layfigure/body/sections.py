"""Cutting a surface by many planes at once, and reading the tape line of every cut.

Each point of a tape line stays a weighted sum of vertices, so that the same place can be read in any pose,
and so that a girth can be differentiated with respect to the vertices.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Planes:
    """Planes to cut with, one a station. All (k, 3).

    origins [mm] : a point of each. normals : unit. zeros : direction of the zero line from the middle of
    the section. positives : direction in which *around* grows at the zero line. hull : whether a tape
    bridges the hollows. midline : the zero line starts from x = 0 and not from the middle of the section.
    """

    origins: Points
    normals: Points
    zeros: Points
    positives: Points
    hull: bool
    midline: bool = False

    def rows(self, chosen: NDArray[np.bool_]) -> Planes:
        """Some of the planes."""
        return Planes(
            origins=self.origins[chosen],
            normals=self.normals[chosen],
            zeros=self.zeros[chosen],
            positives=self.positives[chosen],
            hull=self.hull,
            midline=self.midline,
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Edges:
    """The mesh edges that some planes may cut.

    vertices : (n,) rows of the surface they touch. starts, ends : (e,) of every edge, into ``vertices``.
    """

    vertices: Indices
    starts: Indices
    ends: Indices

    @classmethod
    def of_faces(cls, faces: Indices) -> Edges:
        """Every edge of triangles (m, 3) once."""
        pairs = np.unique(np.sort(faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1), axis=0)
        vertices, local = np.unique(pairs, return_inverse=True)
        columns = np.ascontiguousarray(local.reshape(-1, 2).T)
        return cls(vertices=vertices, starts=columns[0], ends=columns[1])

    @property
    def pairs(self) -> Indices:
        """Rows of the surface at both ends, (e, 2)."""
        return np.stack([self.vertices[self.starts], self.vertices[self.ends]], axis=1)


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
class Stack:
    """What to cut with which planes.

    clips : (4,) half spaces; what has ``clip[:3] @ p > clip[3]`` is left out.
    floor : height [mm] below which the skin is passed over: it counts as ``RETURN`` times as far above.
    """

    edges: Edges
    planes: Planes
    clips: tuple[Points, ...] = ()
    floor: float | None = None


RETURN = 3.0
"""A corner left out from one body to the next would make its tape jump; one that comes up again does not."""


def cut_stacks(vertices: Points, stacks: Sequence[Stack]) -> list[list[Cut]]:
    """Tape lines of every plane of every stack, cut together: one list a stack, one Cut a plane.

    Corners are ordered by angle from the zero direction; fewer than three points give an empty Cut. Sections
    must be star-shaped about their middle, which limbs and trunks are.
    """
    size = [len(stack.planes.origins) for stack in stacks]
    first = np.cumsum(size, dtype=np.int64) - np.array(size)
    count = sum(size)
    # Stacks that cut the same edges go through them together.
    together: dict[int, list[int]] = {}
    for k, stack in enumerate(stacks):
        together.setdefault(id(stack.edges), []).append(k)
    found = [_crossings(vertices, [stacks[k] for k in one], first[one]) for one in together.values()]
    a, b, share, place, plane = (np.concatenate(column) for column in list(zip(*found, strict=True))[:5])
    shift = _shifts(found)
    number = np.bincount(plane, minlength=count)
    middles = [np.bincount(plane, place[:, d], count) / np.maximum(number, 1) for d in range(3)]
    middle = np.stack(middles, axis=1)
    middle[np.repeat([stack.planes.midline for stack in stacks], size), 0] = 0.0
    offset = place - middle[plane]
    zeros = np.concatenate([stack.planes.zeros for stack in stacks])
    positives = np.concatenate([stack.planes.positives for stack in stacks])
    u = np.einsum("nd,nd->n", offset, zeros.take(plane, axis=0))
    v = np.einsum("nd,nd->n", offset, positives.take(plane, axis=0))
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
    lengths = _lengths(place[order], number)
    ends = np.cumsum(number).tolist()
    starts = [0, *ends[:-1]]
    shifted = None if shift is None else shift[order]
    cuts = [
        Cut(
            a=a[i:j],
            b=b[i:j],
            share=share[i:j],
            shift=None if shifted is None or not shifted[i:j].any() else shifted[i:j],
            length=length,
        )
        for i, j, length in zip(starts, ends, lengths, strict=True)
    ]
    return [cuts[i : i + n] for i, n in zip(first.tolist(), size, strict=True)]


def _shifts(found: Sequence[_Crossed]) -> Points | None:
    """How far tapes run from the skin at every crossing, (n, 3); None when all lie on it."""
    if all(one.shift is None for one in found):
        return None
    return np.concatenate([np.zeros((len(one.a), 3)) if one.shift is None else one.shift for one in found])


def _lengths(place: Points, number: Indices) -> list[float]:
    """Lengths of closed lines of corners stored end to end, ``number`` (k,) corners each."""
    starts = np.cumsum(number) - number
    after = np.arange(1, len(place) + 1)
    filled = number > 0
    after[(starts + number - 1)[filled]] = starts[filled]
    step = np.sqrt(np.square(place.take(after, axis=0) - place).sum(axis=1))
    lengths = np.zeros(len(number))
    if len(step):
        lengths[filled] = np.add.reduceat(step, starts[filled])
    return [float(length) for length in lengths]


class _Crossed(NamedTuple):
    """Where edges cross planes: both vertices, share, place, the plane's number, and the tape's way off."""

    a: Indices
    b: Indices
    share: Points
    place: Points
    plane: Indices
    shift: Points | None


def _crossings(vertices: Points, stacks: Sequence[Stack], first: Indices) -> _Crossed:
    """Where the same edges cross the planes of stacks, which are numbered from ``first`` (k,)."""
    edges = stacks[0].edges
    normals = np.concatenate([stack.planes.normals for stack in stacks])
    origins = np.concatenate([stack.planes.origins for stack in stacks])
    numbers = np.concatenate(
        [np.arange(n, n + len(stack.planes.origins)) for n, stack in zip(first, stacks, strict=True)]
    )
    near = vertices.take(edges.vertices, axis=0)
    height = near @ normals.T - np.sum(origins * normals, axis=1)
    # One row a vertex: both ends of an edge are then compared for all planes in one sweep of memory.
    above = height > 0.0
    crossed = above.take(edges.starts, axis=0) != above.take(edges.ends, axis=0)
    which, plane = np.divmod(np.flatnonzero(crossed), len(normals))
    a, b = edges.starts[which], edges.ends[which]
    ha, hb = height[a, plane], height[b, plane]
    share = ha / (ha - hb)
    start = near.take(a, axis=0)
    place = start + share[:, None] * (near.take(b, axis=0) - start)
    number = numbers[plane]
    keep, shift = _left_out(stacks, first, place, number, normals[plane])
    if shift is not None:
        place = place + shift
    a, b = edges.vertices[a], edges.vertices[b]
    if keep is None:
        return _Crossed(a, b, share, place, number, shift)
    return _Crossed(
        a[keep], b[keep], share[keep], place[keep], number[keep], None if shift is None else shift[keep]
    )


def _left_out(
    stacks: Sequence[Stack], first: Indices, place: Points, number: Indices, normal: Points
) -> tuple[NDArray[np.bool_] | None, Points | None]:
    """Which places (n, 3) clips leave, and how far floors bring some up; None where nothing does."""
    keep, shift = None, None
    for begin, stack in zip(first, stacks, strict=True):
        if not stack.clips and stack.floor is None:
            continue
        own = np.flatnonzero((number >= begin) & (number < begin + len(stack.planes.origins)))
        if stack.clips:
            beyond = np.stack([clip[:3] for clip in stack.clips])
            keep = np.ones(len(place), dtype=bool) if keep is None else keep
            keep[own] = (place[own] @ beyond.T <= np.array([clip[3] for clip in stack.clips])).all(axis=1)
        if stack.floor is not None:
            shift = np.zeros_like(place) if shift is None else shift
            below = np.maximum(stack.floor - place[own, 2], 0.0)
            # Along the plane, so that the line stays in it.
            upward = np.array([0.0, 0.0, 1.0]) - normal[own, 2:] * normal[own]
            shift[own] = ((1.0 + RETURN) * below / upward[:, 2])[:, None] * upward
    return keep, shift


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
    place = u + 1j * v
    # Edges that meet at a vertex of the plane cross it on one place, where no corner would seem to turn.
    kept = np.flatnonzero((np.abs(np.diff(place, prepend=np.inf)) > 1e-6) | (np.diff(line, prepend=-1) > 0))
    done: list[Indices] = []
    while len(kept):
        corner, owner = place[kept], line[kept]
        before, after, first = _neighbours(owner)
        inward = ((corner - corner[before]).conj() * (corner[after] - corner)).imag <= 0.0
        size = np.diff(np.append(first, len(kept)))
        turned = np.add.reduceat(inward, first, dtype=np.int64)
        # A line is taut when no corner turns inward; one that would lose its area is left as it is.
        open_still = np.repeat((turned > 0) & (size - turned >= 3) & (size > 3), size)
        done.append(kept[~open_still])
        kept = kept[open_still & ~inward]
    return np.sort(np.concatenate(done)) if done else kept


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
