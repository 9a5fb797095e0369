"""Cloth drawn taut over hollows that its own sections do not show: under the bust, the seat fold, the groin.

A stretched knit is a membrane that the body may push out and never pull in. Moving every inner vertex
toward the middle of its neighbours, but only outward, relaxes it where the body is hollow and leaves it on
the skin where the body is round. The rounds limit how far a hollow is bridged, as friction and the little
tension along a garment do.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix, diags

from layfigure.draft.panels.surface import vertex_normals
from layfigure.geometry.mesh import TriangleMesh

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

SPACING = 9.0
"""Side of the triangles that the counts below are stated for [mm]."""
ROUNDS = 120
"""At that spacing, hollows up to some 80 mm across are bridged."""
NORMALS_EVERY = 15
EVENING = 4
"""Rounds of averaging that make normals even."""
CREASE = 0.2
"""A face leaning further than this cosine from the surface around it lies in a crease, free of cloth."""
LIFTED = 0.3
"""A vertex raised by more than this is free of the skin and may also slide sideways [mm]."""


def drawn_taut(
    vertices: Points, faces: Indices, border: int, *, spacing: float = SPACING
) -> tuple[Points, Points]:
    """The panel lifted off hollows.

    vertices : (n, 3) [mm], the first ``border`` of them the outline, which stays. spacing : side of the
    mesh's triangles [mm]. Returns vertices (n, 3) and how far each was raised, (n,) [mm].
    """
    # A round carries a move one side far, and moves spread as the root of the rounds: a mesh half as wide
    # takes four times as many to bridge the same hollow.
    finer = (SPACING / spacing) ** 2
    rounds, normals_every, evening = (max(1, round(n * finer)) for n in (ROUNDS, NORMALS_EVERY, EVENING))
    middle = _neighbour_mean(faces, len(vertices))
    p = vertices.copy()
    raised = np.zeros(len(p))
    for turn in range(rounds):
        if turn % normals_every == 0:
            normals = _even_normals(p, faces, middle, evening)
            creased = _creased(p, faces, normals, middle)
            creased[:border] = False
        step = middle @ p - p
        out = np.einsum("ij,ij->i", step, normals)
        lift = np.maximum(out, 0.0)
        lift[:border] = 0.0
        raised += lift
        sideways = step - out[:, None] * normals
        sideways[raised < LIFTED] = 0.0
        move = lift[:, None] * normals + sideways
        move[creased] = step[creased]
        p += 0.5 * move
    return p, 0.5 * raised


def _even_normals(p: Points, faces: Indices, middle: csr_matrix, rounds: int) -> Points:
    """Vertex normals averaged over some neighbours: inside a crease single faces point anywhere."""
    normals = vertex_normals(p, faces)
    for _ in range(rounds):
        normals = middle @ normals
    even: Points = normals / np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-9)
    return even


def _creased(p: Points, faces: Indices, normals: Points, middle: csr_matrix) -> NDArray[np.bool_]:
    """Vertices of faces turned away from the surface around them, and their neighbours, (n,)."""
    own = TriangleMesh(p, faces).face_normals()
    around = normals[faces].mean(axis=1)
    turned = np.einsum("ij,ij->i", own, around) < CREASE
    at = np.zeros(len(p))
    at[faces[turned].ravel()] = 1.0
    for _ in range(2):
        at = np.maximum(at, middle @ at)
    creased: NDArray[np.bool_] = at > 0.0
    return creased


def _neighbour_mean(faces: Indices, n: int) -> csr_matrix:
    i, j = faces.ravel(), faces[:, [1, 2, 0]].ravel()
    ones = np.ones(2 * len(i))
    adjacency = csr_matrix((ones, (np.r_[i, j], np.r_[j, i])), shape=(n, n))
    adjacency.data[:] = 1.0
    mean: csr_matrix = diags(1.0 / np.asarray(adjacency.sum(axis=1)).ravel()) @ adjacency
    return mean.tocsr()
