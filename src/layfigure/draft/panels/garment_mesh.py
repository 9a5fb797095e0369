"""The meshes of all panels of a garment as one, outlines first, so that they are laid on a wearer at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.one_mesh import slices
from layfigure.draft.panels.panel_mesh import PanelMesh

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class GarmentMesh:
    """Panels that share nothing, each field as in ``PanelMesh``.

    vertices : of each panel, where its vertices are. parts : of each panel, where its faces are.
    """

    face: Indices
    weights: Points
    faces: Indices
    border: int
    sides: Points
    spacing: float
    vertices: tuple[Indices, ...]
    parts: tuple[slice, ...]


def garment_mesh(meshes: Sequence[PanelMesh]) -> GarmentMesh:
    """All panels' outlines one after another, then what lies inside each. Their spacing is one."""
    (spacing,) = {mesh.spacing for mesh in meshes}
    outline, inner = 0, sum(mesh.border for mesh in meshes)
    border = inner
    vertices: list[Indices] = []
    for mesh in meshes:
        within = len(mesh.face) - mesh.border
        vertices.append(np.r_[outline : outline + mesh.border, inner : inner + within])
        outline, inner = outline + mesh.border, inner + within
    order = np.argsort(np.concatenate(vertices))
    return GarmentMesh(
        face=np.concatenate([mesh.face for mesh in meshes])[order],
        weights=np.concatenate([mesh.weights for mesh in meshes])[order],
        faces=np.concatenate([own[mesh.faces] for own, mesh in zip(vertices, meshes, strict=True)]),
        border=border,
        sides=np.concatenate([mesh.sides for mesh in meshes])[order],
        spacing=spacing,
        vertices=tuple(vertices),
        parts=slices(len(mesh.faces) for mesh in meshes),
    )
