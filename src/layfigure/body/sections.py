"""Cutting a surface by many planes at once, and reading the tape line of every cut.

Each point of a tape line stays a weighted sum of vertices, so that the same place can be read in any pose,
and so that a girth can be differentiated with respect to the vertices.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

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
class Cut:
    """One closed tape line: corner i is ``(1 - share) * a + share * b``, in order around; (c,) each."""

    a: Indices
    b: Indices
    share: Points

    def places(self, vertices: Points) -> Points:
        """Corners in space, (c, 3) [mm]."""
        t = self.share[:, None]
        result: Points = (1.0 - t) * vertices[self.a] + t * vertices[self.b]
        return result


def cut_planes(vertices: Points, edges: Indices, planes: Planes, clips: Sequence[Points] = ()) -> list[Cut]:
    """Tape lines of every plane with the part of a surface spanned by ``edges``.

    edges : (e, 2). clips : (4,) half spaces; points with ``clip[:3] @ p > clip[3]`` are left out.
    Returns one Cut a plane, ordered by angle from the zero direction; fewer than three points give an
    empty Cut. Sections must be star-shaped about their middle, which limbs and trunks are.
    """
    # One row a plane: rows stay in memory order, and each plane only looks at edges once.
    height = planes.normals @ vertices.T - np.einsum("kd,kd->k", planes.origins, planes.normals)[:, None]
    above = height > 0.0
    starts, ends = edges[:, 0], edges[:, 1]
    found = [np.flatnonzero(row.take(starts) != row.take(ends)) for row in above]
    which = np.concatenate(found)
    plane = np.repeat(np.arange(len(found)), [len(f) for f in found])
    a, b = starts[which], ends[which]
    ha, hb = height[plane, a], height[plane, b]
    share = ha / (ha - hb)
    place = vertices[a] + share[:, None] * (vertices[b] - vertices[a])
    keep = np.ones(len(place), dtype=bool)
    for clip in clips:
        keep &= place @ clip[:3] <= clip[3]
    a, b, share, place, plane = a[keep], b[keep], share[keep], place[keep], plane[keep]
    count = len(planes.origins)
    number = np.maximum(np.bincount(plane, minlength=count), 1)
    middle = np.stack([np.bincount(plane, place[:, d], count) / number for d in range(3)], axis=1)
    if planes.midline:
        middle[:, 0] = 0.0
    offset = place - middle[plane]
    u = np.einsum("nd,nd->n", offset, planes.zeros[plane])
    v = np.einsum("nd,nd->n", offset, planes.positives[plane])
    angle = np.mod(np.arctan2(v, u), 2.0 * np.pi)
    order = np.lexsort((angle, plane))
    a, b, share, u, v, plane = a[order], b[order], share[order], u[order], v[order], plane[order]
    bounds = np.searchsorted(plane, np.arange(count + 1))
    cuts: list[Cut] = []
    for k in range(count):
        rows = np.arange(bounds[k], bounds[k + 1])
        if planes.hull and len(rows) > 3:
            rows = rows[_hull_of_star(u[rows], v[rows])]
        cuts.append(Cut(a=a[rows], b=b[rows], share=share[rows]))
    return cuts


def _hull_of_star(u: Points, v: Points) -> Indices:
    """Which corners of a closed line, in order of angle about a point inside, lie on its convex hull.

    A corner of the hull never turns inward between any two others, so all that do may go at once.
    """
    kept = np.arange(len(u))
    plane = u + 1j * v
    while len(kept) > 3:
        corner = plane[kept]
        # Side k leads to corner k, so that the side from it is the next one; both ends hold the closing side.
        side = np.empty(len(kept) + 1, dtype=np.complex128)
        np.subtract(corner[1:], corner[:-1], out=side[1:-1])
        side[0] = side[-1] = corner[0] - corner[-1]
        convex = (side[:-1].conj() * side[1:]).imag > 0.0
        if convex.all() or convex.sum() < 3:
            break
        kept = kept[convex]
    return kept


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
    order = order[_hull_of_star(u[order], v[order])]
    return Cut(a=wider.a[order], b=wider.b[order], share=wider.share[order])


def _centroid(corners: Points) -> Points:
    """Middle of a closed line weighted by its length, so that crowded corners do not pull it, (3,)."""
    following = np.concatenate([corners[1:], corners[:1]])
    steps = np.sqrt(np.square(following - corners).sum(axis=1))
    weight = steps + np.concatenate([steps[-1:], steps[:-1]])
    result: Points = weight @ corners / weight.sum()
    return result


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TapeGrid:
    """A stack of tape lines resampled: places are weighted sums of four vertices; (k, n, 4) each."""

    vertices: Indices
    weights: Points

    def places(self, vertices: Points) -> Points:
        """(k, n, 3) [mm]; any pose of the same surface may be given."""
        result: Points = np.einsum("knc,kncd->knd", self.weights, vertices[self.vertices])
        return result


def resample_cuts(vertices: Points, cuts: list[Cut], planes: Planes, count: int) -> TapeGrid:
    """``count`` places at equal shares of every tape line, starting on the zero line."""
    rows = [
        _resample(vertices, cut, planes.zeros[k], planes.positives[k], count, midline=planes.midline)
        for k, cut in enumerate(cuts)
    ]
    return TapeGrid(vertices=np.stack([r[0] for r in rows]), weights=np.stack([r[1] for r in rows]))


def _resample(
    vertices: Points, cut: Cut, zero: Points, positive: Points, count: int, *, midline: bool
) -> tuple[Indices, Points]:
    """One tape line as weighted sums of four vertices, (count, 4) each."""
    p = cut.places(vertices)
    middle = _centroid(p)
    if midline:
        middle[0] = 0.0
    # Start with the first corner past the zero line, which may differ from the cut's own middle.
    turn = np.mod(np.arctan2((p - middle) @ positive, (p - middle) @ zero), 2.0 * np.pi)
    c = len(p)
    order = np.arange(c) + int(turn.argmin())
    order[order >= c] -= c
    a, b, along_edge, p = cut.a[order], cut.b[order], cut.share[order], p[order]
    # The zero line crosses between the last corner and the first, where the angle passes 0.
    behind, ahead = float((p[-1] - middle) @ positive), float((p[0] - middle) @ positive)
    start = min(max(-behind / (ahead - behind), 0.0), 1.0) if ahead - behind > 1e-9 else 1.0
    first = p[-1] + start * (p[0] - p[-1])
    line = np.concatenate([first[None], p, first[None]])
    s = np.zeros(c + 2)
    np.cumsum(np.sqrt(np.square(line[1:] - line[:-1]).sum(axis=1)), out=s[1:])
    at = np.arange(count) * (s[-1] / count)
    segment = np.clip(np.searchsorted(s, at, side="right") - 1, 0, c)
    share = (at - s[segment]) / np.maximum(s[segment + 1] - s[segment], 1e-12)
    # Segment 0 runs from the zero point to corner 0, segment k from corner k-1 to corner k, back to zero.
    share = np.where(
        segment == 0, start + share * (1.0 - start), np.where(segment == c, share * start, share)
    )
    low, high = (segment - 1) % c, segment % c
    index = np.stack([a[low], b[low], a[high], b[high]], axis=1)
    weight = np.stack(
        [
            (1 - share) * (1 - along_edge[low]),
            (1 - share) * along_edge[low],
            share * (1 - along_edge[high]),
            share * along_edge[high],
        ],
        axis=1,
    )
    return index, weight
