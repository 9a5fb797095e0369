"""A panel's mesh on the other side of the body: the template is its own mirror image, face by face."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.template import load_template
from layfigure.draft.panels.panel_mesh import PanelMesh
from layfigure.draft.panels.topology import PanelPlan

Indices = NDArray[np.int64]


def mirrored_mesh(mesh: PanelMesh, plan: PanelPlan) -> PanelMesh:
    """The mesh on the other side.

    plan : of the panel there, whose edges run the other way round from the same first one.
    """
    other, corner = _other_faces()
    # Round the outline the other way, so that the first edge of the plan begins it again.
    begin, count = mesh.starts[1], mesh.border
    order = np.arange(len(mesh.face))
    order[:count] = (begin - order[:count]) % count
    place = np.empty_like(order)
    place[order] = np.arange(len(order))
    face = mesh.face[order]
    ends = mesh.starts[1:] + mesh.starts[:1]
    return PanelMesh(
        plan=plan,
        face=other[face],
        weights=np.take_along_axis(mesh.weights[order], corner[face], axis=1),
        faces=place[mesh.faces[:, [0, 2, 1]]],
        border=count,
        starts=tuple((begin - end) % count for end in (ends[0], *ends[:0:-1])),
        sides=mesh.sides[order],
        spacing=mesh.spacing,
    )


@lru_cache(maxsize=1)
def _other_faces() -> tuple[Indices, Indices]:
    """The template's face on the other side of each, (m,), and which corner of a face each of that one's
    mirrors, (m, 3).
    """
    template = load_template()
    faces = template.faces.astype(np.int64)
    here, there = np.sort(template.mirror[faces], axis=1), np.sort(faces, axis=1)
    size = template.vertex_count
    key, known = ((f[:, 0] * size + f[:, 1]) * size + f[:, 2] for f in (here, there))
    order = np.argsort(known)
    other = order[np.searchsorted(known[order], key)]
    corner = (faces[other][:, :, None] == template.mirror[faces][:, None, :]).argmax(axis=2)
    return other, corner
