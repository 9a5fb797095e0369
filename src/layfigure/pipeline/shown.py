"""Worn surfaces for pictures: what lies beneath does not poke through for want of finer triangles.

A worn surface is a coarse mesh of what was drafted. Between its corners it cuts through what it lies on, by a
few millimetres where the body is round. For pictures every surface is moved off the skin and off what is worn
below by that little; what overlaps deeper is no matter of coarse triangles and stays to be seen, but for
cloth that gives: it is laid down first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.design.design import PieceStatement
from layfigure.draft.registry import DraftResult
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.nearest_face import face_tree, nearest_faces
from layfigure.geometry.taut_line import Skin
from layfigure.piece.worn import WornSurface
from layfigure.pipeline.collisions import meets_rim, rim_sides, turned_outward
from layfigure.pipeline.pressed import pressed_surfaces

Points = NDArray[np.float64]

CLEAR = 1.5
"""A surface is shown this far outside what lies beneath it at least [mm]."""
COARSE = 10.0
"""What pokes through by more than this is left: no triangle of a worn surface hides so much [mm]."""
ALIKE = 0.5
"""Cosine between the outward directions of a surface and of what it lies on: what faces another way lies
beside it, as an arm does beside the trunk."""
NEAR_SKIN = 30.0
"""Places farther than this from the middle of every face of the skin are not in it [mm]."""
LIES_ON = 0.6
"""A surface that faces away from the body by less than this share lies on nothing: a chain, a horn."""


@dataclass(frozen=True, slots=True, eq=False)
class Beneath:
    """Places on what lies beneath and outward unit directions there, (k, 3) each."""

    places: Points
    outward: Points

    @classmethod
    def on(cls, mesh: TriangleMesh) -> Beneath:
        """Corners and middles of the faces of a mesh that is turned outward."""
        skin = Skin.of(mesh)
        middles = skin.vertices[skin.faces].mean(axis=1)
        square = TriangleMesh(skin.vertices, skin.faces).face_normals()
        return cls(np.concatenate([skin.vertices, middles]), np.concatenate([skin.normals, square]))


def shown_surfaces(
    pieces: Sequence[PieceStatement], drafts: Mapping[str, DraftResult], form: Form
) -> dict[str, tuple[WornSurface, ...]]:
    """Every piece's worn surfaces, moved off the skin and off lower layers, for pictures only."""
    layers = {piece.slug: piece.layer for piece in pieces}
    body = Skin.of(form.standing)
    levels: dict[tuple[int, bool], list[tuple[str, WornSurface]]] = {}
    for slug, surfaces in pressed_surfaces({k: v.worn for k, v in drafts.items()}, layers, body).items():
        for surface in surfaces:
            # A backing lies behind the panel that it backs.
            level = layers.get(slug, 0), not surface.name.endswith("_backing")
            levels.setdefault(level, []).append((slug, surface))
    beneath = [Beneath.on(form.standing)]
    cleared: dict[tuple[str, str], WornSurface] = {}
    for level in sorted(levels):
        meshes = [cleared_mesh(surface.mesh, beneath, body) for _, surface in levels[level]]
        for (slug, surface), mesh in zip(levels[level], meshes, strict=True):
            cleared[slug, surface.name] = replace(surface, mesh=mesh)
        beneath += [Beneath.on(turned_outward(mesh, body)) for mesh in meshes]
    return {
        slug: tuple(cleared[slug, surface.name] for surface in result.worn) for slug, result in drafts.items()
    }


def cleared_mesh(mesh: TriangleMesh, beneath: Sequence[Beneath], body: Skin) -> TriangleMesh:
    """A surface moved off what lies beneath it. What is closed, or lies on nothing, stays as it is."""
    rim = rim_sides(mesh.faces)
    turned = turned_outward(mesh, body)
    if not rim.any() or _faces_away(turned, body) < LIES_ON:
        return mesh
    rim = rim_sides(turned.faces)
    skin = Skin.of(turned)
    normals = np.zeros_like(mesh.vertices)
    normals[skin.rows] = skin.normals
    lift = np.maximum(_off_the_places(turned, rim, beneath), _out_of_the_skin(turned, normals, body))
    return TriangleMesh(mesh.vertices + lift[:, None] * normals, mesh.faces)


def _faces_away(mesh: TriangleMesh, body: Skin) -> float:
    """Mean cosine between a surface's outward direction and that of the skin nearest to it."""
    some = slice(None, None, max(1, len(mesh.faces) // 200))
    _, away, _ = body.near(mesh.vertices[mesh.faces[some]].mean(axis=1))
    return float(np.einsum("kd,kd->k", mesh.face_normals()[some], away).mean())


def _off_the_places(mesh: TriangleMesh, rim: NDArray[np.bool_], beneath: Sequence[Beneath]) -> Points:
    """How far each corner must rise for places beneath to lie beneath, (n,) [mm]."""
    lift = np.zeros(len(mesh.vertices))
    tree, up = face_tree(mesh.vertices, mesh.faces), mesh.face_normals()
    low, high = mesh.vertices.min(axis=0) - COARSE, mesh.vertices.max(axis=0) + COARSE
    first, second = (mesh.vertices[mesh.faces[:, k]] for k in range(2))
    longest = float(np.linalg.norm(first - second, axis=1).max())
    for one in beneath:
        near = np.flatnonzero(((one.places > low) & (one.places < high)).all(axis=1))
        if not near.size:
            continue
        off, middle = tree.query(one.places[near], distance_upper_bound=COARSE + longest)
        near, middle = near[np.isfinite(off)], middle[np.isfinite(off)]
        above = np.einsum("kd,kd->k", one.places[near] - mesh.vertices[mesh.faces[middle, 0]], up[middle])
        near = near[np.abs(above) < 2.0 * COARSE]
        if not near.size:
            continue
        places = one.places[near]
        found = nearest_faces(mesh.vertices, mesh.faces, places, tree=tree)
        square = up[found.face]
        away = places - found.carried(mesh.faces, mesh.vertices)
        above = np.einsum("kd,kd->k", away, square)
        aside = np.linalg.norm(away - above[:, None] * square, axis=1)
        at_rim = meets_rim(found, mesh.faces, rim) & (aside > CLEAR)
        alike = np.einsum("kd,kd->k", one.outward[near], square) > ALIKE
        pokes = (above > -CLEAR) & (above < COARSE) & (found.distance < COARSE) & alike & ~at_rim
        for k in range(3):
            np.maximum.at(lift, mesh.faces[found.face[pokes], k], above[pokes] + CLEAR)
    return lift


def _out_of_the_skin(mesh: TriangleMesh, normals: Points, body: Skin) -> Points:
    """How far each corner must rise for it and the middles of its faces to lie off the skin, (n,) [mm]."""
    places = np.concatenate([mesh.vertices, mesh.vertices[mesh.faces].mean(axis=1)])
    own = np.concatenate([normals, mesh.face_normals()])
    off, _ = body.tree.query(places, distance_upper_bound=NEAR_SKIN)
    near = np.flatnonzero(np.isfinite(off))
    need = np.zeros(len(places))
    if near.size:
        _, outward, high = body.near(places[near])
        pokes = (high < CLEAR) & (high > -COARSE)
        pokes &= np.einsum("kd,kd->k", own[near], outward) > ALIKE
        need[near] = np.where(pokes, CLEAR - high, 0.0)
    count = len(mesh.vertices)
    lift = need[:count].copy()
    for k in range(3):
        np.maximum.at(lift, mesh.faces[:, k], need[count:])
    return lift
