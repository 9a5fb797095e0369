"""The panels of a top meshed on the reference body, once for every design and not for every wearer."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.knit.design_seams import seams_on
from layfigure.draft.knit.garment import (
    Places,
)
from layfigure.draft.knit.top_lines import placed_armhole, usual_armhole, usual_leg
from layfigure.draft.panels.design_seams import mesh_divided
from layfigure.draft.panels.edge_fields import edge_curve
from layfigure.draft.panels.garment import GarmentPattern, mesh_garment
from layfigure.draft.panels.leggings import Side
from layfigure.draft.panels.neckline import Neckline, below_neckline
from layfigure.draft.panels.panel_mesh import SPACING, PanelMesh
from layfigure.draft.panels.reference import KEPT_DESIGNS, reference_body
from layfigure.draft.panels.seam_line import DesignSeam
from layfigure.draft.panels.top import SIDES, TopCut, past_limb, top_fields, top_pattern
from layfigure.draft.panels.topology import GarmentPlan
from layfigure.recompute.graph import remembered

Points = NDArray[np.float64]

USUAL_NECKLINE = Neckline()


@dataclass(frozen=True, slots=True, kw_only=True)
class TopEdges:
    """Edges of a top in chart coordinates; None where the usual line of the reference body is meant.

    hem : None for a bodysuit. legs : left and right, empty for a top. cuffs : one a sleeve.
    armholes : left and right. armhole_in : how far in on the shoulder a usual armhole lies [mm].
    """

    neck: Places | None
    hem: Places | None
    legs: tuple[Places | None, ...]
    cuffs: tuple[Places, ...]
    neckline: Neckline = USUAL_NECKLINE
    armholes: tuple[Places | None, ...] = (None, None)
    armhole_in: float = 0.0

    def placed(self, sleeves: tuple[Side, ...]) -> dict[str, Places]:
        """Line name to where the design puts it, for every line it puts."""
        lines = {"neck": self.neck, "hem": self.hem}
        lines |= {f"leg_{side}": points for side, points in zip(SIDES, self.legs, strict=False)}
        lines |= {f"cuff_{side}": points for side, points in zip(sleeves, self.cuffs, strict=True)}
        lines |= {f"armhole_{side}": points for side, points in zip(SIDES, self.armholes, strict=True)}
        return {name: points for name, points in lines.items() if points is not None}


@lru_cache(maxsize=KEPT_DESIGNS)
def top_meshes(
    cut: TopCut, edges: TopEdges, *, spacing: float = SPACING
) -> tuple[GarmentPattern, tuple[PanelMesh, ...]]:
    """The design's own meshes, made on the reference body. spacing : side of their triangles [mm]."""
    return top_pattern(cut), remembered(_meshed_top, cut, edges, spacing)


def _meshed_top(cut: TopCut, edges: TopEdges, spacing: float) -> tuple[PanelMesh, ...]:
    _, surface = reference_body()
    return mesh_garment(top_pattern(cut), surface, _fields(cut, edges), spacing=spacing)


@lru_cache(maxsize=KEPT_DESIGNS)
def divided_meshes(
    cut: TopCut, edges: TopEdges, seams: tuple[DesignSeam, ...], spacing: float
) -> tuple[GarmentPlan, tuple[PanelMesh, ...]]:
    """Plan and meshes of a top that seams of the design divide."""
    return remembered(_meshed_divided, cut, edges, seams, spacing)


def _meshed_divided(
    cut: TopCut, edges: TopEdges, seams: tuple[DesignSeam, ...], spacing: float
) -> tuple[GarmentPlan, tuple[PanelMesh, ...]]:
    """Plan and meshes of a top that seams of the design divide."""
    form, surface = reference_body()
    own = seams_on(form, surface, seams)
    return mesh_divided(top_pattern(cut), surface, _fields(cut, edges), own, spacing=spacing)


def _fields(cut: TopCut, edges: TopEdges) -> dict[str, Points]:
    """Fields of a top on the reference body."""
    form, surface = reference_body()
    curves = {
        name: edge_curve(form, points, closed=True) for name, points in edges.placed(cut.sleeves).items()
    }
    legs = {
        side: usual_leg(form, surface, side)
        if f"leg_{side}" not in curves
        else past_limb(surface, curves[f"leg_{side}"])
        for side, _ in zip(SIDES, edges.legs, strict=False)
    }
    return top_fields(
        surface,
        below_neckline(form, surface, edges.neckline) if edges.neck is None else curves["neck"],
        cut,
        hem=curves.get("hem"),
        legs=legs,
        cuffs={side: curves[f"cuff_{side}"] for side in cut.sleeves},
        armholes={
            side: usual_armhole(side, edges.armhole_in)
            if f"armhole_{side}" not in curves
            else placed_armhole(surface, curves[f"armhole_{side}"], side)
            for side in SIDES
        },
    )
