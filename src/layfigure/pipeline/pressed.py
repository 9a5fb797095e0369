"""Cloth that lies down under what is worn over it, for pictures: a skirt under its belt."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.mesh_quartered import quartered
from layfigure.geometry.nearest_face import face_tree, nearest_faces
from layfigure.geometry.taut_line import Skin
from layfigure.piece.worn import WornSurface
from layfigure.pipeline.collisions import REACH, meets_rim, rim_sides, turned_outward

Points = NDArray[np.float64]

UNDER = 1.0
"""Cloth is drawn so far beneath what holds it down [mm]."""
ALIKE = 0.5
"""Cosine between the outward directions of the body and of what holds cloth down there."""


def pressed_surfaces(
    worn: Mapping[str, Sequence[WornSurface]], layers: Mapping[str, int], body: Skin
) -> dict[str, tuple[WornSurface, ...]]:
    """Worn surfaces by piece, those that give laid down under firm ones of higher layers."""
    firm = [
        (layers.get(slug, 0), turned_outward(one.mesh, body))
        for slug, surfaces in worn.items()
        for one in surfaces
        if one.gives == 0.0 and rim_sides(one.mesh.faces).any()
    ]

    def laid(slug: str, one: WornSurface) -> WornSurface:
        over = [mesh for layer, mesh in firm if layer > layers.get(slug, 0)]
        return replace(one, mesh=pressed(one.mesh, one.gives, over, body)) if one.gives > 0.0 else one

    return {slug: tuple(laid(slug, one) for one in surfaces) for slug, surfaces in worn.items()}


def pressed(mesh: TriangleMesh, gives: float, over: Sequence[TriangleMesh], body: Skin) -> TriangleMesh:
    """A surface whose corners lie beneath what lies over it, as far as it gives [mm].

    over : turned outward, with rims. Where anything moves, faces are divided, so that a belt of a few cm is
    not cut by one that reaches past it.
    """
    if not any(_moves(mesh.vertices, gives, one, body).any() for one in over):
        return mesh
    fine = quartered(mesh)
    places = fine.vertices
    for one in over:
        places = places + _moves(places, gives, one, body)
    return TriangleMesh(places, fine.faces)


def _moves(places: Points, gives: float, over: TriangleMesh, body: Skin) -> Points:
    """How each place moves to lie beneath one surface, (n, 3) [mm]."""
    moves = np.zeros_like(places)
    low, high = over.vertices.min(axis=0) - REACH, over.vertices.max(axis=0) + REACH
    near = np.flatnonzero(((places > low) & (places < high)).all(axis=1))
    if not near.size:
        return moves
    found = nearest_faces(over.vertices, over.faces, places[near], tree=face_tree(over.vertices, over.faces))
    up = over.face_normals()[found.face]
    away = places[near] - found.carried(over.faces, over.vertices)
    above = np.einsum("kd,kd->k", away, up)
    aside = np.linalg.norm(away - above[:, None] * up, axis=1)
    beside = meets_rim(found, over.faces, rim_sides(over.faces)) & (aside > UNDER)
    _, outward, _ = body.near(places[near])
    alike = np.einsum("kd,kd->k", outward, up) > ALIKE
    held = (above > -UNDER) & (above < min(gives, REACH)) & ~beside & alike
    moves[near[held]] = -(above[held] + UNDER)[:, None] * up[held]
    return moves
