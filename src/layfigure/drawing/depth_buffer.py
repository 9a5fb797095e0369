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
    low = np.maximum(np.ceil(corners.min(1) - 0.5).astype(np.int64), 0)
    high = np.minimum(np.floor(corners.max(1) - 0.5).astype(np.int64), [width - 1, height - 1])
    size = np.maximum(high - low + 1, 0)
    count = size[:, 0] * size[:, 1]
    keep = (count > 0) & ((area < 0) if cull else (area != 0))
    face = np.repeat(np.flatnonzero(keep), count[keep])
    offset = np.arange(len(face)) - np.repeat(np.cumsum(count[keep]) - count[keep], count[keep])
    x = low[face, 0] + offset % size[face, 0]
    y = low[face, 1] + offset // size[face, 0]
    p = np.stack([x, y], axis=1) + 0.5
    weights = np.stack(
        [_signed(b[face], c[face], p), _signed(c[face], a[face], p), _signed(a[face], b[face], p)], 1
    )
    weights /= area[face, None]
    inside = (weights >= 0).all(axis=1)
    face, x, y, weights = face[inside], x[inside], y[inside], weights[inside]
    # Depth is linear in the picture only as its inverse.
    corrected = weights / depth[faces[face]]
    total = corrected.sum(axis=1)
    nearness = total
    order = np.argsort(nearness, kind="stable")
    cell = (y * width + x)[order]
    buffer_face = np.full(width * height, -1, dtype=np.int64)
    buffer_depth = np.full(width * height, np.inf)
    buffer_weights = np.zeros((width * height, 3))
    # The last assignment wins, and nearest comes last.
    buffer_face[cell] = face[order]
    buffer_depth[cell] = 1.0 / nearness[order]
    buffer_weights[cell] = (corrected / total[:, None])[order]
    return Buffer(
        face=buffer_face.reshape(height, width),
        depth=buffer_depth.reshape(height, width),
        weights=buffer_weights.reshape(height, width, 3),
    )


def _signed(a: Points, b: Points, p: Points) -> Points:
    """Twice the signed area of triangles (a, b, p)."""
    area: Points = (b[:, 0] - a[:, 0]) * (p[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (p[:, 0] - a[:, 0])
    return area
