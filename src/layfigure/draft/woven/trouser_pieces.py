"""Trouser halves as pieces, and their waistband."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.on_the_seat import CAUTION
from layfigure.draft.registry import DraftRequest
from layfigure.draft.woven.bodice import is_right_way
from layfigure.draft.woven.bodice_edges import cut_curve, mirrored_edges, mirrored_lines, mouth
from layfigure.draft.woven.half_outline import Dart
from layfigure.draft.woven.options import WovenOptions
from layfigure.draft.woven.trousers_flat import TrouserHalf
from layfigure.draft.woven.waistband import BandStretch, waistband
from layfigure.geometry.polyline import length
from layfigure.piece.piece import Grainline, InnerLine, Notch, Piece, PieceEdge, Total, Verdict

Points = NDArray[np.float64]
Side = Literal["left", "right"]

FLY = 180.0
"""Length of the fly's opening, from the waist edge down [mm] (common practice)."""
NOTE = (
    "Sew the darts and press them toward the centre; then sides, inseams, and the crotch seam twice.",
    "Sew the facing and the shield to the opening of the fly, and set the zip between them.",
    "The grain runs down the middle of the leg: press a crease there if you want one.",
    "Sides and back have wide allowances to let out: sit down and climb a step before you turn the hems up.",
)

CLEAR_OF_SEAM = 5.0
"""A line drawn across a piece ends this far from its seams [mm]."""
SEATED_ALLOWANCE = 10.0
"""Of seams that are sat upon [mm] (common practice, no source): narrow, so that they lie flat."""
SEATED_NOTE = (
    (
        "Drafted for a wearer who sits: longer behind and shorter in the lap, and the hems dip in front, so "
        "that they are level once the knees are bent."
    ),
    (
        "Nothing thick where she sits: no pockets, flaps or labels behind, crotch and inseams pressed open, "
        "never felled; a smooth thread. Pockets go on the front of the thigh, which a sitting hand reaches."
    ),
)


def trouser_piece(
    request: DraftRequest,
    half: TrouserHalf,
    part: str,
    side: Side,
    options: WovenOptions,
    verdict: Verdict,
    *,
    cloth: str,
    lining: bool = False,
) -> Piece:
    """One half as a piece."""
    statement = request.statement
    suffix = "_lining" if lining else ""
    prefix = f"{statement.slug}{suffix}"
    seated = request.form.posture == "seated"
    edges = [
        PieceEdge(
            slug="hem",
            curve=half.hem,
            role="hem",
            allowance=0.5 * options.hem_allowance if lining else options.hem_allowance,
        ),
        _seam("side", half.side[::-1], f"{prefix}_side_{side}", options.let_out),
    ]
    number = 0
    for k, run in enumerate(half.waist):
        if isinstance(run, Dart):
            before, after = half.waist[k - 1], half.waist[k + 1]
            assert not isinstance(before, Dart)
            assert not isinstance(after, Dart)
            edges.append(
                PieceEdge(
                    slug=f"dart_{run.name}",
                    curve=mouth(run, before, after),
                    role="seam",
                    allowance=options.seam_allowance,
                )
            )
            continue
        number += 1
        edges.append(
            PieceEdge(
                slug=f"waist_{number}",
                curve=run,
                role="seam",
                allowance=options.seam_allowance,
                seam=None if lining else waist_seam(statement.slug, part, side, number),
            )
        )
    # What is sat upon keeps no cloth to let out.
    sat_upon = min(options.seam_allowance, SEATED_ALLOWANCE) if seated else options.seam_allowance
    wide = options.let_out if part == "back" and not seated else options.seam_allowance
    if part == "front":
        fly, rest = fly_and_crotch(half)
        # The lining is felled to the zip; the outside is sewn to the fly's facing and its shield.
        edges.append(
            _seam("fly", fly, f"{prefix}_fly", wide, role="closure")
            if lining
            else _seam("fly", fly, fly_seam(prefix, side), wide)
        )
        edges.append(_seam("crotch", rest, f"{prefix}_crotch_front", wide))
    else:
        edges.append(_seam("crotch", half.centre, f"{prefix}_crotch_back", sat_upon if seated else wide))
    edges.append(_seam("inseam", half.inseam, f"{prefix}_inseam_{side}", sat_upon))
    crease, low = half.crease, float(half.inseam[-1, 1])
    lines = [
        InnerLine(
            kind="balance",
            curve=np.array([half.inseam[0] + (8.0, 0.0), [half.thigh * 0.62, half.inseam[0, 1]]]),
            label="crotch level",
        ),
        InnerLine(kind="balance", curve=_inside(half.across(half.hip_up)), label="hips"),
        InnerLine(
            kind="balance",
            curve=_inside(half.across(-half.knee_down)),
            label="knee" if half.at_knee else "half-way down",
        ),
        InnerLine(
            kind="centre", curve=np.array([[crease, half.hip_up], [crease, low + 20.0]]), label="crease"
        ),
    ]
    for run in half.waist:
        if isinstance(run, Dart):
            lines.append(
                InnerLine(
                    kind="stitch",
                    curve=np.array([run.first, run.tip, run.second]),
                    label="dart, fold toward the centre",
                )
            )
            lines.append(InnerLine(kind="fold", curve=np.array([0.5 * (run.first + run.second), run.tip])))
    x = crease
    if not is_right_way(part, side):
        edges, lines, x = mirrored_edges(edges), mirrored_lines(lines), -x
    if options.waistband:
        # The band runs from left to right round the body; what it is sewn to runs the other way.
        edges = [replace(edge, against=True) if edge.slug.startswith("waist") else edge for edge in edges]
    label = statement.label or statement.slug.replace("_", " ")
    return Piece(
        slug=f"{statement.slug}_{part}_{side}{suffix}",
        label=f"{label}, {part} {side}{', lining' if lining else ''}",
        kind=statement.kind,
        cloth=cloth,
        edges=tuple(edges),
        grainline=Grainline(start=(x, 0.85 * low), end=(x, 0.1 * low), kind="grain"),
        totals=(
            Total(what="waist edge, darts folded", length=waist_length(half)),
            Total(what="inseam", length=length(half.inseam)),
            Total(what="crotch seam", length=length(half.centre)),
        ),
        verdict=verdict,
        side=side,
        lines=tuple(lines),
        note=(*NOTE, *SEATED_NOTE) if seated else NOTE,
        cautions=(CAUTION,) if seated else (),
        layer=statement.layer,
        edition=request.edition,
    )


