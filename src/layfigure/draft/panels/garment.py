"""From a garment's plan and its fields on the template to panels on a wearer."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.panel import Panel
from layfigure.draft.panels.arrangement import Arrangement, arrange
from layfigure.draft.panels.lay import lay_panels
from layfigure.draft.panels.panel_mesh import SPACING, PanelMesh, mesh_panel
from layfigure.draft.panels.patch import cut_patch
from layfigure.draft.panels.seam_line import SeamLine
from layfigure.draft.panels.surface import Surface
from layfigure.draft.panels.topology import GarmentPlan
from layfigure.errors import DraftError

Points = NDArray[np.float64]
Indices = NDArray[np.int64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Divided:
    """A divided surface read by field name.

    faces : of the undivided surface.
    """

    arrangement: Arrangement
    names: tuple[str, ...]
    faces: Indices

    def side(self, field: str, sign: int) -> Mask:
        """Faces on one side of a field, (m,)."""
        chosen: Mask = self.arrangement.signs[:, self.names.index(field)] == sign
        return chosen

    def centres(self, values: Points) -> Points:
        """Values (n,) or (n, d) at the undivided surface's vertices, read at the centre of every face."""
        weights = self.arrangement.corners.mean(axis=1)
        read: Points = np.einsum("mb,mb...->m...", weights, values[self.faces[self.arrangement.parent]])
        return read

    def on(self, field: str, where: Mask | None = None) -> Mask:
        """Face sides on a field's zero set, (m, 3), only of the faces in ``where``."""
        sides = self.arrangement.zero_sides(self.names.index(field))
        return sides if where is None else sides & where[:, None]


@dataclass(frozen=True, slots=True, eq=False)
class GarmentPattern:
    """What one garment is made of, apart from any size.

    select : panel slug and divided surface to the panel's faces. lines : divided surface to named lines.
    """

    plan: GarmentPlan
    select: Callable[[str, Divided], Mask]
    lines: Callable[[Divided], Mapping[str, Mask]]


def divide(surface: Surface, fields: Mapping[str, Points]) -> Divided:
    """Divide a surface along every field, in the order given."""
    arrangement = arrange(surface.faces, np.stack(list(fields.values()), axis=1))
    return Divided(arrangement, tuple(fields), surface.faces)


def mesh_garment(
    pattern: GarmentPattern, surface: Surface, fields: Mapping[str, Points], *, spacing: float = SPACING
) -> tuple[PanelMesh, ...]:
    """Mesh every panel of a garment on a surface. Raises DraftError for a plan that cannot be sewn."""
    faults = pattern.plan.faults()
    if faults:
        raise DraftError(f"the garment cannot be sewn: {faults[0]}.")
    divided = divide(surface, fields)
    lines = dict(pattern.lines(divided))
    meshes = []
    for plan in pattern.plan.panels:
        wanted = {edge.line for edge in plan.edges}
        patch = cut_patch(
            divided.arrangement,
            pattern.select(plan.slug, divided),
            {name: sides for name, sides in lines.items() if name in wanted},
            where=plan.slug,
        )
        meshes.append(
            mesh_panel(plan, divided.arrangement, patch, (surface.vertices, surface.faces), spacing=spacing)
        )
    return tuple(meshes)


def lay_garment(
    meshes: tuple[PanelMesh, ...],
    surface: Surface,
    targets: Mapping[str, Points] | None = None,
    seams: Mapping[str, SeamLine] | None = None,
) -> tuple[Panel, ...]:
    """Every panel on one wearer; ``targets`` and ``seams`` as in ``lay_panels``."""
    return lay_panels(meshes, surface, targets, seams)
