"""A glove as it lies on the standing wearer: a sleeve up the arm, and the hand's own skin a little larger."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.body.regions import region_faces
from layfigure.body.template import load_template
from layfigure.draft.glove.ends import GloveEnds
from layfigure.draft.glove.hand import HandShape, digit_parts
from layfigure.draft.glove.lines import heights_along
from layfigure.draft.panels.surface import vertex_normals
from layfigure.draft.registry import DraftRequest
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.tube import rows_mesh
from layfigure.materials.cloth import Cloth
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

ROUND, SLEEVE_RINGS = 32, 12
INTO_HAND = 0.2
"""The sleeve runs on to this station of the hand, over the rim of the hand's skin."""

COARSE = 4.5
"""Vertices of the template's hand nearer than about this are drawn as one [mm]."""

SEEN = 2.0
"""A glove is drawn this far off the skin at least, in pictures only [mm]."""


def glove_surface(
    request: DraftRequest, hand: HandShape, side: str, cloth: Cloth, ends: GloveEnds, *, cuff: float
) -> WornSurface:
    """The glove as it is shown. hand : the wearer's own. cuff : height that it reaches to [mm]."""
    forearm = request.form.charts[f"forearm_{side}"]
    mesh = worn_glove(
        request.form,
        hand,
        side,
        cuff=float(np.interp(cuff, heights_along(forearm, forearm.stations), forearm.stations)),
        off=request.stack + max(cloth.thickness, SEEN),
        fingers=ends.fingers,
        thumb=ends.thumb,
    )
    return WornSurface(name=request.statement.slug, mesh=mesh, cloth=cloth.slug)


def worn_glove(
    form: Form, hand: HandShape, side: str, *, cuff: float, off: float, fingers: float, thumb: float
) -> TriangleMesh:
    """Surface of the glove, about 2500 triangles.

    cuff : station on the forearm where it begins. off : how far its outside stands off the skin [mm].
    fingers, thumb : share of each digit that is covered.
    """
    sleeve = _sleeve(form, side, cuff, off)
    faces = _coarse_hand(side)
    rows, own = _hand_skin(side)
    outside = form.standing.vertices.copy()
    outside[rows] += off * vertex_normals(outside[rows], own)
    bare = _uncovered(form, hand, side, fingers=fingers, thumb=thumb)
    faces = faces[~bare[faces].any(axis=1)]
    used, local = np.unique(faces, return_inverse=True)
    return TriangleMesh(
        np.concatenate([sleeve.vertices, outside[used]]),
        np.concatenate([sleeve.faces, local.reshape(-1, 3) + len(sleeve.vertices)]),
    )


def _sleeve(form: Form, side: str, cuff: float, off: float) -> TriangleMesh:
    """A tube from the cuff to just past the wrist."""
    arm, palm = form.charts[f"forearm_{side}"], form.charts[f"hand_{side}"]
    on_arm = [arm.section(float(s)) for s in np.linspace(min(cuff, 0.95), 1.0, SLEEVE_RINGS)[:-1]]
    # The forearm's zero line runs to the thumb, the hand's down its back: a quarter of the way round.
    quarter = palm.sections.shape[1] // 4
    on_hand = [np.roll(palm.section(s), quarter, axis=0) for s in (0.0, INTO_HAND)]
    rings = np.stack(on_arm + on_hand)[:, :: palm.sections.shape[1] // ROUND]
    spokes = rings - rings.mean(axis=1, keepdims=True)
    rings = rings + off * spokes / np.linalg.norm(spokes, axis=2, keepdims=True)
    # Round runs outward on both sides of the body, so one side's rings turn the other way.
    return rows_mesh(rings[::-1] if side == "left" else rings, closed=True)


def _hand_faces(side: str) -> Indices:
    """Faces of the template's hand, (m, 3)."""
    regions = region_faces()
    chosen: Indices = load_template().faces[regions.face_region == regions.names.index(f"hand_{side}")]
    return chosen


@lru_cache(maxsize=2)
def _hand_skin(side: str) -> tuple[Indices, Indices]:
    """Vertices of the template's hand, and its faces by their place among these."""
    rows, own = np.unique(_hand_faces(side), return_inverse=True)
    return rows, own.reshape(-1, 3)


@lru_cache(maxsize=2)
def _coarse_hand(side: str) -> Indices:
    """Faces of the template's hand with near vertices drawn as one, (m, 3) into its vertices."""
    template, faces = load_template(), _hand_faces(side)
    used = np.unique(faces)
    cells = np.floor(template.mean[used] * (1.0 if side == "left" else -1.0, 1.0, 1.0) / COARSE)
    _, first, cell = np.unique(cells, axis=0, return_index=True, return_inverse=True)
    stand_in = np.zeros(int(used.max()) + 1, dtype=np.int64)
    stand_in[used] = used[first[cell.ravel()]]
    merged = stand_in[faces]
    a, b, c = merged.T
    whole: Indices = merged[(a != b) & (b != c) & (c != a)]
    return whole


def _uncovered(form: Form, hand: HandShape, side: str, *, fingers: float, thumb: float) -> NDArray[np.bool_]:
    """Vertices of the digits beyond where the glove ends."""
    surface = form.standing.vertices
    bare = np.zeros(len(surface), dtype=bool)
    parts = digit_parts(side)
    for digit in hand.digits:
        share = thumb if digit.name == "thumb" else fingers
        if share < 1.0:
            tip = surface[parts.tips[digit.name]]
            axis = tip - surface[parts.roots[digit.name]].mean(axis=0)
            axis = axis / np.linalg.norm(axis)
            own = np.unique(parts.edges[digit.name])
            bare[own] = (surface[own] - tip) @ axis > -(1.0 - share) * digit.length
    return bare
