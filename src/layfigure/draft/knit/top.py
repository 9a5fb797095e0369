"""Tops and bodysuits on a wearer: which curves bound them, which levels and measures decide them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.flatten.panel import Panel
from layfigure.draft.knit.design_seams import design_seams, seams_on, worn_seams
from layfigure.draft.knit.garment import (
    KnitGarment,
    Level,
    Opening,
    Places,
    covered,
    placed_points,
    side_points,
    worn_curve,
)
from layfigure.draft.knit.options import GarmentName, KnitOptions, SleeveLength
from layfigure.draft.knit.seams import WHOLE_FRONT, stretch_if_whole
from layfigure.draft.knit.shoulder_room import no_shoulder_left, shoulders_hold
from layfigure.draft.knit.top_lines import above_armpits, placed_armhole, usual_armhole, usual_leg
from layfigure.draft.panels.cloth_surface import cloth_surface
from layfigure.draft.panels.design_seams import mesh_divided
from layfigure.draft.panels.edge_fields import edge_curve, ring
from layfigure.draft.panels.garment import GarmentPattern, lay_garment, mesh_garment
from layfigure.draft.panels.leggings import Side
from layfigure.draft.panels.neckline import Neckline, below_neckline, halves_to_the_point, zero_curve
from layfigure.draft.panels.panel_mesh import SPACING, PanelMesh
from layfigure.draft.panels.reference import KEPT_DESIGNS, reference_body
from layfigure.draft.panels.seam_line import DesignSeam
from layfigure.draft.panels.surface import Surface
from layfigure.draft.panels.top import SIDES, TopCut, past_limb, top_fields, top_pattern
from layfigure.draft.panels.topology import GarmentPlan
from layfigure.draft.registry import DraftRequest
from layfigure.errors import DraftError
from layfigure.recompute.graph import remembered

Points = NDArray[np.float64]

SLEEVE_ENDS: dict[SleeveLength, tuple[str, float]] = {
    "long": ("forearm", 0.97),
    "three_quarter": ("forearm", 0.4),
    "elbow": ("upper_arm", 0.93),
    "short": ("upper_arm", 0.55),
}
"""Region and station of the usual cuff."""

USUAL_NECKLINE = Neckline()
ABOVE_WAIST = 60.0
"""A neckline ends this far above the waist at least [mm]."""

HEMS: dict[GarmentName, float] = {"top": 3.6, "undershirt": 3.9}
"""Station on the trunk of the usual hem."""


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
        plan, meshes = _divided_meshes(cut, edges, seams, SPACING)
        pattern = replace(pattern, plan=plan)
        worn = worn_seams(request, surface, seams)
        panels = lay_garment(meshes, surface, _targets(pattern, curves), worn)
    return KnitGarment(
        pattern=pattern,
        panels=panels,
        surface=surface,
        curves=curves,
        levels=_levels(sleeves, edges.cuffs, cut.legs),
        openings=_openings(cut),
        pair=False,
        measures=_measures(sleeves, cut.legs),
        note=_joining(cut, proposed),
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
def _divided_meshes(
    cut: TopCut, edges: TopEdges, seams: tuple[DesignSeam, ...], spacing: float
) -> tuple[GarmentPlan, tuple[PanelMesh, ...]]:
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


def _levels(sleeves: tuple[Side, ...], cuffs: tuple[Places, ...], legs: bool) -> tuple[Level, ...]:
    levels = [
        Level(label="bust", region="torso", station=1.0),
        Level(label="waist", region="torso", station=3.0),
    ]
    if legs:
        levels.append(Level(label="hip", region="torso", station=4.0))
    for side, cuff in zip(sleeves, cuffs, strict=True):
        on_arm = (
            Level(label="upper arm", region=f"upper_arm_{side}", station=0.6),
            Level(label="elbow", region=f"upper_arm_{side}", station=1.0),
            Level(label="forearm", region=f"forearm_{side}", station=0.3),
        )
        levels += [level for level in on_arm if covered(level, cuff)]
    return tuple(levels)


def _openings(cut: TopCut) -> tuple[Opening, ...]:
    through: tuple[str, str] = ("the hips", "hip_girth") if cut.legs else ("the shoulders", "shoulder_girth")
    lines = ("neck", "neck_left", "neck_right") if cut.pointed else ("neck",)
    neck = Opening(slug="neck", lines=lines, kind="neck", passes="the head", measure="head_girth")
    if cut.legs:
        openings = [replace(neck, passes=through[0], measure=through[1])]
    else:
        openings = [
            neck,
            Opening(slug="hem", lines=("hem",), kind="waist", passes=through[0], measure=through[1]),
        ]
    if cut.legs:
        openings += [
            Opening(
                slug=f"leg_{side}",
                lines=(f"leg_{side}",),
                kind="leg",
                passes="foot and heel",
                measure=f"heel_girth_{side}",
            )
            for side in SIDES
        ]
    for side in SIDES:
        if side in cut.sleeves:
            openings.append(
                Opening(
                    slug=f"cuff_{side}",
                    lines=(f"cuff_{side}",),
                    kind="wrist",
                    passes="the hand with the thumb tucked in",
                    measure=f"hand_with_thumb_girth_{side}",
                )
            )
        else:
            parts = ("upper", "front", "back") if cut.princess else ("front", "back")
            openings.append(
                Opening(
                    slug=f"armhole_{side}",
                    lines=tuple(f"armhole_{part}_{side}" for part in parts),
                    kind="armhole",
                    passes="the arm",
                    measure="",
                )
            )
    return tuple(openings)


def _measures(sleeves: tuple[Side, ...], legs: bool) -> tuple[str, ...]:
    names = ["bust_girth", "under_bust_girth", "waist_girth", "nape_to_waist", "shoulder_breadth"]
    if legs:
        names += ["hip_girth", "trunk_loop"]
    for side in sleeves:
        names += [
            f"{name}_{side}"
            for name in ("upper_arm_girth", "elbow_girth", "forearm_girth", "wrist_girth", "arm_length")
        ]
    return tuple(names)


def _joining(cut: TopCut, proposed: float | None) -> tuple[str, ...]:
    """Order of work. proposed : stretch of the front in one piece, where that asked for princess seams."""
    lines = []
    if proposed is not None:
        lines.append(
            f"The front is in three: in one piece it would stretch the cloth by about {proposed:.0%} over "
            'the bust, on top of its fit. Write seams = "plain" to have it in one piece all the same.'
        )
    if cut.princess:
        lines.append(
            "Sew each side of the front to its middle first, notch to notch: over the bust one curve looks "
            "longer, but both are equally long."
        )
    lines.append("Sew front to back at the shoulders; stay those seams with tape or clear elastic.")
    if cut.sleeves:
        lines.append(
            "Set each sleeve in flat: cap to armhole, middle of the cap to the shoulder seam, front to front."
        )
        lines.append("Sew side seam and underarm seam in one go from the hem to the cuff.")
    else:
        lines.append("Sew the side seams; finish the armholes.")
    if cut.legs:
        lines.append("Join front and back between the legs last, with snaps if it is to open there.")
    lines.append("Overlock or zigzag: a straight stitch breaks when the cloth stretches.")
    return tuple(lines)
