"""Cloth drawn taut over hollows that its own sections do not show: under the bust, the seat fold, the groin.

A stretched knit is a membrane that the body may push out and never pull in. Moving every inner vertex
toward the middle of its neighbours, but only outward, relaxes it where the body is hollow and leaves it on
the skin where the body is round. The rounds limit how far a hollow is bridged, as friction and the little
tension along a garment do.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import identity

from layfigure.draft.panels.averaging import Averages, averages_of
from layfigure.draft.panels.surface import face_crosses

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
    mesh = averages_of(faces, border)
    toward = (mesh.neighbours - identity(len(vertices), format="csr")).tocsr()
    p = vertices.copy()
    raised = np.zeros(len(p))
    for turn in range(rounds):
        if turn % normals_every == 0:
            normals, creased = _surroundings(p, faces, mesh, evening)
            creased[:border] = False
        step = toward @ p
        out = np.einsum("ij,ij->i", step, normals)
        lift = np.maximum(out, 0.0)
        lift[:border] = 0.0
        raised += lift
        # A vertex free of the skin takes the whole step but for sinking; one on it is only lifted.
        whole = creased | (raised >= LIFTED)
        step *= (0.5 * whole)[:, None]
        p += step
        p += (0.5 * np.where(creased, 0.0, lift - whole * out))[:, None] * normals
    return p, 0.5 * raised


def _surroundings(p: Points, faces: Indices, mesh: Averages, rounds: int) -> tuple[Points, NDArray[np.bool_]]:
    """Vertex normals averaged over some neighbours, for inside a crease single faces point anywhere, (n, 3);
    and vertices of faces turned away from the surface around them, and their neighbours, (n,).
    """
    own = face_crosses(p, faces)
    normals = mesh.around @ own
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-9)
    for _ in range(rounds):
        normals = mesh.neighbours @ normals
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-9)
    along = np.einsum("ij,ij->i", own, mesh.corners @ normals)
    turned = along < CREASE * np.linalg.norm(own, axis=1)
    at = np.zeros(len(p))
    at[faces[turned].ravel()] = 1.0
    for _ in range(2 if turned.any() else 0):
        at = np.maximum(at, mesh.neighbours @ at)
    return normals, at > 0.0
