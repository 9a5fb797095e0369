"""The kind ``glove``: fingerless, full, or a gauntlet with a cuff up the forearm."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from pydantic import BaseModel

from layfigure.body.levels import Side
from layfigure.draft.glove.checks import finger_checks, narrowest, opening_check, sewing_checks
from layfigure.draft.glove.choices import glove_choices
from layfigure.draft.glove.ends import ends_of
from layfigure.draft.glove.halves import halves_and_thumb
from layfigure.draft.glove.hand import hand_of
from layfigure.draft.glove.layout import flat_hand
from layfigure.draft.glove.lie import half_sheet
from layfigure.draft.glove.lines import cuff_line, drawn_lines, edge_of
from layfigure.draft.glove.note import glove_note
from layfigure.draft.glove.opening import hand_through, opened, opening_items
from layfigure.draft.glove.options import GloveOptions, fit_of, glove_practice
from layfigure.draft.glove.outline import THUMB_ROOT
from layfigure.draft.glove.pieces import glove_pieces
from layfigure.draft.glove.sewing import sewing_of
from layfigure.draft.glove.trace import traced_hand
from layfigure.draft.glove.worn import glove_surface
from layfigure.draft.registry import DraftRequest, DraftResult, PieceKind, register
from layfigure.draft.verdict import wrap_verdict
from layfigure.draft.window.cut_out import with_windows
from layfigure.errors import DraftError
from layfigure.piece.piece import Piece

HALVES: tuple[Literal["palm", "back"], ...] = ("palm", "back")


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
    cuff = cuff_line(request, options, side)
    low, high = cuff.reach()
    if high > THUMB_ROOT * float(hand.webs[0]) - 2.0:
        raise DraftError(
            "the cuff's edge runs into the root of the thumb.",
            advice="Place it at the wrist or on the forearm.",
        )
    passes = hand_through(form, hand, side, beneath=request.stack)
    stretch = cloth.stretch_across
    opens, flat = opened(flat_hand(hand, fit), options.opening, stretch=stretch, passes=passes, cuff=high)
    ends = ends_of(options, cuff, webs=float(hand.webs[1]), slit=opens == "slit")
    sewing = sewing_of(request, options, practice, cloth, side, fit)
    halves, thumb = halves_and_thumb(flat, ends)
    pieces = glove_pieces(flat, ends, halves, thumb, drawn_lines(request, low, side), sewing)
    checks = [
        *sewing_checks(pieces),
        *finger_checks(flat, ends.fingers, stretch=stretch, allowance=sewing.seam),
        opening_check(narrowest(flat, high), stretch, passes, opens=opens == "slit"),
    ]
    placed = [edge for role in ("cuff", "wrist", "knuckles") if (edge := edge_of(request, role))]
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
            half_sheet(piece, flat, form, side, half)
            for piece, half in zip(finished[:2], HALVES, strict=True)
        ],
    )
    finished, checks = list(cut.pieces), [*checks, *cut.checks]
    named = tuple(replace(check, what=f"{sewing.label}: {check.what}") for check in checks)
    return DraftResult(
        pieces=tuple(finished),
        checks=named,
        items=opening_items(opens, halves["palm"], flat),
        worn=(glove_surface(request, own, side, cloth, ends, cuff=0.5 * (low + high)),),
        notes=("The wrist is cut wider than a close fit, so that the hand passes without a slit.",)
        if opens == "eased"
        else (),
    )


def _governing(side: str, *, gauntlet: bool) -> tuple[str, ...]:
    names = ["hand_girth", "hand_length", "hand_with_thumb_girth", "wrist_girth"]
    return tuple(f"{name}_{side}" for name in (*names, *(("forearm_girth",) if gauntlet else ())))


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
