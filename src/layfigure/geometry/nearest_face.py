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

    face : (k,) face nearest to each place. weights : (k, 3) of its corners. distance : (k,) [mm].
    """

    face: Indices
    weights: Points
    distance: Points

    def carried(self, faces: Indices, values: Points) -> Points:
        """Values (n, d) of the mesh's vertices read there, (k, d)."""
        read: Points = np.einsum("kc,kcd->kd", self.weights, values[faces[self.face]])
        return read


def face_tree(vertices: Points, faces: Indices) -> cKDTree:
    """The middles of faces, to look places up in again and again."""
    # Split in the middle of space, not of the faces: as quick to ask of an even mesh, and made much sooner.
    return cKDTree(vertices[faces].mean(axis=1), balanced_tree=False, compact_nodes=False)


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
    tried = near.shape[1]
    corners = vertices[faces[near.ravel()]]
    each = np.repeat(places, tried, axis=0)
    weights = nearest_weights(corners, each)
    off = np.linalg.norm(np.einsum("kc,kcd->kd", weights, corners) - each, axis=1).reshape(near.shape)
    rows = np.arange(len(places))
    best = off.argmin(axis=1)
    return NearestFaces(
        face=near[rows, best],
        weights=weights.reshape(*near.shape, 3)[rows, best],
        distance=off[rows, best],
    )


def nearest_weights(corners: Points, places: Points) -> Points:
    """Weights (k, 3) of the point nearest to each place on its own triangle, (k, 3, d)."""
    a, b, c = (corners[:, k] for k in range(3))
    u, v, w = b - a, c - a, places - a
    uu, uv, vv = (np.einsum("ij,ij->i", p, q) for p, q in ((u, u), (u, v), (v, v)))
    wu, wv = (np.einsum("ij,ij->i", p, w) for p in (u, v))
    area = np.maximum(uu * vv - uv**2, 1e-12)
    s, t = (vv * wu - uv * wv) / area, (uu * wv - uv * wu) / area
    weights = np.stack([1.0 - s - t, s, t], axis=1)
    outside = np.flatnonzero(weights.min(axis=1) < 0.0)
    if outside.size:
        weights[outside] = _on_rim(corners[outside], places[outside])
    return weights


def _on_rim(corners: Points, places: Points) -> Points:
    """Weights of the nearest point of each triangle's rim, (k, 3)."""
    k = len(places)
    best = np.full(k, np.inf)
    weights = np.zeros((k, 3))
    for start in range(3):
        end = (start + 1) % 3
        side = corners[:, end] - corners[:, start]
        square = np.maximum(np.einsum("ij,ij->i", side, side), 1e-12)
        t = np.clip(np.einsum("ij,ij->i", places - corners[:, start], side) / square, 0.0, 1.0)
        off = np.linalg.norm(corners[:, start] + t[:, None] * side - places, axis=1)
        own = np.zeros((k, 3))
        own[:, start], own[:, end] = 1.0 - t, t
        better = off < best
        best = np.where(better, off, best)
        weights = np.where(better[:, None], own, weights)
    return weights