def _inside(line: Points) -> Points:
    """A line across, drawn clear of the seams at its ends."""
    way = (line[1] - line[0]) / np.linalg.norm(line[1] - line[0])
    return np.array([line[0] + CLEAR_OF_SEAM * way, line[1] - CLEAR_OF_SEAM * way])


def _seam(
    slug: str, curve: Points, seam: str, allowance: float, *, role: Literal["seam", "closure"] = "seam"
) -> PieceEdge:
    notch = Notch(name=f"{seam} middle", distance=0.5 * length(curve))
    return PieceEdge(slug=slug, curve=curve, role=role, allowance=allowance, seam=seam, notches=(notch,))


def fly_and_crotch(half: TrouserHalf) -> list[Points]:
    """The centre seam of a front cut where the fly ends, from the waist edge down."""
    return cut_curve(half.centre, [min(FLY, 0.7 * length(half.centre))])


def fly_seam(statement: str, side: str) -> str:
    """Seam of a front's opening and what is sewn to it."""
    return f"{statement}_fly_{side}"


def waist_seam(statement: str, part: str, side: str, number: int) -> str:
    """Seam of a stretch of the waist edge, counted from the side."""
    return f"{statement}_waist_{part}_{side}_{number}"


def waist_length(half: TrouserHalf) -> float:
    """Waist edge with its darts folded [mm]."""
    return sum(length(run) for run in half.waist if not isinstance(run, Dart))


def trouser_band(
    request: DraftRequest,
    halves: Mapping[tuple[str, str], TrouserHalf],
    options: WovenOptions,
    verdict: Verdict,
) -> Piece:
    """The waistband: from the fly round over the wearer's left and back to it, and a lap."""
    stretches: list[BandStretch] = []
    for part, side in (("front", "left"), ("back", "left"), ("back", "right"), ("front", "right")):
        runs = [run for run in halves[part, side].waist if not isinstance(run, Dart)]
        own = [
            BandStretch(
                slug=f"{part}_{side}_{k}",
                length=length(run),
                seam=waist_seam(request.statement.slug, part, side, k),
            )
            for k, run in enumerate(runs, start=1)
        ]
        # Runs are counted from the side; seen from outside a right-way half has its side at the right.
        stretches += own[::-1] if is_right_way(part, side) else own
    stretches.append(BandStretch(slug="lap", length=max(options.overlap, 30.0), seam=None))
    return waistband(request, stretches, options, verdict)
