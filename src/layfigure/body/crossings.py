"""Where the edges of a surface cross many planes at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
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

BITS = 52
"""So many planes go through edges together: a float tells as many sides apart exactly, a bit a plane."""


class Crossed(NamedTuple):
    """Where edges cross planes: rows of the surface at both ends (n,), share of the way (n,), place (3, n)
    [mm], number of the plane (n,), and the tape's way off the skin there (3, n), None where it lies on it.
    """

    a: Indices
    b: Indices
    share: Points
    place: Points
    plane: Indices
    shift: Points | None


@dataclass(frozen=True, slots=True, eq=False)
class _Joined:
    """Several sets of edges end to end.

    vertices : (n,) rows of the surface. count : (s,) how many of them each set has. edges : (2, e) both ends
    of every edge, into ``vertices``. owner : (e,) the set of every edge.
    """

    vertices: Indices
    count: Indices
    edges: Indices
    owner: Indices


@lru_cache(maxsize=64)
def _joined(several: tuple[Edges, ...]) -> _Joined:
    count = np.array([len(edges.vertices) for edges in several])
    owner = np.repeat(np.arange(len(several)), [len(edges.starts) for edges in several])
    both = [np.concatenate([getattr(edges, end) for edges in several]) for end in ("starts", "ends")]
    shifted = np.stack(both) + _starts(count)[owner]
    return _Joined(np.concatenate([edges.vertices for edges in several]), count, shifted, owner)


def crossings(vertices: Points, stacks: Sequence[Stack]) -> Crossed:
    """Where the edges of every stack cross its planes, in no order. Planes are numbered through all stacks.

    vertices : (p, 3) of the surface [mm].
    """
    # Stacks that cut the same edges go through them together.
    numbers: dict[Edges, list[int]] = {}
    count = 0
    for stack in stacks:
        after = count + len(stack.planes.origins)
        numbers.setdefault(stack.edges, []).extend(range(count, after))
        count = after
    sets = [(edges, own[k : k + BITS]) for edges, own in numbers.items() for k in range(0, len(own), BITS)]
    joined = _joined(tuple(edges for edges, _ in sets))
    number = np.array([k for _, own in sets for k in own], dtype=np.int64)
    size = np.array([len(own) for _, own in sets])
    normals = np.concatenate([stack.planes.normals for stack in stacks])[number]
    origins = np.concatenate([stack.planes.origins for stack in stacks])[number]
    near = vertices.take(joined.vertices, axis=0)
    height, sides = _heights(near, joined, normals, np.sum(origins * normals, axis=1), size)
    edge, bit = _changed(sides, joined)
    owner = joined.owner[edge]
    a, b = joined.edges.take(edge, axis=1)
    # Heights lie set by set and plane by plane, a row of the set's vertices each.
    before = _starts(size * joined.count) - _starts(joined.count)
    row = before[owner] + bit * joined.count[owner]
    ha, hb = height.take(row + a), height.take(row + b)
    share = ha / (ha - hb)
    plane = _starts(size)[owner] + bit
    start, end = (np.ascontiguousarray(near.take(rows, axis=0).T) for rows in (a, b))
    found = Crossed(
        a=joined.vertices[a],
        b=joined.vertices[b],
        share=share,
        place=start + share * (end - start),
        plane=number[plane],
        shift=None,
    )
    return _left_out(stacks, found, normals.T.take(plane, axis=1))


def _starts(size: Indices) -> Indices:
    """Where each of several things of some sizes begins when they stand end to end."""
    starts: Indices = np.cumsum(size) - size
    return starts


def _heights(
    near: Points, joined: _Joined, normals: Points, level: Points, size: Indices
) -> tuple[Points, Points]:
    """Heights of the vertices of every set above its planes, set by set and plane by plane, end to end; and
    on which side of them each vertex lies, (n,): a bit a plane, 1 above it.

    size : (s,) planes of every set.
    """
    heights, sides = [], np.empty(len(near))
    low, first = 0, 0
    for count, planes in zip(joined.count.tolist(), size.tolist(), strict=True):
        high, last = low + count, first + planes
        height: Points = normals[first:last] @ near[low:high].T
        height = height - level[first:last, None]
        sides[low:high] = _POWERS[:planes] @ (height > 0.0)
        heights.append(height.ravel())
        low, first = high, last
    return np.concatenate(heights), sides


_POWERS: Points = 2.0 ** np.arange(float(BITS))


def _changed(sides: Points, joined: _Joined) -> tuple[Indices, Indices]:
    """Edges whose ends lie on two sides of a plane, and which of its set's planes that is, (n,) each."""
    start, end = (sides.take(rows) for rows in joined.edges)
    edge = np.flatnonzero(start != end)
    differ = start[edge].astype(np.int64) ^ end[edge].astype(np.int64)
    edges, bits = [edge[:0]], [edge[:0]]
    # Most edges cross one plane: each turn takes the lowest bit of those that have any left.
    while len(edge):
        lowest = differ & -differ
        edges.append(edge)
        bits.append(np.frexp(lowest)[1] - 1)
        differ ^= lowest
        more = np.flatnonzero(differ != 0)
        edge, differ = edge[more], differ[more]
    edge, bit = np.concatenate(edges), np.concatenate(bits)
    order = np.argsort(edge * BITS + bit)
    return edge[order], bit[order]


def _left_out(stacks: Sequence[Stack], found: Crossed, normal: Points) -> Crossed:
    """Without what clips leave out, and with floors' places brought up. normal : (3, n) of every plane."""
    keep, shift, begin = None, None, 0
    for stack in stacks:
        end = begin + len(stack.planes.origins)
        if stack.clips or stack.floor is not None:
            own = np.flatnonzero((found.plane >= begin) & (found.plane < end))
            place = found.place.take(own, axis=1)
            if stack.clips:
                beyond = np.stack(stack.clips)
                keep = np.ones(len(found.plane), dtype=bool) if keep is None else keep
                keep[own] = (beyond[:, :3] @ place <= beyond[:, 3:]).all(axis=0)
            if stack.floor is not None:
                shift = np.zeros_like(found.place) if shift is None else shift
                below = np.maximum(stack.floor - place[2], 0.0)
                # Along the plane, so that the line stays in it.
                upward = np.array([[0.0], [0.0], [1.0]]) - normal[2, own] * normal[:, own]
                shift[:, own] = (1.0 + RETURN) * below / upward[2] * upward
        begin = end
    if shift is not None:
        found = found._replace(place=found.place + shift, shift=shift)
    if keep is None:
        return found
    kept = np.flatnonzero(keep)
    return found._replace(
        a=found.a[kept],
        b=found.b[kept],
        share=found.share[kept],
        place=found.place.take(kept, axis=1),
        plane=found.plane[kept],
        shift=None if shift is None else shift.take(kept, axis=1),
    )
