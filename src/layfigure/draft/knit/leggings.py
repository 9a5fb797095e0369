"""Leggings on a wearer: which curves bound them, which levels and measures decide them."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import ChartPoint
from layfigure.draft.knit.design_seams import design_seams, seams_on, worn_seams
from layfigure.draft.knit.garment import (
    KnitGarment,
    Level,
    Opening,
    Places,
    covered,
    placed_points,
    side_points,
    sides_of,
    worn_curve,
)
from layfigure.draft.knit.options import KnitOptions
from layfigure.draft.panels.cloth_surface import cloth_surface
from layfigure.draft.panels.design_seams import mesh_divided
from layfigure.draft.panels.edge_fields import edge_curve, mirrored, ring
from layfigure.draft.panels.garment import GarmentPattern, lay_garment, mesh_garment
from layfigure.draft.panels.leggings import Side, leggings_fields, leggings_pattern
from layfigure.draft.panels.mirrored_mesh import mirrored_mesh
from layfigure.draft.panels.panel_mesh import SPACING, PanelMesh
from layfigure.draft.panels.reference import KEPT_DESIGNS, reference_body
from layfigure.draft.panels.seam_line import DesignSeam
from layfigure.draft.panels.topology import GarmentPlan
from layfigure.draft.registry import DraftRequest
from layfigure.recompute.graph import remembered

Points = NDArray[np.float64]

USUAL_HEM: dict[str, tuple[str, float]] = {"leggings": ("shank", 0.9), "shorts": ("thigh", 0.35)}
"""Region and station of the usual hem."""


def leggings_on(request: DraftRequest, options: KnitOptions) -> KnitGarment:
    """Leggings or shorts from an upper edge to a hem on each leg: from the waist to just above the ankle or
    to the upper thigh where the design says nothing.
    """
    form = request.form
    sides = sides_of(request, ("hem",))
    surface = cloth_surface(form, offset=request.stack)
    top = placed_points(request, "top") or ring("torso", 3.0)
    region, end = USUAL_HEM[options.garment]
    hems = tuple(side_points(request, "hem", side) or ring(f"{region}_{side}", end) for side in sides)
    seams = design_seams(request)
    if seams:
        pattern = leggings_pattern(sides, panels_a_leg=options.panels_a_leg)
        plan, meshes = _divided_meshes(sides, options.panels_a_leg, top, hems, seams, SPACING)
        pattern = replace(pattern, plan=plan)
    else:
        pattern, meshes = leggings_meshes(sides, options.panels_a_leg, top, hems)
    curves = {"top": worn_curve(form, surface, top, stack=request.stack)}
    for side, hem in zip(sides, hems, strict=True):
        curves[f"hem_{side}"] = worn_curve(form, surface, hem, stack=request.stack)
    levels = [Level(label="hip", region="torso", station=4.0)]
    measures = ["waist_girth", "hip_girth", "crotch_height", "waist_height"]
    openings = [Opening(slug="top", lines=("top",), kind="waist", passes="the hips", measure="hip_girth")]
    for side, hem in zip(sides, hems, strict=True):
        levels += [
            level
            for level in (
                Level(label="thigh", region=f"thigh_{side}", station=0.12, drawn=False),
                Level(label="mid-thigh", region=f"thigh_{side}", station=0.5),
                Level(label="knee", region=f"thigh_{side}", station=1.0),
                Level(label="calf", region=f"shank_{side}", station=0.3),
                Level(label="ankle", region=f"shank_{side}", station=0.89, drawn=False),
            )
            if covered(level, hem)
        ]
        openings.append(
            Opening(
                slug=f"hem_{side}",
                lines=(f"hem_{side}",),
                kind="ankle",
                passes="heel and ankle",
                measure=f"heel_girth_{side}",
            )
        )
        to_the_knee = covered(Level(label="knee", region=f"thigh_{side}", station=1.0), hem)
        below = ("knee_girth", "calf_girth", "ankle_girth", "knee_height") if to_the_knee else ()
        measures += [f"{name}_{side}" for name in ("thigh_girth", *below)]
    note = [
        "Sew front to back along each outseam, then along each inseam, matching notches.",
        "Turn one leg right side out inside the other; sew the centre seam from waist front to waist back.",
        "Overlock or zigzag: a straight stitch breaks when the cloth stretches.",
    ]
    if options.panels_a_leg == 1:
        note[0] = "Fold each leg right sides together and sew its inseam, matching notches."
    return KnitGarment(
        pattern=pattern,
        panels=lay_garment(meshes, surface, curves, worn_seams(request, surface, seams)),
        surface=surface,
        curves=curves,
        levels=tuple(levels),
        openings=tuple(openings),
        pair=len(sides) == 1 and request.statement.side in ("both", "middle"),
        measures=tuple(measures),
        note=tuple(note),
    )


def leggings_meshes(
    sides: tuple[Side, ...],
    panels_a_leg: int,
    top: Places,
    hems: tuple[Places, ...],
    *,
    spacing: float = SPACING,
) -> tuple[GarmentPattern, tuple[PanelMesh, ...]]:
    """The design's own meshes, made on the reference body. spacing : side of their triangles [mm]."""
    pattern = leggings_pattern(sides, panels_a_leg=panels_a_leg)
    plans = {plan.slug: plan for plan in pattern.plan.panels}
    meshes: list[PanelMesh] = []
    for side, hem in zip(sides, hems, strict=True):
        # A right leg is a left one in the mirror: who has legs that differ does not wait for two.
        left = (top, hem) if side == "left" else (mirrored(top), mirrored(hem))
        for mesh in _left_leg(panels_a_leg, *(_in_order(edge) for edge in left), spacing):
            own = plans[f"{mesh.plan.slug.removesuffix('_left')}_{side}"]
            meshes.append(replace(mesh, plan=own) if side == "left" else mirrored_mesh(mesh, own))
    return pattern, tuple(meshes)


