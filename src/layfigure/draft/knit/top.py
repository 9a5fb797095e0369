"""Tops and bodysuits on a wearer: which curves bound them, which levels and measures decide them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.flatten.panel import Panel
from layfigure.draft.knit.design_seams import design_seams, worn_seams
from layfigure.draft.knit.garment import (
    KnitGarment,
    placed_points,
    side_points,
    worn_curve,
)
from layfigure.draft.knit.options import GarmentName, KnitOptions, SleeveLength
from layfigure.draft.knit.seams import WHOLE_FRONT, stretch_if_whole
from layfigure.draft.knit.shoulder_room import no_shoulder_left, shoulders_hold
from layfigure.draft.knit.top_lines import above_armpits
from layfigure.draft.knit.top_meshes import TopEdges, divided_meshes, top_meshes
from layfigure.draft.knit.top_told import joining_words, levels_of, measures_of, openings_of
from layfigure.draft.panels.cloth_surface import cloth_surface
from layfigure.draft.panels.edge_fields import ring
from layfigure.draft.panels.garment import GarmentPattern, lay_garment
from layfigure.draft.panels.leggings import Side
from layfigure.draft.panels.neckline import Neckline, below_neckline, halves_to_the_point, zero_curve
from layfigure.draft.panels.panel_mesh import SPACING
from layfigure.draft.panels.surface import Surface
from layfigure.draft.panels.top import SIDES, TopCut
from layfigure.draft.registry import DraftRequest
from layfigure.errors import DraftError

Points = NDArray[np.float64]

SLEEVE_ENDS: dict[SleeveLength, tuple[str, float]] = {
    "long": ("forearm", 0.97),
    "three_quarter": ("forearm", 0.4),
    "elbow": ("upper_arm", 0.93),
    "short": ("upper_arm", 0.55),
}
"""Region and station of the usual cuff."""

ABOVE_WAIST = 60.0
"""A neckline ends this far above the waist at least [mm]."""

HEMS: dict[GarmentName, float] = {"top": 3.6, "undershirt": 3.9}
"""Station on the trunk of the usual hem."""


def top_on(request: DraftRequest, options: KnitOptions) -> KnitGarment:
    """A top or bodysuit with or without sleeves; usual neck, hem, leg openings and cuffs by default."""
    form = request.form
    sleeves: tuple[Side, ...] = SIDES if options.has_sleeves else ()
    edges = _edges(request, options, sleeves)
    pointed = edges.neck is None and edges.neckline.shape == "v"
    cut = TopCut(
        legs=bool(edges.legs), sleeves=sleeves, pointed=pointed, princess=options.seams == "princess"
    )
    surface = cloth_surface(form, offset=request.stack)
    placed = edges.placed(sleeves)
    curves = {name: worn_curve(form, surface, points, stack=request.stack) for name, points in placed.items()}
    if edges.neck is None:
        _refuse_too_deep(form, edges.neckline, where=f"piece {request.statement.slug}")
        # The mesh knows the neckline of the reference body; centimetres are the wearer's own.
        below = below_neckline(form, surface, edges.neckline)
        curves["neck"] = zero_curve(surface, below, above_armpits(surface))
        if not len(curves["neck"]):
            raise DraftError(
                "the neckline runs out over the shoulders, and nothing is left to hang from.",
                where=f"piece {request.statement.slug}",
                advice="Give a smaller neck_width.",
            )
        if pointed:
            curves |= halves_to_the_point(curves["neck"])
    try:
        pattern, panels = _laid(cut, edges, surface, curves)
    except DraftError:
        refused = _no_shoulder(request, cut, edges, surface, curves)
        if refused is None:
            raise
        raise refused from None
    proposed = None
    if options.seams == "auto":
        strain = stretch_if_whole(panels[0])
        if strain > WHOLE_FRONT:
            cut, proposed = replace(cut, princess=True), strain
            pattern, panels = _laid(cut, edges, surface, curves)
    seams = design_seams(request)
    if seams:
        plan, meshes = divided_meshes(cut, edges, seams, SPACING)
        pattern = replace(pattern, plan=plan)
        worn = worn_seams(request, surface, seams)
        panels = lay_garment(meshes, surface, _targets(pattern, curves), worn)
    return KnitGarment(
        pattern=pattern,
        panels=panels,
        surface=surface,
        curves=curves,
        levels=levels_of(sleeves, edges.cuffs, cut.legs),
        openings=openings_of(cut),
        pair=False,
        measures=measures_of(sleeves, cut.legs),
        note=joining_words(cut, proposed),
    )


def _no_shoulder(
    request: DraftRequest, cut: TopCut, edges: TopEdges, surface: Surface, curves: Mapping[str, Points]
) -> DraftError | None:
    """What to tell where neckline and armhole cross on the shoulder; None where that is not the fault."""
    if edges.neck is not None or any(armhole is not None for armhole in edges.armholes):
        return None

    def holds(width: float, inward: float) -> bool:
        line = replace(edges.neckline, width=width)
        own = dict(curves)
        own["neck"] = zero_curve(surface, below_neckline(request.form, surface, line), above_armpits(surface))
        if not len(own["neck"]):
            return False
        if cut.pointed:
            own |= halves_to_the_point(own["neck"])
        try:
            _, panels = _laid(cut, replace(edges, neckline=line, armhole_in=inward), surface, own)
        except DraftError:
            return False
        return shoulders_hold(panels)

    return no_shoulder_left(
        edges.neckline.width, edges.armhole_in, holds, where=f"piece {request.statement.slug}"
    )


def _refuse_too_deep(form: Form, neckline: Neckline, *, where: str) -> None:
    """A neckline ends above the waist, or what holds the garment up is two strips that fold over."""
    waist = form.level_heights["waist"] + ABOVE_WAIST
    for part, mark, depth, option in (
        ("front", "front_neck", neckline.front, "neck_depth"),
        ("back", "nape", neckline.back, "back_depth"),
    ):
        if form.landmarks[mark][2] - depth < waist:
            raise DraftError(
                f"the {part} neckline comes nearer than {ABOVE_WAIST:.0f} mm to the waist.",
                where=where,
                advice=f"Give a smaller {option}, or cut the lower part out as a window.",
            )


def _edges(request: DraftRequest, options: KnitOptions, sleeves: tuple[Side, ...]) -> TopEdges:
    legs = options.garment == "bodysuit"
    region, end = SLEEVE_ENDS[options.sleeve_length]
    return TopEdges(
        neck=placed_points(request, "neck"),
        neckline=options.cut_neckline(),
        hem=None if legs else placed_points(request, "hem") or ring("torso", HEMS[options.garment]),
        legs=tuple(side_points(request, "leg", side) for side in SIDES) if legs else (),
        cuffs=tuple(side_points(request, "cuff", side) or ring(f"{region}_{side}", end) for side in sleeves),
        armholes=(side_points(request, "armhole", "left"), side_points(request, "armhole", "right")),
        armhole_in=options.armhole_in_by,
    )


def _laid(
    cut: TopCut, edges: TopEdges, surface: Surface, curves: Mapping[str, Points]
) -> tuple[GarmentPattern, tuple[Panel, ...]]:
    pattern, meshes = top_meshes(cut, edges)
    return pattern, lay_garment(meshes, surface, _targets(pattern, curves))


def _targets(pattern: GarmentPattern, curves: Mapping[str, Points]) -> dict[str, Points]:
    """Where each line of the panels must lie."""
    lines = {edge.line for plan in pattern.plan.panels for edge in plan.edges}
    # A line's own curve comes before that of the whole edge it is a part of.
    return {line: curves[name] for line in lines for name in (placed_name(line), line) if name in curves}


def placed_name(line: str) -> str:
    """The edge of the design that a line of the panels is a part of: ``armhole_back_left`` of
    ``armhole_left``, ``neck_left`` of ``neck``.
    """
    if line.startswith("neck"):
        return "neck"
    if line.startswith("armhole"):
        return f"armhole_{line.rpartition('_')[2]}"
    return line
