"""Seams of a cut mesh made smooth enough to follow with a blade."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix

from layfigure.draft.panels.surface import vertex_normals
from layfigure.draft.shell.chart import CutMesh
from layfigure.draft.shell.chart_seams import Chain
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.nearest_face import nearest_faces

Points = NDArray[np.float64]

ROUNDS = 24
ONTO = 4
"""Rounds after which vertices are put back onto the surface they slid along."""

TRIES = 6
LEAST_AREA, LEAST_FACING = 0.2, 0.5
"""A move is taken back where it leaves a face less than this share of its area, or turns it by 60 degrees."""


def without_teeth(cut_mesh: CutMesh) -> None:
    """Move faces that stick out of a seam like teeth, two of their sides cut, to the other side of it."""
    cut, which = cut_mesh.cut, cut_mesh.which
    degree = np.zeros(len(cut_mesh.mesh.vertices), dtype=np.int64)
    drawn = cut | (cut_mesh.uses == 1)
    np.add.at(degree, cut_mesh.edges[drawn].ravel(), 1)
    changed = True
    while changed:
        changed = False
        for face in np.flatnonzero(cut[which].sum(axis=1) == 2).tolist():
            sides = which[face]
            if int(cut[sides].sum()) != 2:
                continue
            k = int(np.argmin(cut[sides]))
            corner = int(cut_mesh.mesh.faces[face, (k + 2) % 3])
            if degree[corner] != 2 or (cut_mesh.uses[sides] == 1).any() or cut_mesh.held[sides].any():
                continue
            cut[sides] = ~cut[sides]
            degree[corner] = 0
            changed = True


def faired(cut_mesh: CutMesh, chains: Sequence[Chain]) -> Points:
    """Vertices slid along the surface so that seams run smoothly, (n, 3); ends of seams, borders
    and cuts that were asked for stay.

    Other vertices make room by moving to the middle of their neighbours.
    """
    mesh = cut_mesh.mesh
    n = len(mesh.vertices)
    links = coo_matrix((np.ones(len(cut_mesh.edges)), tuple(cut_mesh.edges.T)), shape=(n, n)).tocsr()
    links = links + links.T
    neighbours = np.asarray(links.sum(axis=1)).ravel()[:, None]
    held = np.zeros(n, dtype=bool)
    for chain in chains:
        stays = chain.border or cut_mesh.held[chain.edges].any()
        held[chain.vertices if stays else chain.vertices[[0, -1]]] = True
    places = mesh.vertices.copy()
    for number in range(ROUNDS):
        step = 0.4 * (links @ places / neighbours - places)
        for chain in chains:
            line = places[chain.vertices]
            step[chain.vertices[1:-1]] = 0.5 * (0.5 * (line[2:] + line[:-2]) - line[1:-1])
        step[held] = 0.0
        normal = vertex_normals(places, mesh.faces)
        step -= (step * normal).sum(axis=1, keepdims=True) * normal
        places = _safely(mesh, places, places + step, normal)
        if number % ONTO == ONTO - 1:
            near = nearest_faces(mesh.vertices, mesh.faces, places)
            onto = near.carried(mesh.faces, mesh.vertices)
            onto[held] = mesh.vertices[held]
            places = _safely(mesh, places, onto, normal)
    return places


def _safely(mesh: TriangleMesh, places: Points, trial: Points, normal: Points) -> Points:
    """The trial places, but for corners of faces that it would press flat or turn over."""
    area = mesh.face_areas()
    for _ in range(TRIES):
        moved = TriangleMesh(trial, mesh.faces)
        facing = (moved.face_normals() * normal[mesh.faces].mean(axis=1)).sum(axis=1)
        bad = (moved.face_areas() < LEAST_AREA * area) | (facing < LEAST_FACING)
        if not bad.any():
            return trial
        back = np.unique(mesh.faces[bad])
        trial = trial.copy()
        trial[back] = places[back]
    return places
