"""The trunk a bodice is measured on: the standing body with room all round, and a tape to lay over it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.body.template import load_template
from layfigure.draft.panels.body_fields import body_fields
from layfigure.draft.panels.surface import vertex_normals
from layfigure.draft.woven.ease import GirthEase
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.nearest_face import nearest_faces
from layfigure.geometry.taut_tape import TapedSurface, taut_length, taut_path

Points = NDArray[np.float64]
SIDES = ("left", "right")

SHOULDER_SHARE = 0.25
"""Of what a bodice stands off at the bust, how much is left on the shoulder, which carries it (common
practice)."""


UP_THE_NECK = 25.0
OVER_THE_SHOULDER, BY_THE_ARMPIT = 60.0, 12.0
"""How far past the neck's root, and past the armhole above and below, a tape still finds cloth to lie on
[mm]."""


@dataclass(frozen=True, slots=True, eq=False)
class Spot:
    """A place on the eased trunk and the way out of it, (3,) each."""

    at: Points
    out: Points


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EasedTrunk:
    """A trunk with room.

    vertices, normals : (n, 3) of the whole body; only the trunk is meant. own : (n,) which of them are
    the trunk. faces : (m, 3) of the trunk with the root of the neck and the top of the shoulders, which a
    tape to their landmarks lies on. tape : the same, with a span from bust point to bust point. room : rising
    heights, and how far the cloth stands off there [mm].
    """

    form: Form
    vertices: Points
    normals: Points
    own: NDArray[np.bool_]
    faces: NDArray[np.int64]
    tape: TapedSurface
    room: tuple[Points, Points]

    def room_at(self, height: float) -> float:
        """How far the cloth stands off the body at a height above the floor [mm]."""
        return float(np.interp(height, *self.room))

    def landmark(self, name: str) -> Spot:
        """A landmark of the body, moved out with the cloth."""
        row = load_template().landmarks[name]
        return Spot(self.vertices[row], self.normals[row])

    def near(self, wanted: Points, *, front: bool) -> Spot:
        """The place on the front or the back of the trunk at a height and breadth; depth does not count.

        wanted : (3,) [mm].
        """
        own = self.faces[((self.normals[self.faces][:, :, 1] < -0.2) == front).all(axis=1)]
        # Looked for in a picture of it from the front.
        place = nearest_faces(self.vertices[:, [0, 2]], own, np.asarray(wanted)[None, [0, 2]])
        depth = float(place.carried(own, self.vertices)[0, 1])
        out = place.carried(own, self.normals)[0]
        return Spot(np.array([wanted[0], depth, wanted[2]]), out / np.linalg.norm(out))

    def over(self, first: Spot, second: Spot) -> float:
        """Length of a tape from one place to another [mm]."""
        return taut_length(self.tape, first.at, second.at, first.out + second.out, slides=True)

    def way(self, first: Spot, second: Spot) -> Points:
        """The way that tape takes, (n, 3)."""
        return taut_path(self.tape, first.at, second.at, first.out + second.out, slides=True)


def eased_trunk(form: Form, ease: GirthEase, *, stack: float) -> EasedTrunk:
    """The standing trunk, with room for ease [mm] round its girths and the layers beneath, ``stack``."""
    mesh = form.standing
    chart = form.charts["torso"]
    shares = body_fields().shares
    own = shares["trunk"] + shares["collar_left"] + shares["collar_right"] > 0.5
    normals = vertex_normals(mesh.vertices, mesh.faces)
    levels = chart.height([4.0, 3.0, 1.0, 0.0])
    room = np.array([ease.hip, ease.waist, ease.bust, SHOULDER_SHARE * ease.bust]) / (2.0 * np.pi)
    stand_off = stack + room
    out = np.interp(mesh.vertices[:, 2], levels, stand_off)
    vertices = mesh.vertices + out[:, None] * normals
    faces = mesh.faces[_taped(form)[mesh.faces].all(axis=1)]
    kept, local = np.unique(faces, return_inverse=True)
    edges = TriangleMesh(vertices[kept], local.reshape(-1, 3)).edges()
    trunk = EasedTrunk(
        form=form,
        vertices=vertices,
        normals=normals,
        own=own,
        faces=faces,
        tape=TapedSurface(vertices=vertices[kept], edges=edges),
        room=(levels, stand_off),
    )
    # Cloth spans from bust point to bust point: a tape down the centre passes over it, not down between.
    bust = [trunk.near(form.landmarks[f"bust_point_{side}"], front=True).at for side in SIDES]
    span = TapedSurface(
        vertices=np.vstack([vertices[kept], bust]),
        edges=np.vstack([edges, [len(kept), len(kept) + 1]]),
    )
    return replace(trunk, tape=span)


def _taped(form: Form) -> NDArray[np.bool_]:
    """Which vertices a tape between places of a bodice may lie on, (n,)."""
    fields, heights = body_fields(), form.standing.vertices[:, 2]
    bones = ("trunk", "neck", *(f"{bone}_{side}" for bone in ("collar", "upper_arm") for side in SIDES))
    top = UP_THE_NECK + max(form.landmarks[f"neck_side_{side}"][2] for side in SIDES)
    beyond = np.where(fields.above_armpit > 0.0, OVER_THE_SHOULDER, BY_THE_ARMPIT)
    own = np.sum([fields.shares[bone] for bone in bones], axis=0)
    chosen: NDArray[np.bool_] = (own > 0.5) & (heights < top)
    for side in SIDES:
        chosen &= fields.armhole[side] < beyond
    return chosen
