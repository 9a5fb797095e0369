"""Trousers from their statement to their pieces."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.body.seated_change import SeatedChange, leg_change
from layfigure.draft.hanging.fall import Fall, fall_from
from layfigure.draft.knit.garment import is_alike
from layfigure.draft.panels.body_fields import body_fields
from layfigure.draft.registry import Check, DraftRequest, DraftResult
from layfigure.draft.window.cut_out import with_windows
from layfigure.draft.woven.bodice import SIDES
from layfigure.draft.woven.bodice_fit import HALVES
from layfigure.draft.woven.finishing import interfacing_of, zip_item
from layfigure.draft.woven.options import WovenOptions
from layfigure.draft.woven.placed import hem_height, waist_line
from layfigure.draft.woven.seated_rise import SeatedRise, rise_check, seated_rise
from layfigure.draft.woven.thick_parts import trouser_bulk
from layfigure.draft.woven.trouser_facing import fly_pieces, waist_facings
from layfigure.draft.woven.trouser_lie import trouser_sheets
from layfigure.draft.woven.trouser_pieces import FLY, trouser_band, trouser_piece
from layfigure.draft.woven.trousers_flat import BACK_WIDER, TrouserHalf, TrouserLengths, trouser_half
from layfigure.draft.woven.trust import woven_verdict
from layfigure.draft.woven.worn_shell import worn_trousers
from layfigure.errors import DraftError
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.polyline import length
from layfigure.geometry.taut_tape import TapedSurface, taut_length
from layfigure.piece.item import Item
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]

RISE_EASE = 10.0
"""Room below the crotch [mm] (common practice)."""
KNEE_EASE, HEEL_ROOM = 90.0, 30.0
"""Room round the knee, and of the hem round the heel it must pass [mm] (common practice)."""
HEEL_OVER_ANKLE = 1.45
"""Girth of heel and ankle over the ankle's, where it was not measured (from memory)."""
CROTCH_OFF = 15.0
"""Most that the crotch seam may be off the tape [mm]."""
THIGH_ROOM = 25.0
"""Least room round the thigh [mm]."""
SHORTEST = 60.0
"""Least length of a leg below the crotch [mm]."""
NO_CHANGE = SeatedChange(front=0.0, back=0.0)
MEASURES = ("waist_girth", "hip_girth", "waist_height", "crotch_height", "crotch_length")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Levels:
    """Heights above the floor [mm]."""

    waist: float
    hip: float
    crotch: float
    knee: float
    hem: float


