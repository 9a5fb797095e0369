"""Fewer triangles for the same shape: edges drawn together to points, those first that change it least.

Many edges are drawn together at once, none near another, so every round is one pass over arrays. Source of
the measure: M. Garland, P. Heckbert, "Surface simplification using quadric error metrics", SIGGRAPH 1997.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix

from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.mesh_repair import edge_table

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

ROUNDS = 200
RIM_WEIGHT = 20.0
EVENNESS = 1e-3
"""Weight of an edge's own length: where the surface is flat, short edges go first."""

BARRED = 1e30

CHEAPEST = 0.3
"""Share of all edges that a round chooses from."""

THINNEST = 0.15
"""Height of a face over its longest side that a round may leave it."""

IDLE = 6
"""Rounds, each with another draw, after which no edge is found that may still be drawn together."""

TURN = 0.3
"""A face may not turn so far that its normals' product falls below this."""


def simplify(mesh: TriangleMesh, faces: int) -> TriangleMesh:
    """A mesh of about so many faces, or as it is if it has fewer; topology and rims are kept."""
    return _drawn_together(mesh, faces=faces)


def without_short_edges(mesh: TriangleMesh, shortest: float) -> TriangleMesh:
    """A mesh whose edges below a length [mm] are drawn together, where that turns no face over.

    They make needles, whose strain tells nothing of the sheet.
    """
    return _drawn_together(mesh, shortest=shortest)


def _drawn_together(mesh: TriangleMesh, *, faces: int | None = None, shortest: float = 0.0) -> TriangleMesh:
    """Edges drawn together until few faces are left, or until none of those below a length can be."""
    vertices, triangles = mesh.vertices.copy(), mesh.faces
    quadrics = _quadrics(vertices, triangles)
    draw = np.random.default_rng(0)
    idle = 0
    for _ in range(ROUNDS):
        if faces is not None and len(triangles) <= faces:
            break
        edges, _, uses = edge_table(triangles)
        places, cost = _costs(vertices, edges, uses, quadrics)
        if faces is None:
            run = np.linalg.norm(vertices[edges[:, 0]] - vertices[edges[:, 1]], axis=1)
            cheap = run < shortest
            most = len(edges)
        else:
            cheap = cost <= np.quantile(cost, CHEAPEST)
            most = (len(triangles) - faces + 1) // 2
        chosen = _apart(edges, cost, cheap, len(vertices), draw)
        chosen = chosen[_keeps_topology(edges, uses, len(vertices), chosen)]
        chosen = chosen[_stands(vertices, triangles, edges, places, chosen)][:most]
        idle = 0 if len(chosen) else idle + 1
        if faces is None and idle == IDLE:
            break
        keep, gone = edges[chosen, 0], edges[chosen, 1]
        vertices[keep] = places[chosen]
        quadrics[keep] += quadrics[gone]
        target = np.arange(len(vertices))
        target[gone] = keep
        triangles = target[triangles]
        triangles = triangles[(triangles != np.roll(triangles, 1, axis=1)).all(axis=1)]
        used, compact = np.unique(triangles, return_inverse=True)
        vertices, quadrics, triangles = vertices[used], quadrics[used], compact.reshape(-1, 3)
    return TriangleMesh(vertices, triangles.astype(np.int64))


