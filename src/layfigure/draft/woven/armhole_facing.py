"""Facings of the armholes of a bodice without sleeves: a strip of each panel, over again."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.woven.bodice import SIDES, BodicePlan, Halves, Side, is_right_way
from layfigure.draft.woven.bodice_edges import cut_curve, mirrored_edges
from layfigure.draft.woven.bodice_facing import INNER_ALLOWANCE
from layfigure.draft.woven.strip import parallel
from layfigure.geometry.polyline import length
from layfigure.piece.piece import Grainline, Notch, Piece, PieceEdge, Total

Points = NDArray[np.float64]

MOST_OF_SEAM = 0.8
"""A facing takes up no more of the side and the shoulder seam than this share, clear of their darts."""
ARMHOLE_ALLOWANCE = 12.0


def armhole_facings(halves: Halves, plan: BodicePlan, cloth: str) -> list[Piece]:
    """Front and back facing of both armholes, as mirror images of the panels."""
    return [_facing(halves, part, side, plan, cloth) for side in SIDES for part in ("front", "back")]


def _facing(halves: Halves, part: str, side: Side, plan: BodicePlan, cloth: str) -> Piece:
    half, prefix = halves[part, side], plan.prefix
    both = [halves[one, side] for one in ("front", "back")]
    # As wide as its other half where they are joined.
    at_side = min(plan.options.facing_width, *(MOST_OF_SEAM * one.run_lengths("side")[-1] for one in both))
    at_shoulder = min(
        plan.options.facing_width, *(MOST_OF_SEAM * one.run_lengths("shoulder")[0] for one in both)
    )
    (armhole,) = half.named("armhole")
    side_seam, shoulder_seam = half.named("side")[-1], half.named("shoulder")[0]
    underarm = cut_curve(side_seam, [length(side_seam) - at_side])[-1]
    shoulder = cut_curve(shoulder_seam, [at_shoulder])[0]
    inner = parallel(armhole, at_side, at_shoulder)
    inner[0], inner[-1] = underarm[0], shoulder[-1]
    lower, upper = cut_curve(armhole, [half.armhole_notch])
    seams = [f"{prefix}_armhole_{part}_{which}_{side}" for which in ("lower", "upper")]
    notch = Notch(name=f"{seams[0]} notch", distance=length(lower), count=1 if part == "front" else 2)
    allowance = min(plan.options.seam_allowance, ARMHOLE_ALLOWANCE)
    edges = [
        PieceEdge(
            slug="side",
            curve=underarm,
            role="seam",
            allowance=plan.options.seam_allowance,
            seam=f"{prefix}_armhole_facing_side_{side}",
        ),
        PieceEdge(
            slug="armhole_lower",
            curve=lower,
            role="seam",
            allowance=allowance,
            seam=seams[0],
            notches=(notch,),
        ),
        PieceEdge(slug="armhole_upper", curve=upper, role="seam", allowance=allowance, seam=seams[1]),
        PieceEdge(
            slug="shoulder",
            curve=shoulder,
            role="seam",
            allowance=plan.options.seam_allowance,
            seam=f"{prefix}_armhole_facing_shoulder_{side}",
        ),
        PieceEdge(slug="inner", curve=inner[::-1], role="opening", allowance=INNER_ALLOWANCE),
    ]
    middle = 0.5 * (lower[-1] + inner[len(inner) // 2])
    if is_right_way(part, side):
        edges, middle = mirrored_edges(edges), middle * (-1.0, 1.0)
    statement = plan.request.statement
    label = statement.label or statement.slug.replace("_", " ")
    return Piece(
        slug=f"{statement.slug}_{part}_armhole_facing_{side}",
        label=f"{label}, {part} armhole facing {side}",
        kind=statement.kind,
        cloth=cloth,
        edges=tuple(edges),
        grainline=Grainline(
            start=(float(middle[0]), float(middle[1]) - 15.0),
            end=(float(middle[0]), float(middle[1]) + 15.0),
            kind="grain",
        ),
        totals=(
            Total(what="armhole edge", length=length(armhole)),
            Total(what="width at the side", length=length(underarm)),
            Total(what="width at the shoulder", length=length(shoulder)),
        ),
        verdict=plan.verdict,
        side=side,
        note=(
            "Join front and back facing at side and shoulder and finish the inner edge.",
            "Sew right sides together round the armhole, notch to notch, trim, clip, turn and press.",
        ),
        layer=statement.layer,
        edition=plan.request.edition,
    )