def draft_trousers(request: DraftRequest, options: WovenOptions) -> DraftResult:
    """Two fronts, two backs, a waistband or waist facings, and a fly. Raises DraftError for a hem above the
    crotch.
    """
    form, statement = request.form, request.statement
    where = f"piece {statement.slug}"
    line, waist_spread = waist_line(request)
    closed = line if np.allclose(line[0], line[-1]) else np.vstack([line, line[:1]])
    ankle = form.level_heights["ankle_left"]
    hem, hem_spread = hem_height(request, 0.6 * ankle)
    levels = _Levels(
        waist=float(closed[:, 2].mean()),
        hip=form.level_heights["hip"],
        crotch=form.level_heights["crotch"] - RISE_EASE,
        knee=form.level_heights["knee_left"],
        hem=hem,
    )
    if hem > levels.crotch - SHORTEST:
        raise DraftError(
            "the hem lies above the legs.",
            where=where,
            advice="Place it lower: on the thighs, knees or ankles.",
        )
    rise = seated_rise(form, levels.waist)
    if float(closed[:, 2].min()) < levels.hip + 20.0 + rise.lap:
        raise DraftError(
            "the waist edge lies at the hips or below.", where=where, advice="Place it nearer to the waist."
        )
    fall = fall_from(form, closed[:-1], clearance=request.stack)
    sizes: dict[tuple[str, str], TrouserLengths] = {
        key: _lengths(form, fall, closed, levels, options, rise, *key, stack=request.stack) for key in HALVES
    }
    halves: dict[tuple[str, str], TrouserHalf] = {}
    for side in SIDES:
        if side == "right" and is_alike(form):
            halves |= {(part, "right"): halves[part, "left"] for part in ("front", "back")}
            continue
        front = trouser_half("front", sizes["front", side])
        halves["front", side] = front
        halves["back", side] = trouser_half(
            "back", sizes["back", side], inseam=length(front.inseam), side=length(front.side)
        )
    cloth = request.cloths[statement.cloth]
    checks = _checks(form, halves, sizes, request.stack)
    if form.posture == "seated":
        checks += (rise_check(rise),)
    verdict = woven_verdict(
        checks, form=form, cloth=cloth, measures=MEASURES, spread=max(waist_spread, hem_spread)
    )
    pieces = [
        trouser_piece(request, halves[part, side], part, side, options, verdict, cloth=cloth.slug)
        for part, side in HALVES
    ]
    if options.waistband:
        band = trouser_band(request, halves, options, verdict)
        pieces.append(band)
        if "interfacing" in statement.cloths:
            pieces.append(interfacing_of(band, statement.cloths["interfacing"]))
    facing = statement.cloths.get("facing", cloth.slug)
    faced = fly_pieces(request, halves, options, verdict, facing)
    if not options.waistband:
        faced += waist_facings(request, halves, options, verdict, facing)
    pieces += faced
    if "interfacing" in statement.cloths:
        pieces += [interfacing_of(piece, statement.cloths["interfacing"]) for piece in faced]
    if "lining" in statement.cloths:
        pieces += [
            trouser_piece(
                request,
                halves[part, side],
                part,
                side,
                options,
                verdict,
                cloth=statement.cloths["lining"],
                lining=True,
            )
            for part, side in HALVES
        ]
    label = statement.label or statement.slug.replace("_", " ")
    cut = with_windows(
        request,
        pieces,
        lambda: trouser_sheets(
            request, halves, pieces, waist=levels.waist, hip=levels.hip, crotch=levels.crotch
        ),
    )
    pieces, checks = list(cut.pieces), (*checks, *cut.checks)
    edge = "waistband" if options.waistband else "waist edge"
    return DraftResult(
        pieces=tuple(pieces),
        checks=tuple(replace(check, what=f"{label}: {check.what}") for check in checks),
        items=(
            zip_item(FLY, "centre front, under the fly"),
            Item(
                slug="hook_and_bar",
                name="trouser hook and bar",
                use=f"closes the {edge}",
            ),
        ),
        worn=(WornSurface(name=statement.slug, mesh=_worn(form, closed, levels, options), cloth=cloth.slug),),
        bulk=trouser_bulk(form, cloth.thickness),
    )


def _lengths(
    form: Form,
    fall: Fall,
    closed: Points,
    levels: _Levels,
    options: WovenOptions,
    seated: SeatedRise,
    part: str,
    side: str,
    *,
    stack: float,
) -> TrouserLengths:
    """What one half must measure, on its own side of the body."""
    ease, beneath = options.ease, 2.0 * np.pi * stack
    torso = form.charts["torso"]
    rounds = torso.girth(np.linspace(3.4, 4.6, 25))
    hips = float(rounds.max()) + beneath + ease.hip
    wide = BACK_WIDER if part == "back" else -BACK_WIDER
    waist = (length(closed) + beneath + ease.waist) / 4.0
    turn = 0.0 if part == "front" else 0.5
    down = fall.down_to(np.array([turn, 0.25 if side == "left" else 0.75]), np.full(2, levels.crotch))
    to_hip = fall.down_to(np.array([turn]), np.array([levels.hip]))
    knee = float(form.charts[f"thigh_{side}"].girth(1.0)) + beneath + KNEE_EASE
    ankle = float(form.charts[f"shank_{side}"].girth(1.0))
    heel = form.measures.get(f"heel_girth_{side}", HEEL_OVER_ANKLE * ankle)
    more = seated.seat if part == "back" else -seated.lap
    knee_change = leg_change(form, side, levels.hem) if form.posture == "seated" else NO_CHANGE
    hem = options.leg_hem or max(heel + HEEL_ROOM, _girth_at(form, side, levels.hem) + 40.0)
    return TrouserLengths(
        hip=0.25 * hips + wide,
        waist=waist,
        centre=float(down[0]) + more,
        side=float(down[1]),
        hip_up=float(down[0] - to_hip[0]),
        rise=_rise(form, closed, part) + RISE_EASE + more,
        knee=0.5 * max(knee, hem) + wide,
        hem=0.5 * hem + wide,
        knee_down=min(levels.crotch - levels.knee, 0.5 * (levels.crotch - levels.hem)),
        at_knee=levels.crotch - levels.knee <= 0.5 * (levels.crotch - levels.hem),
        hem_down=levels.crotch - levels.hem,
        round_hips=hips,
        hem_drop=knee_change.front if part == "front" else knee_change.back,
        hem_fall=_hem_fall(knee_change, part, hem),
    )


