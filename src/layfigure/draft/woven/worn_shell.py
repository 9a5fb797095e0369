"""Garments as they lie on the standing wearer, for pictures: the body moved out, cut where the cloth
ends.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.over_cloth import spanned_body
from layfigure.draft.panels.arrangement import arrange
from layfigure.draft.panels.body_fields import body_fields
from layfigure.draft.panels.surface import vertex_normals
from layfigure.draft.panels.taut import drawn_taut
from layfigure.draft.woven.beside_arms import beside_the_arms
from layfigure.draft.woven.bodice_points import centre_neck_spot, neck_spot
from layfigure.draft.woven.eased_trunk import UP_THE_NECK, EasedTrunk
from layfigure.geometry.mesh import TriangleMesh

Points = NDArray[np.float64]
Indices = NDArray[np.int64]
SIDES = ("left", "right")

BEYOND = 60.0
"""How much of the body past a garment's ends is taken along until it is cut [mm]."""
LEAST_DEPTH = 10.0
"""A neckline lies at least so far down and aside from the shoulders [mm]."""
OVER_SEAM = 2.0
"""A sleeve starts this far inside the armhole, so that no skin shows between [mm]."""


def cut_shell(vertices: Points, faces: Indices, keep: Sequence[Points]) -> TriangleMesh:
    """The part of a surface where every field is positive, cut along their zero sets. keep : (n,) each."""
    fields = np.stack(list(keep), axis=1)
    near = faces[(fields[faces].max(axis=1) > 0.0).all(axis=1)]
    divided = arrange(near, fields)
    chosen = (divided.signs > 0).all(axis=1)
    at = np.einsum("mcb,mbk->mck", divided.corners[chosen], vertices[near[divided.parent[chosen]]])
    kept, local = np.unique(divided.faces[chosen], return_inverse=True)
    places = np.zeros((len(kept), 3))
    places[local.ravel()] = at.reshape(-1, 3)
    return TriangleMesh(places, local.reshape(-1, 3).astype(np.int64))


def worn_bodice(trunk: EasedTrunk, waist: Points) -> TriangleMesh:
    """The shell of a bodice, drawn taut over hollows. waist : (m, 3) the waist edge on the body."""
    form = trunk.form
    low = float(waist[:, 2].min()) - BEYOND
    vertices = _taut(trunk, low)
    middle = waist.mean(axis=0)
    turn = np.arctan2(waist[:, 1] - middle[1], waist[:, 0] - middle[0])
    order = np.argsort(turn)
    own = np.arctan2(vertices[:, 1] - middle[1], vertices[:, 0] - middle[0])
    edge = np.interp(own, turn[order], waist[order, 2], period=2.0 * np.pi)
    # The head is wider than the neck, and would lie below it too.
    top = UP_THE_NECK + max(form.landmarks[f"neck_side_{side}"][2] for side in SIDES)
    neck = np.minimum(_below_neckline(trunk, vertices), top - vertices[:, 2])
    fields = [vertices[:, 2] - edge, neck]
    fields += [-body_fields().armhole[side] for side in SIDES]
    return cut_shell(vertices, form.standing.faces, fields)


def _below_neckline(trunk: EasedTrunk, vertices: Points) -> Points:
    """How far below the neckline that the bodice is drafted with every place lies, (n,), about [mm] near it.

    Across, a place counts from the middle; the other way, by how far it lies down and forward (or back) of
    the shoulder. In these a neckline is a quarter of an ellipse from each shoulder to the centre, as it is
    flat.
    """
    right, left = (neck_spot(trunk, side).at for side in ("right", "left"))
    x, y, z = vertices.T
    ridge_y, ridge_z = (np.interp(x, [right[0], left[0]], [right[k], left[k]]) for k in (1, 2))
    middle = 0.5 * (left + right)
    depth = {
        part: abs(float(end[1] - middle[1])) + float(middle[2] - end[2])
        for part in ("front", "back")
        for end in (centre_neck_spot(trunk, part).at,)
    }
    down = np.maximum(np.abs(y - ridge_y) + ridge_z - z, 0.0)
    down /= np.maximum(np.where(y > ridge_y, depth["back"], depth["front"]), LEAST_DEPTH)
    across = np.where(x > 0.0, x / left[0], x / right[0])
    below: Points = (np.hypot(across, down) - 1.0) * 0.5 * (left[0] - right[0])
    return below


def _taut(trunk: EasedTrunk, low: float) -> Points:
    """The body with its trunk above a height moved out and bridging its hollows, (n, 3).

    As a tape spans them, which the bodice is drafted with: drawn taut alone, cloth would sink between the
    breasts and the shoulder blades, into close cloth beneath.
    """
    mesh = trunk.form.standing
    spanned = spanned_body(trunk.form).vertices
    room = np.minimum(np.interp(mesh.vertices[:, 2], *trunk.room), beside_the_arms(trunk.form))
    moved = spanned + room[:, None] * vertex_normals(spanned, mesh.faces)
    vertices = trunk.vertices.copy()
    vertices[trunk.own] = moved[trunk.own]
    faces = mesh.faces
    inside = trunk.own & (vertices[:, 2] > low)
    chosen = inside[faces].all(axis=1)
    own, other = np.zeros(len(inside), dtype=np.bool_), np.zeros(len(inside), dtype=np.bool_)
    own[faces[chosen]] = True
    other[faces[~chosen]] = True
    border, rest = np.flatnonzero(own & other), np.flatnonzero(own & ~other)
    rows = np.concatenate([border, rest])
    local = np.full(len(inside), -1, dtype=np.int64)
    local[rows] = np.arange(len(rows))
    taut, _ = drawn_taut(vertices[rows], local[faces[chosen]], len(border))
    vertices[rows] = taut
    return vertices


def worn_sleeve(form: Form, side: str, *, room: float, below: float) -> TriangleMesh:
    """A sleeve round the hanging arm. room : how far it stands off. below : its length from the shoulder
    [mm].
    """
    fields, mesh = body_fields(), form.standing
    shoulder, elbow, wrist = (
        form.landmarks[f"{name}_{side}"] for name in ("shoulder_point", "elbow", "wrist")
    )
    upper = float(np.linalg.norm(elbow - shoulder))
    start, end, left = (shoulder, elbow, below) if below < upper else (elbow, wrist, below - upper)
    way = (end - start) / np.linalg.norm(end - start)
    out = np.minimum(room, beside_the_arms(form))
    vertices = mesh.vertices + out[:, None] * vertex_normals(mesh.vertices, mesh.faces)
    past = (vertices - start) @ way - left
    return cut_shell(vertices, mesh.faces, [fields.armhole[side] + OVER_SEAM, -past])


def worn_trousers(form: Form, waist: Points, *, hem: float, room: tuple[Points, Points]) -> TriangleMesh:
    """Trousers on the standing body. hem : height of their ends. room : heights and how far they stand
    off [mm].
    """
    fields, mesh = body_fields(), form.standing
    arms = sum(fields.shares[f"{bone}_{side}"] for bone in ("upper_arm", "forearm", "hand") for side in SIDES)
    out = np.interp(mesh.vertices[:, 2], *room)
    vertices = mesh.vertices + out[:, None] * vertex_normals(mesh.vertices, mesh.faces)
    faces = mesh.faces[(np.asarray(arms)[mesh.faces] < 0.5).all(axis=1)]
    top = float(waist[:, 2].mean())
    return cut_shell(vertices, faces, [top - vertices[:, 2], vertices[:, 2] - hem])
