"""Cutting a surface by many planes at once, and reading the tape line of every cut.

Each point of a tape line stays a weighted sum of vertices, so that the same place can be read in any pose,
and so that a girth can be differentiated with respect to the vertices.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

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
    height = vertices @ planes.normals.T - np.einsum("kd,kd->k", planes.origins, planes.normals)
    above = height > 0.0
    which, plane = np.nonzero(above[edges[:, 0]] != above[edges[:, 1]])
    a, b = edges[which, 0], edges[which, 1]
    ha, hb = height[a, plane], height[b, plane]
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
    starts = np.searchsorted(plane, np.arange(count + 1))
    cuts: list[Cut] = []
    for k in range(count):
        rows = np.arange(starts[k], starts[k + 1])
        if planes.hull and len(rows) > 3:
            corners = ConvexHull(np.stack([u[rows], v[rows]], axis=1)).vertices
            rows = rows[np.sort(corners)]
        cuts.append(Cut(a=a[rows], b=b[rows], share=share[rows]))
    return cuts


def _centroid(corners: Points) -> Points:
    """Middle of a closed line weighted by its length, so that crowded corners do not pull it, (3,)."""
    steps = np.linalg.norm(corners - np.roll(corners, 1, axis=0), axis=1)
    weight = steps + np.roll(steps, -1)
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
    k = len(cuts)
    index = np.zeros((k, count, 4), dtype=np.int64)
    weight = np.zeros((k, count, 4))
    targets = np.arange(count) / count
    for row, cut in enumerate(cuts):
        p = cut.places(vertices)
        middle = _centroid(p)
        if planes.midline:
            middle[0] = 0.0
        turn = np.mod(
            np.arctan2((p - middle) @ planes.positives[row], (p - middle) @ planes.zeros[row]), 2 * np.pi
        )
        first_corner = int(turn.argmin())
        cut = Cut(a=np.roll(cut.a, -first_corner), b=np.roll(cut.b, -first_corner),
                  share=np.roll(cut.share, -first_corner))  # fmt: skip
        p = np.roll(p, -first_corner, axis=0)
        # The zero line crosses between the last corner and the first, where the angle passes 0.
        last, first = p[-1] - middle, p[0] - middle
        side_last, side_first = last @ planes.positives[row], first @ planes.positives[row]
        gap = side_first - side_last
        start = float(np.clip(-side_last / gap, 0.0, 1.0)) if gap > 1e-9 else 1.0
        zero = p[-1] + start * (p[0] - p[-1])
        line = np.concatenate([zero[None], p, zero[None]])
        s = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
        at = targets * s[-1]
        segment = np.clip(np.searchsorted(s, at, side="right") - 1, 0, len(p))
        along = (at - s[segment]) / np.maximum(s[segment + 1] - s[segment], 1e-12)
        # Segment 0 runs from the zero point to corner 0, segment c from corner c-1 to corner c (mod c).
        c = len(p)
        low, high = (segment - 1) % c, segment % c
        share = along.copy()
        share[segment == 0] = start + along[segment == 0] * (1.0 - start)
        share[segment == c] = along[segment == c] * start
        index[row] = np.stack([cut.a[low], cut.b[low], cut.a[high], cut.b[high]], axis=1)
        weight[row] = np.stack(
            [
                (1 - share) * (1 - cut.share[low]),
                (1 - share) * cut.share[low],
                share * (1 - cut.share[high]),
                share * cut.share[high],
            ],
            axis=1,
        )
    return TapeGrid(vertices=index, weights=weight)
