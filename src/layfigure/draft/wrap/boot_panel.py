"""A boot cover's half surface as a mesh, and the same laid flat."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.panel import Ease, FlatPanel, Panel, PanelEdge
from layfigure.draft.flatten.truing import flatten_panels
from layfigure.draft.wrap.boot_surface import BootHalf
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.zipped_rows import zipped_rows

Points = NDArray[np.float64]
Indices = NDArray[np.int64]
TRUE_SIZE = Ease(around=0.0, along=0.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BootMesh:
    """The half surface as a panel, front seam to the left seen from outside.

    ankle : vertices along the balance line, front to back.
    """

    panel: Panel
    ankle: Indices


def boot_mesh(half: BootHalf, slug: str) -> BootMesh:
    """Panel of a half, its edges bottom, front, top, back: counter-clockwise seen from outside."""
    starts = np.cumsum([0, *(len(row) for row in half.rows)])
    rows = [np.arange(a, b) for a, b in pairwise(starts)]
    vertices = np.concatenate(half.rows)
    leg, foot = rows[: len(half.leg)], rows[len(half.leg) :]
    corner = foot[0][: len(half.corner)]
    # Rows run from front to back; zipped rows want each above the one before.
    faces = np.concatenate([zipped_rows([corner, *leg[::-1]]), zipped_rows(foot[::-1])])
    front = np.concatenate([[row[0] for row in rows[:-1]], rows[-1]])
    back = np.concatenate([[row[-1] for row in leg], foot[0][len(half.corner) - 1 :]])
    bottom = np.array([row[-1] for row in foot])
    outline = (
        PanelEdge(slug="front", vertices=front, seam=f"{slug}:front"),
        PanelEdge(slug="bottom", vertices=bottom[::-1]),
        PanelEdge(slug="back", vertices=back[::-1], seam=f"{slug}:back", against=True),
        PanelEdge(slug="top", vertices=leg[0][::-1]),
    )
    border = np.unique(np.concatenate([front, back, bottom, leg[0]]))
    vertices, faces = _without_border_faces(vertices, faces, border)
    return BootMesh(
        panel=Panel(
            slug=slug, vertices=vertices, faces=faces, outline=outline, around=np.zeros((len(faces), 3))
        ),
        ankle=leg[half.ankle],
    )


def _without_border_faces(vertices: Points, faces: Indices, border: Indices) -> tuple[Points, Indices]:
    """Faces with three vertices on the border are cut in two on their inner side, and so its other face."""
    while True:
        on = np.isin(faces, border)
        bad = np.flatnonzero(on.all(axis=1))
        if not len(bad):
            return vertices, faces
        face = faces[bad[0]]
        for k in range(3):
            a, b = int(face[k]), int(face[(k + 1) % 3])
            shared = np.flatnonzero((faces == a).any(axis=1) & (faces == b).any(axis=1))
            if len(shared) == 2:
                break
        middle = len(vertices)
        vertices = np.concatenate([vertices, 0.5 * (vertices[a] + vertices[b])[None]])
        halves: list[Indices] = []
        for number in shared:
            halves.extend(np.where(faces[number] == end, middle, faces[number]) for end in (a, b))
        faces = np.concatenate([np.delete(faces, shared, axis=0), np.array(halves)])


def lay_flat(mesh: BootMesh) -> FlatPanel:
    """The panel laid flat, upright. Raises DraftError where it folds."""
    return flatten_panels([mesh.panel], TRUE_SIZE)[mesh.panel.slug]


def level_line(mesh: BootMesh, flat: FlatPanel, height: float) -> Points:
    """Where the surface is at a height, on the flat panel, from heel to toe, (k, 2) [mm]."""
    z = mesh.panel.vertices[:, 2] - height
    sides = TriangleMesh(mesh.panel.vertices, mesh.panel.faces).edges()
    a, b = sides[:, 0], sides[:, 1]
    crossed = z[a] * z[b] < 0.0
    a, b = a[crossed], b[crossed]
    share = (z[a] / (z[a] - z[b]))[:, None]
    places = flat.vertices[a] + share * (flat.vertices[b] - flat.vertices[a])
    along = mesh.panel.vertices[a, 0] + share[:, 0] * (mesh.panel.vertices[b, 0] - mesh.panel.vertices[a, 0])
    line: Points = places[np.argsort(along)]
    return line
