"""Averages over neighbours on a panel's mesh: matrices that belong to the mesh, whoever wears it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix, diags, identity, kron
from scipy.sparse.linalg import factorized

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

KEPT_MESHES = 64
"""Panels of a few garments."""


@dataclass(frozen=True, slots=True, eq=False)
class Averages:
    """Linear maps on a mesh of n vertices and m faces.

    corners : (m, n) mean over the corners of each face. around : (n, m) sum over the faces at each vertex.
    neighbours : (n, n) mean over the vertices joined to each. toward : (3n, 3n) how far that mean lies off,
    for all first coordinates, then all second and third.
    settle : solves for inner vertices at the mean of their neighbours, (i,) right-hand side to (i,); pull :
    (i, b) what outline vertices, which come first, add to that right-hand side.
    """

    corners: csr_matrix
    around: csr_matrix
    neighbours: csr_matrix
    toward: csr_matrix
    settle: Any
    pull: csr_matrix


def averages_of(faces: Indices, border: int) -> Averages:
    """The averages of a mesh whose first ``border`` vertices are its outline. faces : (m, 3)."""
    return _averages(np.ascontiguousarray(faces, dtype=np.int64).tobytes(), border)


@lru_cache(maxsize=KEPT_MESHES)
def _averages(face_bytes: bytes, border: int) -> Averages:
    faces = np.frombuffer(face_bytes, dtype=np.int64).reshape(-1, 3)
    m, n = len(faces), int(faces.max()) + 1
    starts = np.arange(0, 3 * m + 1, 3)
    corners = csr_matrix((np.full(3 * m, 1.0 / 3.0), faces.ravel(), starts), shape=(m, n))
    around = csr_matrix((np.ones(3 * m), faces.ravel(), starts), shape=(m, n)).T.tocsr()
    i, j = faces.ravel(), faces[:, [1, 2, 0]].ravel()
    joined = csr_matrix((np.ones(2 * i.size), (np.r_[i, j], np.r_[j, i])), shape=(n, n))
    joined.data[:] = 1.0
    neighbours = (diags(1.0 / np.asarray(joined.sum(axis=1)).ravel()) @ joined).tocsr()
    inside = (identity(n - border) - neighbours[border:, border:]).tocsc()
    toward = kron(identity(3), neighbours - identity(n), format="csr")
    return Averages(corners, around, neighbours, toward, factorized(inside), neighbours[border:, :border])