@lru_cache(maxsize=KEPT_DESIGNS)
def _divided_meshes(
    sides: tuple[Side, ...],
    panels_a_leg: int,
    top: Places,
    hems: tuple[Places, ...],
    seams: tuple[DesignSeam, ...],
    spacing: float,
) -> tuple[GarmentPlan, tuple[PanelMesh, ...]]:
    return remembered(_meshed_divided, sides, panels_a_leg, top, hems, seams, spacing)


def _meshed_divided(
    sides: tuple[Side, ...],
    panels_a_leg: int,
    top: Places,
    hems: tuple[Places, ...],
    seams: tuple[DesignSeam, ...],
    spacing: float,
) -> tuple[GarmentPlan, tuple[PanelMesh, ...]]:
    """Plan and meshes of leggings that seams of the design divide: both legs in one, for a seam may run over
    the middle.
    """
    form, surface = reference_body()
    curves = {side: edge_curve(form, hem, closed=True) for side, hem in zip(sides, hems, strict=True)}
    fields = leggings_fields(surface, edge_curve(form, top, closed=True), curves)
    pattern = leggings_pattern(sides, panels_a_leg=panels_a_leg)
    return mesh_divided(pattern, surface, fields, seams_on(form, surface, seams), spacing=spacing)


def _in_order(edge: Places) -> Places:
    """An edge's points in an order that tells a mirrored edge from its own by nothing."""
    rounded = (
        ChartPoint(region=at.region, station=at.station, around=round(at.around, 9) % 1.0) for at in edge
    )
    return tuple(sorted(rounded, key=lambda at: (at.region, at.around, at.station)))


@lru_cache(maxsize=KEPT_DESIGNS)
def _left_leg(panels_a_leg: int, top: Places, hem: Places, spacing: float) -> tuple[PanelMesh, ...]:
    return remembered(_meshed_leg, panels_a_leg, top, hem, spacing)


def _meshed_leg(panels_a_leg: int, top: Places, hem: Places, spacing: float) -> tuple[PanelMesh, ...]:
    """The left leg's."""
    form, surface = reference_body()
    curves: dict[Side, Points] = {"left": edge_curve(form, hem, closed=True)}
    fields = leggings_fields(surface, edge_curve(form, top, closed=True), curves)
    return mesh_garment(
        leggings_pattern(("left",), panels_a_leg=panels_a_leg), surface, fields, spacing=spacing
    )
