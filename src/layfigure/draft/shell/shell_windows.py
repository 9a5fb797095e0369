"""Windows in shells: a place on the wearer lies on the shell where it is seen from the middle of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.panels.surface import vertex_normals
from layfigure.draft.shell.flat_pieces import turned
from layfigure.draft.shell.gores import Gores
from layfigure.draft.shell.horn_strips import HornStrip
from layfigure.draft.window.sheet import Carry, Kept, Sheet, laid_mesh
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.nearest_face import nearest_faces
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]

TOLD = "A window's place on the body is carried straight out from the middle of the shell."
HORN_TOLD = "A window's place on the body is carried straight out from the skin to the horn's outer side."
AT_ONCE = 64
"""Lines of sight that are held against all faces together."""


def gore_sheets(gores: Gores, pieces: Sequence[Piece], slug: str, *, prefix: str = "gore") -> list[Sheet]:
    """The gores of a cap as windows see them. pieces : drawn from them. slug : of the statement."""
    cap, drawn = gores.cap, {piece.slug: piece for piece in pieces}

    def seen(places: Points) -> Points:
        azimuth, polar, _ = cap.frame.angles(places)
        return cap.points(azimuth, polar / cap.rim_angle(azimuth))

    sheets = []
    for number in range(1, gores.count + 1):
        flat, piece = gores.flats[f"gore_{number}"], drawn[f"{slug}_{prefix}_{number}"]
        origin, turn = gores.upright(number)
        carry = laid_mesh(
            flat.panel.vertices, turned(flat.vertices, turn, origin), flat.panel.faces, seen=seen
        )
        sheets.append(Sheet(slug=piece.slug, edges=piece.edges, carry=carry, kept=_kept(piece), told=TOLD))
    return sheets


def mesh_sheets(
    parts: Mapping[str, tuple[TriangleMesh, Points]], pieces: Sequence[Piece], middle: Points
) -> list[Sheet]:
    """The pieces of a mesh as windows see them.

    parts : by the slug of a piece, its faces in space and its vertices in the flat drawing. middle : (3,)
    what places are seen from.
    """
    drawn = {piece.slug: piece for piece in pieces}
    corners = np.concatenate([mesh.face_corners() for mesh, _ in parts.values()])
    kept: dict[bytes, Points] = {}

    def seen(places: Points) -> Points:
        key = places.tobytes()
        if key not in kept:
            kept[key] = seen_from(middle, places, corners)
        return kept[key]

    return [
        Sheet(
            slug=slug,
            edges=drawn[slug].edges,
            carry=_where_seen(laid_mesh(mesh.vertices, flat, mesh.faces), seen),
            kept=_kept(drawn[slug]),
            told=TOLD,
        )
        for slug, (mesh, flat) in parts.items()
    ]


def horn_sheets(strips: Sequence[HornStrip], form: Form) -> list[Sheet]:
    """The strips of a horn as windows see them: straight out from the skin, on its outer side."""
    skin = form.standing
    normals = vertex_normals(skin.vertices, skin.faces)
    corners = np.concatenate([strip.mesh.face_corners() for strip in strips])
    kept: dict[bytes, Points] = {}

    def seen(places: Points) -> Points:
        key = places.tobytes()
        if key not in kept:
            out = nearest_faces(skin.vertices, skin.faces, places).carried(skin.faces, normals)
            kept[key] = seen_outside(places, out, corners)
        return kept[key]

    return [
        Sheet(
            slug=strip.piece.slug,
            edges=strip.piece.edges,
            carry=_where_seen(laid_mesh(strip.mesh.vertices, strip.flat, strip.mesh.faces), seen),
            told=HORN_TOLD,
        )
        for strip in strips
    ]


def seen_outside(places: Points, ways: Points, corners: Points) -> Points:
    """Where lines from places, (k, 3), along ways, (k, 3), leave faces, (m, 3, 3), for good, (k, 3) [mm].

    Not a number where none is met.
    """
    first, u, v = corners[:, 0], corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    found = np.full(places.shape, np.nan)
    for start in range(0, len(places), AT_ONCE):
        own = slice(start, start + AT_ONCE)
        at, way = places[own, None], ways[own, None]
        across = np.cross(way, v[None])
        along = (u * across).sum(axis=2)
        to = at - first
        over = np.cross(to, u[None])
        with np.errstate(divide="ignore", invalid="ignore"):
            s = (to * across).sum(axis=2) / along
            t = (way * over).sum(axis=2) / along
            share = (v * over).sum(axis=2) / along
        met = (s > -1e-9) & (t > -1e-9) & (s + t < 1.0 + 1e-9) & (share > 0.0) & (np.abs(along) > 1e-9)
        last = np.where(met, share, -np.inf).max(axis=1)
        reached = np.isfinite(last)
        found[own][reached] = (at[:, 0] + last[:, None] * way[:, 0])[reached]
    return found


def _where_seen(carry: Carry, seen: Callable[[Points], Points]) -> Carry:
    """Places carried from where they are seen; those that are seen nowhere are out of reach."""

    def reached(places: Points) -> tuple[Points, Points]:
        at = seen(places)
        found = np.isfinite(at).all(axis=1)
        flat, off = np.zeros((len(places), 2)), np.full(len(places), np.inf)
        if found.any():
            flat[found], off[found] = carry(at[found])
        return flat, off

    return reached


def seen_from(middle: Points, places: Points, corners: Points) -> Points:
    """Where lines of sight from a middle through places first meet faces beyond them, (k, 3) [mm].

    corners : (m, 3, 3). Beyond is at least half as far as the place: a mask may lie on the skin. Not a number
    where none is met.
    """
    first, u, v = corners[:, 0], corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    found = np.full(places.shape, np.nan)
    for start in range(0, len(places), AT_ONCE):
        way = places[start : start + AT_ONCE] - middle
        across = np.cross(way[:, None], v[None])
        along = (u * across).sum(axis=2)
        with np.errstate(divide="ignore", invalid="ignore"):
            to = middle - first
            s = (to * across).sum(axis=2) / along
            over = np.cross(to, u)
            t = (way @ over.T) / along
            share = (v * over).sum(axis=1) / along
        met = (s > -1e-9) & (t > -1e-9) & (s + t < 1.0 + 1e-9) & (share > 0.5) & (np.abs(along) > 1e-9)
        nearest = np.where(met, share, np.inf).min(axis=1)
        own = np.isfinite(nearest)
        found[start : start + AT_ONCE][own] = middle + nearest[own, None] * way[own]
    return found


def _kept(piece: Piece) -> tuple[Kept, ...]:
    """Places of straps and pads that windows stay clear of."""
    return tuple(
        Kept(what=f"the place of a {line.label.split(',')[0]}", curve=line.curve)
        for line in piece.lines
        if line.kind == "placement" and line.label and not line.label.startswith("bevel")
    )
