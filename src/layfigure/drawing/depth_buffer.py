"""A depth buffer in plain numpy: which face shows at every pixel of a picture of a mesh."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Buffer:
    """What a picture sees.

    face : (h, w) index of the nearest face, -1 where the background shows.
    depth : (h, w) distance to it [mm], infinite in the background.
    weights : (h, w, 3) barycentric weights of the pixel centre in that face, for perspective corrected.
    """

    face: Indices
    depth: Points
    weights: Points


def rasterise(
    pixels: Points, depth: Points, faces: Indices, width: int, height: int, *, cull: bool = True
) -> Buffer:
    """Depth buffer of a projected mesh.

    pixels : (n, 2) vertices in the picture, x right and y down, pixel centres at half numbers.
    depth : (n,) distance from the camera [mm], positive. faces : (m, 3).
    cull : leave out faces turned away (clockwise once y points down means facing us).
    """
    corners = pixels[faces]
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    kept = np.flatnonzero((area < 0) if cull else (area != 0))
    # A weight, like the inverse of depth, is a plane over the picture: (at the origin, by x, by y).
    planes = np.stack([_plane(first[kept], second[kept]) for first, second in ((b, c), (c, a), (a, b))], 1)
    planes /= area[kept, None, None]
    near = np.einsum("fkp,fk->fp", planes, 1.0 / depth[faces[kept]])
    own, x, y = _pixels_of(corners[kept], planes, width, height)
    nearness = near[own, 0] + near[own, 1] * (x + 0.5) + near[own, 2] * (y + 0.5)
    cell = y * width + x
    nearest = np.zeros(width * height)
    np.maximum.at(nearest, cell, nearness)
    shown = np.flatnonzero(nearness == nearest[cell])
    cell, own = cell[shown], own[shown]
    place = np.stack([np.ones(len(cell)), cell % width + 0.5, cell // width + 0.5], axis=1)
    corrected = np.einsum("fkp,fp->fk", planes[own], place) / depth[faces[kept[own]]]
    buffer_face = np.full(width * height, -1, dtype=np.int64)
    buffer_depth = np.full(width * height, np.inf)
    buffer_weights = np.zeros((width * height, 3))
    buffer_face[cell] = kept[own]
    buffer_depth[cell] = 1.0 / nearness[shown]
    buffer_weights[cell] = corrected / nearness[shown][:, None]
    return Buffer(
        face=buffer_face.reshape(height, width),
        depth=buffer_depth.reshape(height, width),
        weights=buffer_weights.reshape(height, width, 3),
    )


def _plane(a: Points, b: Points) -> Points:
    """Twice the signed area of triangles (a, b, p) as a plane over p, (n, 3): at the origin, by x, by y."""
    across, down = (b - a).T
    return np.stack([down * a[:, 0] - across * a[:, 1], -down, across], axis=1)


def _pixels_of(corners: Points, planes: Points, width: int, height: int) -> tuple[Indices, Indices, Indices]:
    """Every pixel whose centre lies in a face: the face, the column and the row.

    In a row each weight is at least 0 on one side of a place, so the face is what lies between three places.
    """
    low = np.maximum(np.ceil(corners[:, :, 1].min(axis=1) - 0.5), 0).astype(np.int64)
    high = np.minimum(np.floor(corners[:, :, 1].max(axis=1) - 0.5), height - 1).astype(np.int64)
    face, row = _counted_from(low, np.maximum(high - low + 1, 0))
    base, slope = planes[face, :, 0] + planes[face, :, 2] * (row[:, None] + 0.5), planes[face, :, 1]
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = -base / slope
    first = np.where(slope > 0, crossing, -np.inf).max(axis=1)
    last = np.where(slope < 0, crossing, np.inf).min(axis=1)
    # A weight that does not change along the row is the same for all of it.
    empty = ((slope == 0) & (base < 0)).any(axis=1)
    left = np.ceil(np.maximum(first - 0.5, 0.0)).astype(np.int64)
    right = np.floor(np.minimum(last - 0.5, width - 1.0)).astype(np.int64)
    run, column = _counted_from(left, np.where(empty, 0, np.maximum(right - left + 1, 0)))
    return face[run], column, row[run]


def _counted_from(start: Indices, count: Indices) -> tuple[Indices, Indices]:
    """Owners repeated by their counts, and numbers that run on from each owner's start."""
    owner = np.repeat(np.arange(len(start)), count)
    return owner, np.arange(len(owner)) - np.repeat(np.cumsum(count) - count - start, count)
