"""Tops and bodysuits on a wearer: which curves bound them, which levels and measures decide them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.knit_garment import (
    KnitGarment,
    Level,
    Opening,
    Places,
    placed_points,
    side_points,
    worn_curve,
)
from layfigure.draft.knit_options import KnitOptions
from layfigure.draft.panels.body_fields import body_fields
from layfigure.draft.panels.cloth_surface import cloth_surface
from layfigure.draft.panels.edge_fields import edge_curve, ring
from layfigure.draft.panels.garment import GarmentPattern, lay_garment, mesh_garment
from layfigure.draft.panels.leggings import Side
from layfigure.draft.panels.panel_mesh import SPACING, PanelMesh
from layfigure.draft.panels.reference import KEPT_DESIGNS, reference_body
from layfigure.draft.panels.surface import Surface
from layfigure.draft.panels.top import SIDES, STRIP, past_limb, top_fields, top_pattern
from layfigure.draft.registry import DraftRequest

Points = NDArray[np.float64]

NECK_DROP_FRONT, NECK_DROP_BACK = 25.0, 15.0
"""How far the usual neckline lies below the pit of the neck and the nape [mm]; common practice."""
SHOULDER_SHARE = 0.28
"""How far out on the shoulder the usual neckline lies; common practice."""
LEG_START = 40.0
"""Below the crotch, where the usual leg opening would meet the midline [mm]."""
LEG_RISE = 0.45
"""How far up from crotch to waist the usual leg opening reaches at the side."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TopEdges:
    """Edges of a top in chart coordinates; None where the usual line of the reference body is meant.

    hem : None for a bodysuit. legs : left and right, empty for a top. cuffs : one a sleeve.
    """

    neck: Places | None
    hem: Places | None
    legs: tuple[Places | None, ...]
    cuffs: tuple[Places, ...]

    def placed(self, sleeves: tuple[Side, ...]) -> dict[str, Places]:
        """Line name to where the design puts it, for every line it puts."""
        lines = {"neck": self.neck, "hem": self.hem}
        lines |= {f"leg_{side}": points for side, points in zip(SIDES, self.legs, strict=False)}
        lines |= {f"cuff_{side}": points for side, points in zip(sleeves, self.cuffs, strict=True)}
        return {name: points for name, points in lines.items() if points is not None}


def top_on(request: DraftRequest, options: KnitOptions) -> KnitGarment:
    """A top or bodysuit with or without sleeves; usual neck, hem, leg openings and cuffs by default."""
    form = request.form
    legs = options.garment == "bodysuit"
    sleeves: tuple[Side, ...] = SIDES if options.sleeves else ()
    edges = TopEdges(
        neck=placed_points(request, "neck"),
        hem=None if legs else placed_points(request, "hem") or ring("torso", 3.6),
        legs=tuple(side_points(request, "leg", side) for side in SIDES) if legs else (),
        cuffs=tuple(side_points(request, "cuff", side) or ring(f"forearm_{side}", 0.97) for side in sleeves),
    )
    pattern, meshes = top_meshes(sleeves, edges)
    surface = cloth_surface(form, offset=request.stack)
    curves = {
        name: worn_curve(form, surface, points, stack=request.stack)
        for name, points in edges.placed(sleeves).items()
    }
    return KnitGarment(
        pattern=pattern,
        panels=lay_garment(meshes, surface, curves),
        surface=surface,
        curves=curves,
        levels=_levels(sleeves, legs),
        openings=_openings(SIDES if legs else (), sleeves),
        pair=False,
        measures=_measures(sleeves, legs),
        note=_joining(sleeves, legs),
    )


@lru_cache(maxsize=KEPT_DESIGNS)
def top_meshes(
    sleeves: tuple[Side, ...], edges: TopEdges, *, spacing: float = SPACING
) -> tuple[GarmentPattern, tuple[PanelMesh, ...]]:
    """The design's own meshes, made on the reference body. spacing : side of their triangles [mm]."""
    form, surface = reference_body()
    curves = {name: edge_curve(form, points, closed=True) for name, points in edges.placed(sleeves).items()}
    legs = {
        side: usual_leg(form, surface, side)
        if f"leg_{side}" not in curves
        else past_limb(surface, curves[f"leg_{side}"])
        for side, _ in zip(SIDES, edges.legs, strict=False)
    }
    pattern = top_pattern(legs=bool(legs), sleeves=sleeves)
    fields = top_fields(
        surface,
        curves.get("neck", usual_neck(form)),
        hem=curves.get("hem"),
        legs=legs,
        cuffs={side: curves[f"cuff_{side}"] for side in sleeves},
    )
    return pattern, mesh_garment(pattern, surface, fields, spacing=spacing)


