"""The surface close cloth lies on: skin, except that cloth round the trunk bridges hollows as a tape does.

A knit does not follow the spine, the cleft of the seat or the hollow between the breasts; it lies on
the hull of each section, which is the line the wearer's tape measures ran along.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.panels.body_fields import body_fields
from layfigure.draft.panels.surface import Surface, vertex_normals
from layfigure.draft.tape_hull import bridged_share, moved_to_tape

Points = NDArray[np.float64]


def cloth_surface(form: Form, *, offset: float = 0.0) -> Surface:
    """What cloth lies on, in the drafting pose. offset : thickness of the layers below [mm]."""
    fields = body_fields()
    vertices = _bridged(form)
    normals = vertex_normals(vertices, form.drafting.faces)
    if offset:
        vertices = vertices + offset * normals
    return Surface(vertices, form.drafting.faces, normals, fields.along)


def _bridged(form: Form) -> Points:
    vertices = form.drafting.vertices.copy()
    fields = body_fields()
    arms = sum(fields.shares[f"{bone}_{side}"] for bone in _ARM for side in _SIDES)
    z = vertices[:, 2]
    # Landmarks are of the standing pose; the trunk keeps its height between the two but for one shift.
    chart = form.drafting_charts["torso"]
    shift = float(np.mean(chart.sections[:, :, 2] - form.charts["torso"].sections[:, :, 2]))
    crotch = form.level_heights["crotch"] + shift
    armpit = min(float(form.landmarks[f"armpit_{side}"][2]) for side in _SIDES) + shift
    share = bridged_share(z, crotch=crotch, armpit=armpit)
    share *= np.clip(1.0 - 4.0 * np.asarray(arms), 0.0, 1.0)
    rows = np.flatnonzero(share > 0.0)
    vertices[rows] = moved_to_tape(vertices[rows], share[rows], chart)
    return vertices


_SIDES = ("left", "right")
_ARM = ("upper_arm", "forearm", "hand")
