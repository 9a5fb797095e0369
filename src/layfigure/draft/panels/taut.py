"""Cloth drawn taut over hollows that its own sections do not show: under the bust, the seat fold, the groin.

A stretched knit is a membrane that the body may push out and never pull in. Moving every inner vertex
toward the middle of its neighbours, but only outward, relaxes it where the body is hollow and leaves it on
the skin where the body is round. The rounds limit how far a hollow is bridged, as friction and the little
tension along a garment do.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.panels.averaging import Averages, averages_of

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
    vertices: Points,
    faces: Indices,
    border: int,
    *,
    spacing: float = SPACING,
    sides: Points | None = None,
) -> tuple[Points, Points]:
    """The panel lifted off hollows.

    vertices : (n, 3) [mm], the first ``border`` of them the outline, which stays. spacing : side of the
    mesh's triangles [mm]. sides : of those at each vertex, (n,), where some are larger [mm]. Returns vertices
    (n, 3) and how far each was raised, (n,) [mm].
    """
    # A round carries a move one side far, and moves spread as the root of the rounds: a mesh half as wide
    # takes four times as many to bridge the same hollow.
    finer = (SPACING / spacing) ** 2
    rounds, normals_every, evening = (max(1, round(n * finer)) for n in (ROUNDS, NORMALS_EVERY, EVENING))
    # By the same rule a vertex between larger triangles takes a smaller share of each step, and the outline
    # none.
    near = np.full(len(vertices), 0.5)
    if sides is not None:
        near *= np.minimum(1.0, (spacing / sides) ** 2)
    near[:border] = 0.0
    mesh = averages_of(faces, border)
    # Coordinate after coordinate in one long line: numpy goes along it several times as fast as by rows of 3.
    shape = (3, len(vertices))
    p = np.ascontiguousarray(vertices.T)
    raised, level = np.zeros(len(vertices)), np.zeros(len(vertices))
    for turn in range(rounds):
        if turn % normals_every == 0:
            normals, creased = _surroundings(p, faces, mesh, evening)
            normals[:, :border] = 0.0
            creased[:border] = False
            in_crease = np.flatnonzero(creased)
            free_from = np.where(creased, 0.0, LIFTED)
        step = (mesh.toward @ p.ravel()).reshape(shape)
        out = (step * normals).sum(axis=0)
        lift = np.maximum(out, 0.0)
        raised += lift
        # A vertex free of the skin takes the whole step but for sinking; one on it is only lifted.
        free = raised >= free_from
        out *= free
        lift -= out
        lift *= near
        if in_crease.size:
            # In a crease it may turn anywhere, but what was round between two creases stays out.
            reached = level[in_crease] + near[in_crease] * out[in_crease]
            level[in_crease] = np.maximum(reached, 0.0)
            lift[in_crease] = np.maximum(-reached, 0.0)
        step *= near * free
        step += lift * normals
        p += step
    return np.ascontiguousarray(p.T), 0.5 * raised


def _surroundings(p: Points, faces: Indices, mesh: Averages, rounds: int) -> tuple[Points, NDArray[np.bool_]]:
    """Vertex normals averaged over some neighbours, for inside a crease single faces point anywhere, (3, n);
    and vertices of faces turned away from the surface around them, and their neighbours, (n,). p : (3, n).
    """
    corners = [p.take(faces[:, k], axis=1) for k in range(3)]
    own = _crosses(corners[1] - corners[0], corners[2] - corners[0])
    normals = mesh.around @ np.ascontiguousarray(own.T)
    normals /= np.maximum(np.sqrt(np.einsum("ij,ij->i", normals, normals)), 1e-9)[:, None]
    for _ in range(rounds):
        normals = mesh.neighbours @ normals
    normals /= np.maximum(np.sqrt(np.einsum("ij,ij->i", normals, normals)), 1e-9)[:, None]
    evened = (mesh.corners @ normals).T
    along = own[0] * evened[0] + own[1] * evened[1] + own[2] * evened[2]
    turned = along < CREASE * np.sqrt(own[0] ** 2 + own[1] ** 2 + own[2] ** 2)
    at = np.zeros(p.shape[1])
    at[faces[turned].ravel()] = 1.0
    for _ in range(2 if turned.any() else 0):
        at = np.maximum(at, mesh.neighbours @ at)
    return np.ascontiguousarray(normals.T), at > 0.0


def _crosses(u: Points, v: Points) -> Points:
    """Cross products, (3, m)."""
    cross = np.empty_like(u)
    for k in range(3):
        i, j = (k + 1) % 3, (k + 2) % 3
        cross[k] = u[i] * v[j] - u[j] * v[i]
    return cross