def usual_neck(form: Form) -> Points:
    """A round neckline, (k, 3) in the drafting pose: through points on the shoulders, lower in front."""
    shift = form.drafting.vertices - form.standing.vertices
    rise = float(np.median(shift[:, 2]))
    left, right = (form.landmarks[f"neck_side_{side}"] for side in SIDES)
    front = form.landmarks["front_neck"] - (0.0, 0.0, NECK_DROP_FRONT)
    back = form.landmarks["nape"] - (0.0, 0.0, NECK_DROP_BACK)
    # A little down the shoulders from the side of the neck.
    out = SHOULDER_SHARE * (form.landmarks["shoulder_point_left"] - left)
    out_right = SHOULDER_SHARE * (form.landmarks["shoulder_point_right"] - right)
    marks = np.array([front, left + out, back, right + out_right])
    angle = np.linspace(0.0, 2.0 * np.pi, 96, endpoint=False)
    # Cosine interpolation through the four: level at front and back, steepest in between.
    side_share = np.sin(angle) ** 2
    ends = np.where(np.cos(angle)[:, None] > 0.0, marks[0], marks[2])
    sides = np.where(np.sin(angle)[:, None] > 0.0, marks[1], marks[3])
    middle = 0.5 * (marks[0] + marks[2])
    curve = np.empty((96, 3))
    curve[:, 2] = (1.0 - side_share) * ends[:, 2] + side_share * sides[:, 2]
    curve[:, 0] = np.sin(angle) * np.abs(sides[:, 0] - middle[0]) + middle[0]
    curve[:, 1] = middle[1] + np.abs(np.cos(angle)) * (ends[:, 1] - middle[1])
    curve[:, 2] += rise
    return np.vstack([curve, curve[:1]])


def usual_leg(form: Form, surface: Surface, side: Side) -> Points:
    """How far past the usual leg opening each vertex lies, (n,) [mm]: it rises from between the legs to the
    side of the hip, more steeply in front than behind.
    """
    chart = form.drafting_charts["torso"]
    heights = chart.sections[:, :, 2].mean(axis=1)
    crotch, waist = (float(np.interp(level, chart.stations, heights)) for level in (5.0, 3.0))
    widest = chart.section(4.0)
    out = surface.vertices[:, 0] if side == "left" else -surface.vertices[:, 0]
    share = np.clip((out - STRIP) / (float(np.abs(widest[:, 0]).max()) - STRIP), 0.0, 1.2)
    front = body_fields().front_back < 0.0
    rise = (LEG_RISE * (waist - crotch) + LEG_START) * share ** np.where(front, 0.9, 1.3)
    return crotch - LEG_START + rise - surface.vertices[:, 2]


def _levels(sleeves: tuple[Side, ...], legs: bool) -> tuple[Level, ...]:
    levels = [
        Level(label="bust", region="torso", station=1.0),
        Level(label="waist", region="torso", station=3.0),
    ]
    if legs:
        levels.append(Level(label="hip", region="torso", station=4.0))
    for side in sleeves:
        levels += [
            Level(label="upper arm", region=f"upper_arm_{side}", station=0.6),
            Level(label="elbow", region=f"upper_arm_{side}", station=1.0),
            Level(label="forearm", region=f"forearm_{side}", station=0.3),
        ]
    return tuple(levels)


def _openings(legs: tuple[Side, ...], sleeves: tuple[Side, ...]) -> tuple[Opening, ...]:
    through: tuple[str, str] = ("the hips", "hip_girth") if legs else ("the shoulders", "shoulder_girth")
    neck = Opening(slug="neck", lines=("neck",), kind="neck", passes="the head", measure="head_girth")
    if legs:
        openings = [replace(neck, passes=through[0], measure=through[1])]
    else:
        openings = [
            neck,
            Opening(slug="hem", lines=("hem",), kind="waist", passes=through[0], measure=through[1]),
        ]
    openings += [
        Opening(
            slug=f"leg_{side}",
            lines=(f"leg_{side}",),
            kind="leg",
            passes="foot and heel",
            measure=f"heel_girth_{side}",
        )
        for side in legs
    ]
    for side in SIDES:
        if side in sleeves:
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
            lines = tuple(f"armhole_{part}_{side}" for part in ("front", "back"))
            openings.append(
                Opening(slug=f"armhole_{side}", lines=lines, kind="armhole", passes="the arm", measure="")
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


def _joining(sleeves: tuple[Side, ...], legs: bool) -> tuple[str, ...]:
    lines = ["Sew front to back at the shoulders; stay those seams with tape or clear elastic."]
    if sleeves:
        lines.append(
            "Set each sleeve in flat: cap to armhole, middle of the cap to the shoulder seam, front to front."
        )
        lines.append("Sew side seam and underarm seam in one go from the hem to the cuff.")
    else:
        lines.append("Sew the side seams; finish the armholes.")
    if legs:
        lines.append("Join front and back between the legs last, with snaps if it is to open there.")
    lines.append("Overlock or zigzag: a straight stitch breaks when the cloth stretches.")
    return tuple(lines)