def _hem_fall(change: SeatedChange, part: str, hem: float) -> float:
    """How steeply a hem comes to its seams: the mean slope between both creases, so that it runs on
    smoothly from front to back. hem : width right round [mm].
    """
    slope = 2.0 * (change.front - change.back) / hem
    return slope if part == "front" else -slope


def _girth_at(form: Form, side: str, height: float) -> float:
    """Girth of a leg at a height above the floor [mm]."""
    for region in ("thigh", "shank"):
        chart = form.charts[f"{region}_{side}"]
        heights = chart.height(chart.stations)
        if heights[-1] <= height <= heights[0] or region == "shank":
            return float(chart.girth(float(np.interp(-height, -heights, chart.stations))))
    raise AssertionError


def _rise(form: Form, closed: Points, part: str) -> float:
    """Tape from the waist edge to the crotch, in front or behind [mm]."""
    mesh = form.standing
    front = part == "front"
    own = (closed[:, 1] < closed[:, 1].mean()) == front
    start = closed[own][np.abs(closed[own][:, 0]).argmin()]
    shares = body_fields().shares
    trunk = shares["trunk"] + shares["thigh_left"] + shares["thigh_right"] > 0.5
    faces = mesh.faces[trunk[mesh.faces].all(axis=1)]
    surface = TapedSurface(vertices=mesh.vertices, edges=TriangleMesh(mesh.vertices, faces).edges())
    end = form.landmarks["crotch"]
    return taut_length(surface, start, end, np.array([0.0, -1.0 if front else 1.0, 0.0]))


def _checks(
    form: Form,
    halves: Mapping[tuple[str, str], TrouserHalf],
    sizes: Mapping[tuple[str, str], TrouserLengths],
    stack: float,
) -> tuple[Check, ...]:
    off = max((half.crotch_off for half in halves.values()), key=abs)
    room = min(
        halves["front", side].thigh
        + halves["back", side].thigh
        - float(form.charts[f"thigh_{side}"].girth(0.06))
        - 2.0 * np.pi * stack
        for side in SIDES
    )
    mates = max(
        abs(length(getattr(halves["front", side], name)) - length(getattr(halves["back", side], name)))
        for side in SIDES
        for name in ("inseam", "side")
    )
    hips = sum(size.hip for size in sizes.values()) - sizes["front", "left"].round_hips
    return (
        Check.at_most(
            what="how far the crotch seam is from the tape between the legs, of one half",
            unit="mm",
            value=abs(off),
            limit=CROTCH_OFF,
            advice="Fit the crotch in a toile: it is too long or too short there.",
        ),
        Check.at_least(
            what="least room round the thigh",
            unit="mm",
            value=room,
            limit=THIGH_ROOM,
            advice="Give the hips more ease.",
        ),
        Check.at_most(
            what="how far seams that meet differ in length",
            unit="mm",
            value=mates,
            limit=0.05,
            advice="Ease the longer seam in above the knee.",
        ),
        Check.at_most(
            what="how far the girth at the hips is from body and ease",
            unit="mm",
            value=abs(hips),
            limit=0.5,
        ),
    )


def _worn(form: Form, closed: Points, levels: _Levels, options: WovenOptions) -> TriangleMesh:
    """Trousers on the standing body, a little wider toward the hems."""
    heights = np.array([levels.hem, 0.5 * (levels.hem + levels.crotch), levels.crotch, closed[:, 2].mean()])
    return worn_trousers(
        form,
        closed,
        hem=levels.hem,
        room=(heights, np.array([18.0, 14.0, 8.0, options.ease.waist / (2.0 * np.pi)])),
    )
