"""What a strap over a garment lies on: not the skin but close cloth, which spans the trunk's hollows.

A suit lies on the hull of each level section, as the wearer's tape does, and is drawn taut under the bust
and over other hollows that no level section shows. A strap laid on the skin would be too short and
would vanish in the cloth.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.panels.taut import drawn_taut
from layfigure.draft.tape_hull import bridged_share, moved_to_tape
from layfigure.geometry.mesh import TriangleMesh

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

FINEST = 6.0
"""A body whose triangles are smaller than this is not drawn taut, but by its sections alone [mm]."""


@lru_cache(maxsize=2)
def spanned_body(form: Form) -> TriangleMesh:
    """The standing body with the hollows of its trunk spanned; faces as they are."""
    trunk = _trunk_faces(form)
    if not len(trunk):
        return form.standing
    vertices = form.standing.vertices.copy()
    rows = np.unique(trunk)
    vertices[rows] = _on_sections(vertices[rows], form)
    order, faces, border = _border_first(trunk)
    sides = np.linalg.norm(vertices[trunk[:, 1]] - vertices[trunk[:, 0]], axis=1)
    spacing = float(np.median(sides))
    if border and spacing >= FINEST:
        vertices[order] = drawn_taut(vertices[order], faces, border, spacing=spacing)[0]
    return TriangleMesh(vertices, form.standing.faces)


def _trunk_faces(form: Form) -> Indices:
    if "torso" not in form.region_names:
        return np.empty((0, 3), dtype=np.int64)
    trunk: Indices = form.standing.faces[form.face_region == form.region_names.index("torso")]
    return trunk


def _on_sections(places: Points, form: Form) -> Points:
    """Places on the trunk moved out to the tape line of their own level."""
    chart = form.charts["torso"]
    levels = chart.sections[:, :, 2].mean(axis=1)
    crotch = form.level_heights.get("crotch", float(levels.min()))
    armpits = [form.landmarks[name][2] for name in ("armpit_left", "armpit_right") if name in form.landmarks]
    armpit = min((float(height) for height in armpits), default=float(levels.max()))
    share = bridged_share(places[:, 2], crotch=crotch, armpit=armpit)
    return moved_to_tape(places, share, chart)


def _border_first(faces: Indices) -> tuple[Indices, Indices, int]:
    """Vertices with those on the rim first, faces by their place among them, and how many are on the rim."""
    every = int(faces.max()) + 1
    ends = faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    # One number an edge: rows are slow to sort.
    sides, count = np.unique(ends.min(axis=1) * every + ends.max(axis=1), return_counts=True)
    on_rim, used = np.zeros(every, dtype=bool), np.zeros(every, dtype=bool)
    on_rim[np.concatenate(np.divmod(sides[count == 1], every))] = True
    used[faces] = True
    rim = np.flatnonzero(on_rim)
    order = np.concatenate([rim, np.flatnonzero(used & ~on_rim)])
    place = np.empty(every, dtype=np.int64)
    place[order] = np.arange(len(order))
    return order, place[faces], len(rim)