def _quadrics(vertices: Points, faces: Indices) -> Points:
    """Sum over faces at each vertex of squared distance from their planes, (n, 4, 4), weighted by area."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    normal = np.cross(b - a, c - a)
    double = np.linalg.norm(normal, axis=1, keepdims=True)
    unit = normal / np.maximum(double, 1e-300)
    plane = np.column_stack([unit, -(unit * a).sum(axis=1)])
    quadrics = np.zeros((len(vertices), 4, 4))
    outer = plane[:, :, None] * plane[:, None, :] * double[:, :, None]
    for k in range(3):
        np.add.at(quadrics, faces[:, k], outer)
    # A rim is held by planes upright on it.
    _, which, uses = edge_table(faces)
    half = np.flatnonzero(uses[which] == 1)
    face = half // 3
    start, end = vertices[faces[face, half % 3]], vertices[faces[face, (half + 1) % 3]]
    upright = np.cross(end - start, unit[face])
    upright /= np.maximum(np.linalg.norm(upright, axis=1, keepdims=True), 1e-300)
    rim = np.column_stack([upright, -(upright * start).sum(axis=1)])
    weight = RIM_WEIGHT * ((end - start) ** 2).sum(axis=1)
    outer = rim[:, :, None] * rim[:, None, :] * weight[:, None, None]
    for corner in (faces[face, half % 3], faces[face, (half + 1) % 3]):
        np.add.at(quadrics, corner, outer)
    return quadrics


def _costs(vertices: Points, edges: Indices, uses: Indices, quadrics: Points) -> tuple[Points, Points]:
    """Best place among both ends and the middle, (e, 3), and its cost, (e,)."""
    rim = np.zeros(len(vertices), dtype=bool)
    rim[edges[uses == 1]] = True
    u, v = vertices[edges[:, 0]], vertices[edges[:, 1]]
    candidates = np.stack([u, v, 0.5 * (u + v)])
    summed = quadrics[edges[:, 0]] + quadrics[edges[:, 1]]
    extended = np.concatenate([candidates, np.ones((3, len(edges), 1))], axis=2)
    error = np.einsum("kei,eij,kej->ke", extended, summed, extended)
    # An inner vertex is drawn to the rim, never the rim inward.
    one, other = rim[edges[:, 0]], rim[edges[:, 1]]
    error[1:, one & ~other] = BARRED
    error[[0, 2], :] = np.where(other & ~one, BARRED, error[[0, 2], :])
    best = error.argmin(axis=0)
    rows = np.arange(len(edges))
    length = ((u - v) ** 2).sum(axis=1)
    return candidates[best, rows], error[best, rows] + EVENNESS * length**2


def _keeps_topology(edges: Indices, uses: Indices, count: int, chosen: Indices) -> NDArray[np.bool_]:
    """Which chosen edges have ends that share no neighbours but across their own faces, (c,)."""
    links = coo_matrix((np.ones(len(edges)), (edges[:, 0], edges[:, 1])), shape=(count, count)).tocsr()
    links = links + links.T
    u, v = edges[chosen].T
    common = np.asarray(links[u].multiply(links[v]).sum(axis=1)).ravel()
    rim = np.zeros(count, dtype=bool)
    rim[edges[uses == 1]] = True
    keeps: NDArray[np.bool_] = (common == uses[chosen]) & ~(rim[u] & rim[v] & (uses[chosen] == 2))
    return keeps


def _apart(
    edges: Indices, cost: Points, cheap: NDArray[np.bool_], count: int, draw: np.random.Generator
) -> Indices:
    """Edges among the cheap ones of a round, no two of which have neighbouring ends."""
    rank = np.where(cheap, draw.permutation(len(edges)).astype(np.float64), np.inf)
    own = np.full(count, np.inf)
    for k in range(2):
        np.minimum.at(own, edges[:, k], rank)
    near = own.copy()
    np.minimum.at(near, edges[:, 0], own[edges[:, 1]])
    np.minimum.at(near, edges[:, 1], own[edges[:, 0]])
    chosen = np.flatnonzero(cheap & (rank <= np.minimum(near[edges[:, 0]], near[edges[:, 1]])))
    return chosen[np.argsort(cost[chosen])]


def _stands(
    vertices: Points, faces: Indices, edges: Indices, places: Points, chosen: Indices
) -> NDArray[np.bool_]:
    """Which chosen edges turn no face over and leave no sliver, (c,)."""
    owner = np.full(len(vertices), -1)
    for k in range(2):
        owner[edges[chosen, k]] = np.arange(len(chosen))
    moves = owner[faces] >= 0
    count = moves.sum(axis=1)
    face = np.flatnonzero(count == 1)
    column = moves[face].argmax(axis=1)
    edge = owner[faces[face, column]]
    before = vertices[faces[face]]
    after = before.copy()
    after[np.arange(len(face)), column] = places[chosen[edge]]
    normals = []
    for corners in (before, after):
        normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        normals.append(normal / np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-300))
    turned = (normals[0] * normals[1]).sum(axis=1) < TURN
    turned |= _fullness(after) < np.minimum(THINNEST, 0.8 * _fullness(before))
    good = np.ones(len(chosen), dtype=bool)
    good[edge[turned]] = False
    return good


def _fullness(corners: Points) -> Points:
    """Height of each face over its longest side, (m,)."""
    u, v, w = (corners[:, (k + 1) % 3] - corners[:, k] for k in range(3))
    longest = np.max([np.linalg.norm(side, axis=1) for side in (u, v, w)], axis=0)
    fullness: Points = np.linalg.norm(np.cross(u, v), axis=1) / np.maximum(longest, 1e-300) ** 2
    return fullness
