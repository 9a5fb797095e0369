"""The nearest point of a triangle mesh to each of many places, in space or in the plane."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

CANDIDATES = 12
"""Faces tried for every place, those whose middles are nearest: enough where faces are of like size."""


@dataclass(frozen=True, slots=True, eq=False)
class NearestFaces:
    """Where places lie on a mesh.

    face : (k,) face nearest to each place. weights : (k, 3) of its corners. foot : (k, d) nearest point.
    distance : (k,) to it [mm].
    """

    face: Indices
    weights: Points
    foot: Points
    distance: Points

    def carried(self, faces: Indices, values: Points) -> Points:
        """Values (n, d) of the mesh's vertices read there, (k, d)."""
        read: Points = np.einsum("kc,kcd->kd", self.weights, values[faces[self.face]])
        return read


def face_tree(vertices: Points, faces: Indices) -> cKDTree:
    """The middles of faces, to look places up in again and again."""
    a, b, c = faces.T
    middles = (vertices[a] + vertices[b] + vertices[c]) / 3.0
    # Split in the middle of space, not of the faces: as quick to ask of an even mesh, and made much sooner.
    return cKDTree(middles, balanced_tree=False, compact_nodes=False)


def nearest_faces(
    vertices: Points, faces: Indices, places: Points, *, tree: cKDTree | None = None
) -> NearestFaces:
    """Nearest faces among those whose middles are close by.

    vertices : (n, d), places : (k, d) [mm], d 2 or 3. A place beside the mesh meets its rim. tree : of the
    same mesh by ``face_tree``, for those who ask often.
    """
    tree = face_tree(vertices, faces) if tree is None else tree
    _, near = tree.query(places, k=min(CANDIDATES, len(faces)))
    near = near.reshape(len(places), -1)
    corners = vertices[faces[near]]
    s, t, square = _nearest(corners[:, :, 0], corners[:, :, 1], corners[:, :, 2], places[:, None])
    rows = np.arange(len(places))
    best = square.argmin(axis=1)
    chosen, own = _weights(s[rows, best], t[rows, best]), corners[rows, best]
    foot = np.einsum("kc,kcd->kd", chosen, own)
    # Found by differences of squares, a small distance would be rough.
    distance = np.linalg.norm(foot - places, axis=1)
    return NearestFaces(face=near[rows, best], weights=chosen, foot=foot, distance=distance)


def nearest_weights(corners: Points, places: Points) -> Points:
    """Weights (k, 3) of the point nearest to each place on its own triangle, (k, 3, d)."""
    s, t, _ = _nearest(corners[:, 0], corners[:, 1], corners[:, 2], places)
    return _weights(s, t)


def plane_weights(corners: Points, places: Points) -> Points:
    """Weights (k, 3) of places in the planes of their own triangles, (k, 3, d), also beyond their sides."""
    u, v, w = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0], places - corners[:, 0]
    uu, uv, vv, wu, wv = (_dot(a, b) for a, b in ((u, u), (u, v), (v, v), (w, u), (w, v)))
    area = np.maximum(uu * vv - uv * uv, 1e-12)
    s, t = (vv * wu - uv * wv) / area, (uu * wv - uv * wu) / area
    return _weights(s, t)


def _weights(s: Points, t: Points) -> Points:
    """Of all three corners, (k, 3), from those of second and third."""
    return np.stack([1.0 - s - t, s, t], axis=1)


def _nearest(a: Points, b: Points, c: Points, places: Points) -> tuple[Points, Points, Points]:
    """Weights of second and third corner of the points of triangles nearest to places, and the squares of how
    far off they are, (...) each.

    a, b, c, places : (..., d). All follows from products of the two sides at ``a`` and the way to the place.
    """
    u, v, w = b - a, c - a, places - a
    uu, uv, vv = _dot(u, u), _dot(u, v), _dot(v, v)
    wu, wv, ww = _dot(w, u), _dot(w, v), _dot(w, w)
    area = np.maximum(uu * vv - uv * uv, 1e-12)
    s, t = (vv * wu - uv * wv) / area, (uu * wv - uv * wu) / area
    out = (s < 0.0) | (t < 0.0) | (s + t > 1.0)
    square = ww - 2.0 * (s * wu + t * wv) + s * s * uu + 2.0 * s * t * uv + t * t * vv
    # Of nearly all triangles tried for a place it is the rim: cheaper found of all than picked out.
    rim_s, rim_t, rim = _on_rim(uu, uv, vv, wu, wv)
    return np.where(out, rim_s, s), np.where(out, rim_t, t), np.where(out, ww + rim, square)


def _on_rim(uu: Points, uv: Points, vv: Points, wu: Points, wv: Points) -> tuple[Points, Points, Points]:
    """Weights of second and third corner of the nearest points of the rim, and the squares of how far off
    they are, less that of the first corner, (...) each.
    """
    ab, ac = _clipped(wu, uu), _clipped(wv, vv)
    side, beyond = uu - 2.0 * uv + vv, wv - wu - uv + uu
    bc = _clipped(beyond, side)
    off_ab = ab * (ab * uu - 2.0 * wu)
    off_bc = bc * (bc * side - 2.0 * beyond) + uu - 2.0 * wu
    off_ac = ac * (ac * vv - 2.0 * wv)
    least = np.minimum(np.minimum(off_ab, off_bc), off_ac)
    on_ab, on_bc = off_ab == least, off_bc == least
    s = np.where(on_ab, ab, np.where(on_bc, 1.0 - bc, 0.0))
    t = np.where(on_ab, 0.0, np.where(on_bc, bc, ac))
    return s, t, least


def _clipped(along: Points, square: Points) -> Points:
    share: Points = np.minimum(np.maximum(along / np.maximum(square, 1e-12), 0.0), 1.0)
    return share


def _dot(p: Points, q: Points) -> Points:
    product: Points = np.einsum("...d,...d->...", p, q)
    return product
