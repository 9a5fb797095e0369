"""The kind ``pouch``: box, flat or roll, sized from what must fit in it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel

from layfigure.body.form import Form
from layfigure.design.design import PieceStatement
from layfigure.draft.circular.options import TURN
from layfigure.draft.hanging.fall import fall_from
from layfigure.draft.pouch.choices import pouch_choices
from layfigure.draft.pouch.contents import every_content
from layfigure.draft.pouch.lie import TOLD, front_carry
from layfigure.draft.pouch.make import MadePouch, joining, make_box, make_flat, make_roll
from layfigure.draft.pouch.options import PouchOptions
from layfigure.draft.pouch.quick import RECIPES
from layfigure.draft.pouch.shell import PouchPart
from layfigure.draft.pouch.worn import hung
from layfigure.draft.registry import DraftRequest, DraftResult, PieceKind, register
from layfigure.draft.sheet_practice import cautions_for
from layfigure.draft.verdict import wrap_verdict
from layfigure.draft.window.cut_out import CutPieces, with_windows
from layfigure.draft.window.sheet import Kept, Sheet
from layfigure.errors import DraftError
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Piece
from layfigure.piece.worn import WornSurface
from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]

TRIAL = "Sew a hand-wide trial seam in it, turn it through and load it,"


def draft_pouch(request: DraftRequest) -> DraftResult:
    """Parts of a pouch, checks that each thing fits, and what to buy. Raises DraftError for missing sizes."""
    options = request.options
    assert isinstance(options, PouchOptions)
    statement = request.statement
    where = f"piece {statement.slug}"
    cloth = request.cloth
    things = every_content(options.contents)
    make = {"box": make_box, "flat": make_flat, "roll": make_roll}[options.form]
    pouch = make(options, things, cloth, statement.slug, where)
    label = statement.label or statement.slug.replace("_", " ")
    placed = {role: request.placement.edges[slug] for role, slug in statement.edges.items()}
    verdict = wrap_verdict(
        pouch.checks,
        form=request.form,
        cloth=cloth,
        measures=(),
        spread=0.0,
        assumed=request.assumed,
        trial=TRIAL,
    )
    told = (*joining(cloth), *pouch.told)
    pieces = []
    for number, part in enumerate(pouch.parts):
        pieces.append(
            Piece(
                slug=f"{statement.slug}_{part.name}",
                label=f"{label}, {part.label}",
                kind=statement.kind,
                cloth=cloth.slug,
                edges=part.edges,
                grainline=part.grainline,
                totals=part.totals,
                verdict=verdict,
                count=part.count,
                lines=part.lines,
                note=(
                    f"Cut {part.count} from {cloth.name}.",
                    *part.note,
                    *(told if number == 0 else ()),
                ),
                cautions=cautions_for(cloth),
                layer=statement.layer,
                edition=request.edition,
                thickness=cloth.thickness,
            )
        )
    lining = statement.cloths.get("lining")
    if lining is not None:
        pieces += [
            _lined(piece, request.cloths[lining]) for piece in pieces if not piece.slug.endswith("_loop")
        ]
    place = _place(pouch, options, request.form, placed.get("line"), request.stack, request.folds)
    mesh = None if place is None else hung(pouch.solid, place, TURN[options.at])
    cut = _with_windows(request, options, pieces, pouch.parts, place, where)
    return DraftResult(
        pieces=cut.pieces,
        checks=tuple(replace(check, what=f"{label}: {check.what}") for check in (*pouch.checks, *cut.checks)),
        items=pouch.items,
        worn=() if mesh is None else (WornSurface(name=statement.slug, mesh=mesh, cloth=cloth.slug),),
    )


def _lined(piece: Piece, cloth: Cloth) -> Piece:
    """The same part for a lining, made up by itself and dropped in."""
    return replace(
        piece,
        slug=f"{piece.slug}_lining",
        label=f"{piece.label}, lining",
        cloth=cloth.slug,
        edges=tuple(
            replace(edge, seam=None if edge.seam is None else f"{edge.seam}_lining", notches=())
            for edge in piece.edges
        ),
        note=(
            f"Cut {piece.count} from {cloth.name}. Make up like the outside and drop it in, seams inward.",
        ),
        thickness=cloth.thickness,
    )


def _with_windows(
    request: DraftRequest,
    options: PouchOptions,
    pieces: list[Piece],
    parts: tuple[PouchPart, ...],
    place: Points | None,
    where: str,
) -> CutPieces:
    """The front with its windows, clear of what the flap covers."""
    if not request.statement.windows:
        return CutPieces(pieces=tuple(pieces))
    if place is None:
        raise DraftError(
            "it hangs on no line of the trunk, so nothing says where its windows lie.",
            where=where,
            advice="Add line = 'edge name' to its edges: the belt's line. Or leave windows out.",
        )
    front = next(number for number, part in enumerate(parts) if part.name == "front")
    corners = np.vstack([edge.curve for edge in pieces[front].edges])
    width, height = (float(size) for size in corners.max(axis=0))
    kept: tuple[Kept, ...] = ()
    if options.flap > 0.0:
        low = height * (1.0 - options.flap)
        flap = np.array([[0.0, low], [width, low], [width, height], [0.0, height]])
        kept = (Kept(what="what the flap covers", curve=flap, closed=True),)
    sheet = Sheet(
        slug=pieces[front].slug,
        edges=pieces[front].edges,
        carry=front_carry(place, TURN[options.at], width, height),
        kept=kept,
        told=TOLD,
    )
    return with_windows(request, pieces, lambda: [sheet])


def _place(
    pouch: MadePouch,
    options: PouchOptions,
    form: Form,
    line: PlacedEdge | None,
    stack: float,
    folds: float,
) -> Points | None:
    """Where the pouch hangs, the middle of its upper edge, (3,) [mm]; None without a line on the trunk."""
    if line is None or {at.region for at in line.at} != {"torso"}:
        return None
    fall = fall_from(form, line.line, clearance=stack, folds=folds)
    turn = TURN[options.at]
    rise = 0.5 * options.belt_width if pouch.loops is None else pouch.loops.rise(options.belt_width)
    low = max(float(np.ptp(pouch.solid.vertices[:, 2])) - rise, 0.0)
    place: Points = fall.at(turn, 0.0)
    # Upright, it rests on what stands out farthest behind it.
    out = np.linalg.norm(fall.at(turn, low)[:2] - fall.centre)
    direction = (place[:2] - fall.centre) / np.linalg.norm(place[:2] - fall.centre)
    place[:2] = fall.centre + out * direction
    place[2] += rise
    return place


def _unused(_statement: PieceStatement, options: BaseModel) -> dict[str, str]:
    assert isinstance(options, PouchOptions)
    if options.form != "roll":
        return {}
    return dict.fromkeys(("windows", "backing"), "a roll lies rolled up, and windows in it would not show.")


KIND = register(
    PieceKind(
        name="pouch",
        summary="a pouch sized from what must fit in it: box, flat, or a roll with pockets",
        options=PouchOptions,
        draft=draft_pouch,
        choices=pouch_choices,
        edges={"line": "the belt's line, so that the whole costume shows it hanging there"},
        quick=RECIPES,
        cloths={"lining": "made up by itself and dropped in"},
        windows=True,
        backing=True,
        unused=_unused,
    )
)
