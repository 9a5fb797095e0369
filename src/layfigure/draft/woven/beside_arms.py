"""Room between hanging arms and the trunk beside them: cloth on either has half of it."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.panels.body_fields import body_fields
from layfigure.draft.panels.surface import vertex_normals
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.taut_line import Skin

Points = NDArray[np.float64]

REACH = 60.0
"""Skin further from an arm than this has all the room that it wants [mm]."""
FACES = -0.2
"""Skin lies across from skin where the cosine between their ways out is less than this."""


@lru_cache(maxsize=2)
def beside_the_arms(form: Form) -> Points:
    """How far cloth can stand off every vertex of the standing body, (n,) [mm]: half the way to the skin
    across, from arm to trunk and back; 0 where they press on each other, infinite where nothing is across.
    """
    mesh, shares = form.standing, body_fields().shares
    normals = vertex_normals(mesh.vertices, mesh.faces)
    room = np.full(len(mesh.vertices), np.inf)
    for side in ("left", "right"):
        arm = sum((shares[f"{bone}_{side}"] for bone in ("upper_arm", "forearm", "hand")), np.zeros(1)) > 0.5
        for own in (arm, ~arm):
            faces = mesh.faces[~own[mesh.faces].any(axis=1)]
            low, high = (pick(mesh.vertices[~own], axis=0) for pick in (np.min, np.max))
            near = own & ((mesh.vertices > low - REACH) & (mesh.vertices < high + REACH)).all(axis=1)
            rows = np.flatnonzero(near)
            _, away, above = Skin.of(TriangleMesh(mesh.vertices, faces)).near(mesh.vertices[rows])
            across = np.einsum("kd,kd->k", away, normals[rows]) < FACES
            half = 0.5 * np.maximum(above, 0.0)
            room[rows] = np.where(across, np.minimum(room[rows], half), room[rows])
    return room
