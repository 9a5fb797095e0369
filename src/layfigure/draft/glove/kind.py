"""The kind ``glove``: fingerless, full, or a gauntlet with a cuff up the forearm."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel

from layfigure.body.chart import RegionChart
from layfigure.body.levels import Side
from layfigure.draft.glove.checks import finger_checks, narrowest, opening_check, sewing_checks
from layfigure.draft.glove.choices import glove_choices
from layfigure.draft.glove.hand import hand_of
from layfigure.draft.glove.layout import FlatHand, GloveFit, flat_hand
from layfigure.draft.glove.lie import TOLD, half_carry
from layfigure.draft.glove.lines import heights_along, level_line, placed_line
from layfigure.draft.glove.note import glove_note
from layfigure.draft.glove.opening import opened, opening_items
from layfigure.draft.glove.options import SLOT_SPARE, GloveOptions, GlovePractice, fit_of, glove_practice
from layfigure.draft.glove.outline import THUMB_ROOT, GloveEnds, HalfEdge, half_edges, outer_edge
from layfigure.draft.glove.pieces import GloveSewing, PlacedLine, half_piece, strip_piece, thumb_piece
from layfigure.draft.glove.thumb import SetInThumb, set_in_thumb
from layfigure.draft.glove.trace import traced_hand
from layfigure.draft.glove.worn import worn_glove
from layfigure.draft.registry import DraftRequest, DraftResult, PieceKind, register
from layfigure.draft.round_edge import WrapEdge, wrap_edge
from layfigure.draft.sheet_practice import cautions_for
from layfigure.draft.verdict import wrap_verdict
from layfigure.draft.window.cut_out import with_windows
from layfigure.draft.window.sheet import Sheet
from layfigure.errors import DraftError
from layfigure.materials.cloth import Cloth, MaterialKind
from layfigure.piece.piece import Piece, Verdict
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]

SHORT_FINGERS = 0.4
"""Of a finger, what a fingerless glove covers: to below the first joint (common practice, no source)."""

ARM_COVER = 15.0
"""Above the wrist, where no cuff is placed [mm]."""

SLIT_ABOVE = 0.4
"""A slit runs past the wrist up to this share of the height of the webs."""

HAND_WITH_THUMB = 1.18
"""Girth with the thumb tucked in over the girth without, where it was not measured (from memory)."""

FACED = 12.0
"""Turned in along the edges of a slit [mm] (common practice, no source)."""

SEEN = 2.0
"""A glove is drawn this far off the skin at least, in pictures only [mm]."""

HALVES: tuple[Literal["palm", "back"], ...] = ("palm", "back")

_GRAIN: dict[MaterialKind, Literal["grain", "stretch"]] = {
    "knit": "stretch",
    "mesh": "stretch",
    "woven": "grain",
}


def draft_glove(request: DraftRequest) -> DraftResult:
    """Pieces of one glove.

    Raises DraftError for a material that cannot be sewn round a finger, a cuff or line that does not go
    round this hand or forearm, a tracing that shows no five fingers.
    """
    options = request.options
    assert isinstance(options, GloveOptions)
    where = f"piece {request.statement.slug}"
    try:
        return _draft(request, options)
    except DraftError as error:
        raise DraftError(error.what, where=error.where or where, advice=error.advice) from error


def _draft(request: DraftRequest, options: GloveOptions) -> DraftResult:
    statement, form = request.statement, request.form
    side = statement.side
    if side not in ("left", "right"):
        raise DraftError("a glove is for one hand.", advice="Write side = 'left', 'right' or 'both'.")
    if statement.cloth not in request.cloths:
        raise DraftError(f"there is no material {statement.cloth!r}.", advice="Add it to materials.toml.")
    cloth = request.cloths[statement.cloth]
    practice = glove_practice(cloth)
    if practice is None:
        raise DraftError(
            f"{cloth.name} is too stiff to sew round a finger.",
            advice="Make the glove of cloth or thin leather, and glue or sew plates on it.",
        )
    own = hand_of(form, side)
    traced = statement.trace
    hand = own if traced is None else traced_hand(traced.lines, options.pencil, own)
    fit = fit_of(options, practice, cloth, request.stack)
    cuff_edge = _placed(request, "cuff")
    if options.style == "gauntlet" and cuff_edge is None:
        raise DraftError(
            "a gauntlet needs the edge it reaches up to.", advice="Add cuff = 'edge name', on the forearm."
        )
    cuff = level_line("cuff", -ARM_COVER) if cuff_edge is None else placed_line("cuff", cuff_edge, form, side)
    share = np.linspace(0.0, 1.0, 61)
    low = float(min(cuff.palm(share).min(), cuff.back(share).min()))
    high = float(max(cuff.palm(share).max(), cuff.back(share).max()))
    if high > THUMB_ROOT * float(hand.webs[0]) - 2.0:
        raise DraftError(
            "the cuff's edge runs into the root of the thumb.",
            advice="Place it at the wrist or on the forearm.",
        )
    passes = (
        form.measures.get(
            f"hand_with_thumb_girth_{side}", HAND_WITH_THUMB * float(hand.girth(0.75 * hand.webs[1]))
        )
        + 2.0 * math.pi * request.stack
    )
    stretch = cloth.stretch_across
    opens, flat = opened(flat_hand(hand, fit), options.opening, stretch=stretch, passes=passes, cuff=high)
    ends = _ends(options, cuff, float(hand.webs[1]) * SLIT_ABOVE if opens == "slit" else None)
    sewing = _sewing(request, options, practice, cloth, side, fit)
    halves, thumb = _halves(flat, ends)
    pieces = _pieces(flat, ends, halves, thumb, _lines(request, low, side), sewing)
    checks = [
        *sewing_checks(pieces),
        *finger_checks(flat, ends.fingers, stretch=stretch, allowance=sewing.seam),
        opening_check(narrowest(flat, high), stretch, passes, opens=opens == "slit"),
    ]
    placed = [edge for edge in (cuff_edge, _placed(request, "wrist"), _placed(request, "knuckles")) if edge]
    verdict = wrap_verdict(
        checks,
        form=form,
        cloth=cloth,
        measures=_governing(side, gauntlet=low < -60.0),
        spread=max((edge.spread for edge in placed), default=0.0),
        assumed=()
        if traced is not None
        else ("length and girth of the fingers follow the template's hand, as long and wide as yours",),
    )
    note = glove_note(
        cloth,
        fit,
        allowance=sewing.seam,
        hem=sewing.hem,
        open_fingers=ends.fingers < 1.0,
        slit=opens == "slit",
        elastic=opens == "elastic",
        advice=tuple(check.advice for check in checks),
    )
    finished: list[Piece] = [replace(piece, verdict=verdict, note=note) for piece in pieces]
    cut = with_windows(
        request,
        finished,
        lambda: [
            Sheet(
                slug=piece.slug,
                edges=piece.edges,
                carry=half_carry(flat, form, side, half),
                told=TOLD,
                rest=(min(1.0 + fit.round, 1.0), min(1.0 + fit.along, 1.0)),
            )
            for piece, half in zip(finished[:2], HALVES, strict=True)
        ],
    )
    finished, checks = list(cut.pieces), [*checks, *cut.checks]
    named = tuple(replace(check, what=f"{sewing.label}: {check.what}") for check in checks)
    surface = worn_glove(
        form,
        own,
        side,
        cuff=_cuff_station(form.charts[f"forearm_{side}"], 0.5 * (low + high)),
        off=request.stack + max(cloth.thickness, SEEN),
        fingers=ends.fingers,
        thumb=ends.thumb,
    )
    return DraftResult(
        pieces=tuple(finished),
        checks=named,
        items=opening_items(opens, halves["palm"], flat),
        worn=(WornSurface(name=statement.slug, mesh=surface, cloth=cloth.slug),),
        notes=("The wrist is cut wider than a close fit, so that the hand passes without a slit.",)
        if opens == "eased"
        else (),
    )


def _sewing(
    request: DraftRequest,
    options: GloveOptions,
    practice: GlovePractice,
    cloth: Cloth,
    side: Literal["left", "right"],
    fit: GloveFit,
) -> GloveSewing:
    statement = request.statement
    return GloveSewing(
        slug=statement.slug,
        label=statement.label or statement.slug.replace("_", " "),
        kind=statement.kind,
        cloth=cloth.slug,
        side=side,
        seam=fit.slot / 2.0 - SLOT_SPARE,
        hem=practice.hem if options.hem is None else options.hem,
        closure=FACED,
        grain=_GRAIN.get(cloth.kind, "any"),
        verdict=Verdict(level="paper"),
        note=(),
        cautions=cautions_for(cloth),
        layer=statement.layer,
        edition=request.edition,
        thickness=cloth.thickness,
    )


def _halves(flat: FlatHand, ends: GloveEnds) -> tuple[dict[str, list[HalfEdge]], SetInThumb | None]:
    """Edges of palm and back, and the thumb that is set between them unless it is part of them."""
    outer = None if flat.thumb is not None else outer_edge(flat, ends)
    thumb = None if outer is None else _set_in(flat, ends, outer)
    holes = None if thumb is None else (thumb.palm, thumb.back)
    palm, back = half_edges(flat, ends, outer=outer, holes=holes)
    return {"palm": palm, "back": back}, thumb


def _pieces(
    flat: FlatHand,
    ends: GloveEnds,
    halves: dict[str, list[HalfEdge]],
    thumb: SetInThumb | None,
    lines: list[PlacedLine],
    sewing: GloveSewing,
) -> list[Piece]:
    pieces = [
        half_piece("palm", flat, halves["palm"], lines, sewing),
        half_piece("back", flat, halves["back"], lines, sewing),
    ]
    if thumb is not None:
        slots = {edge.slug: edge.curve for edge in halves["palm"]}
        pieces.append(thumb_piece(thumb, sewing))
        pieces += [strip_piece(k, flat, slots[f"slot_{k}"], ends.fingers, sewing) for k in (1, 2, 3)]
    return pieces


def _placed(request: DraftRequest, role: str) -> WrapEdge | None:
    slug = request.statement.edges.get(role)
    return None if slug is None else wrap_edge(request.placement.edges[slug])


def _ends(options: GloveOptions, cuff: PlacedLine, slit: float | None) -> GloveEnds:
    fingers = options.fingers
    if fingers is None:
        fingers = SHORT_FINGERS if options.style == "fingerless" else 1.0
    return GloveEnds(
        cuff_palm=cuff.palm,
        cuff_back=cuff.back,
        slit=slit,
        fingers=fingers,
        thumb=fingers if options.thumb is None else options.thumb,
    )


def _set_in(flat: FlatHand, ends: GloveEnds, outer: Points) -> SetInThumb:
    hand = flat.hand
    return set_in_thumb(
        hand.digits[0],
        flat.fit,
        outer,
        root=THUMB_ROOT * float(hand.webs[0]),
        web=float(hand.webs[0]),
        covered=ends.thumb,
    )


def _lines(request: DraftRequest, low: float, side: str) -> list[PlacedLine]:
    """Wrist and knuckle lines, placed or at their levels."""
    lines = []
    chart = request.form.charts[f"hand_{side}"]
    knuckles = float(heights_along(chart, np.array([1.0]))[0])
    for role, label, height in (("wrist", "wrist", 0.0), ("knuckles", "knuckles", knuckles)):
        edge = _placed(request, role)
        if edge is not None:
            lines.append(placed_line(label, edge, request.form, side))
        elif height > low + 1.0:
            lines.append(level_line(label, height))
    return lines


def _governing(side: str, *, gauntlet: bool) -> tuple[str, ...]:
    names = ["hand_girth", "hand_length", "hand_with_thumb_girth", "wrist_girth"]
    return tuple(f"{name}_{side}" for name in (*names, *(("forearm_girth",) if gauntlet else ())))


def _cuff_station(forearm: RegionChart, height: float) -> float:
    return float(np.interp(height, heights_along(forearm, forearm.stations), forearm.stations))


def covered_regions(_options: BaseModel, side: Side | Literal["both"]) -> dict[str, float]:
    """The hand; what a cuff lies on is told by its edge."""
    sides = ("left", "right") if side in ("both", "middle") else (side,)
    return {f"hand_{one}": 1.0 for one in sides}


KIND = register(
    PieceKind(
        name="glove",
        summary="a glove: fingerless, full, or a gauntlet with a cuff up the forearm",
        options=GloveOptions,
        draft=draft_glove,
        choices=glove_choices,
        covers=covered_regions,
        edges={
            "cuff": "where it ends, right round the forearm; a gauntlet needs it",
            "wrist": "line to draw at the wrist, right round",
            "knuckles": "line to draw over the knuckles, right round",
        },
        reads_tracing=True,
        windows=True,
        backing=True,
    )
)
