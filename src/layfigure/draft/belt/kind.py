"""The kind ``belt``: a strap round the trunk or a limb, straight, shaped, or slung across the hips."""

from __future__ import annotations

from dataclasses import replace

from layfigure.draft.belt.checks import belt_checks
from layfigure.draft.belt.choices import belt_choices
from layfigure.draft.belt.lie import belt_sheet
from layfigure.draft.belt.line import belt_line
from layfigure.draft.belt.note import belt_note
from layfigure.draft.belt.options import BeltOptions
from layfigure.draft.belt.parts import belt_items, drop, keeper
from layfigure.draft.belt.piece import lining_piece, strap_piece
from layfigure.draft.belt.worn import worn_belt
from layfigure.draft.quick.limb import limb_recipes
from layfigure.draft.registry import DraftRequest, DraftResult, PieceKind, register
from layfigure.draft.round_edge import wrap_edge
from layfigure.draft.verdict import governing_measures, wrap_verdict
from layfigure.draft.window.cut_out import with_windows
from layfigure.draft.wrap.plan import AROUND
from layfigure.errors import DraftError


def draft_belt(request: DraftRequest) -> DraftResult:
    """Pieces of a belt: the strap, and its lining if asked.

    Raises DraftError for a line that does not go right round one region, or that runs off it.
    """
    options = request.options
    assert isinstance(options, BeltOptions)
    where = f"piece {request.statement.slug}"
    statement = request.statement
    if "line" not in statement.edges:
        raise DraftError("a belt needs its middle line.", where=where, advice="Add line = 'edge name'.")
    if statement.cloth not in request.cloths:
        raise DraftError(
            f"there is no material {statement.cloth!r}.", where=where, advice="Add it to materials.toml."
        )
    cloth = request.cloths[statement.cloth]
    edge = wrap_edge(request.placement.edges[statement.edges["line"]])
    if not edge.goes_round:
        raise DraftError(
            "the belt's line does not go right round.", where=where, advice="Close it, or mark its back too."
        )
    try:
        line = belt_line(request, options, edge, cloth)
    except DraftError as error:
        raise DraftError(error.what, where=error.where or where, advice=error.advice) from error
    checks = belt_checks(line, options.width)
    verdict = wrap_verdict(
        checks,
        form=request.form,
        cloth=cloth,
        measures=governing_measures(edge.region, float(edge.station.min()), float(edge.station.max())),
        spread=edge.spread,
        assumed=request.assumed,
    )
    note = belt_note(options, cloth, checks)
    strap = strap_piece(line, request, options, cloth, verdict=verdict, note=note)
    cut = with_windows(
        request,
        [strap, lining_piece(strap, line, options)] if options.lining else [strap],
        lambda: [
            belt_sheet(
                strap,
                line,
                edge,
                request.form.charts[edge.region],
                width=options.width,
                opens=AROUND[options.opens],
            )
        ],
    )
    pieces = list(cut.pieces)
    if options.buckled and options.keepers:
        pieces.append(keeper(strap, options.width, cloth, options.keepers))
    pieces.extend(drop(strap, options.width, cloth, one) for one in options.drops)
    return DraftResult(
        pieces=tuple(pieces),
        checks=tuple(replace(check, what=f"{strap.label}: {check.what}") for check in (*checks, *cut.checks)),
        items=belt_items(
            strap,
            width=options.width,
            buckle=options.buckled,
            overlap=options.overlap,
            drops=tuple(options.drops),
        ),
        worn=(worn_belt(request, options, edge, cloth),),
    )


KIND = register(
    PieceKind(
        name="belt",
        summary="a strap round the waist, hips or a limb: straight, shaped or slung",
        options=BeltOptions,
        draft=draft_belt,
        choices=belt_choices,
        edges={"line": "middle line of the belt, right round"},
        required=frozenset({"line"}),
        quick=limb_recipes("belt"),
        windows=True,
        backing=True,
    )
)
