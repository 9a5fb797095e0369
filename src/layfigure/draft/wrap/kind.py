"""The kind ``wrap``: a stiff sheet bent round a limb, a trunk or part of one, without stretching it.

Forearm guard, cuff, thigh band, shin plate, hand plate. The wrap is made of one to three bands that bend one
way only and clear the body, layers beneath included; slanted and pointed edges are drawn on the bands where
the design places them and laid flat exactly.
"""

from __future__ import annotations

from pydantic import BaseModel

from layfigure.design.design import PieceStatement
from layfigure.draft.kept_fields import joined_fields
from layfigure.draft.quick.limb import limb_recipes
from layfigure.draft.registry import Check, DraftRequest, DraftResult, PieceKind, Working, register
from layfigure.draft.wrap.beneath import NO_ROOM
from layfigure.draft.wrap.boot import draft_boot
from layfigure.draft.wrap.choices import wrap_choices
from layfigure.draft.wrap.plan import WrapOptions, wrap_plans
from layfigure.draft.wrap.sheet import draft_sheet
from layfigure.errors import DraftError
from layfigure.piece.item import Item
from layfigure.piece.piece import Piece
from layfigure.piece.worn import WornSurface


def draft_wrap(request: DraftRequest) -> DraftResult:
    """Pieces of a wrap.

    Raises DraftError for edges that do not bound one region, or that leave no room for a band.
    """
    options = request.options
    assert isinstance(options, WrapOptions)
    where = f"piece {request.statement.slug}"
    if options.boot is not None:
        try:
            return draft_boot(request, options.boot)
        except DraftError as error:
            raise DraftError(error.what, where=error.where or where, advice=error.advice) from error
    try:
        cloth = request.cloths[request.statement.cloth]
    except KeyError:
        raise DraftError(
            f"there is no material {request.statement.cloth!r}.",
            where=where,
            advice="Add it to materials.toml.",
        ) from None
    pieces: list[Piece] = []
    checks: list[Check] = []
    items: list[Item] = []
    worn: list[WornSurface] = []
    working: list[Working | None] = []
    try:
        for plan in wrap_plans(request, options):
            result = draft_sheet(plan, request, options, cloth)
            working.append(result.working)
            pieces.extend(result.pieces)
            checks.extend(result.checks)
            items.extend(result.items)
            worn.extend(result.worn)
    except DraftError as error:
        raise DraftError(error.what, where=error.where or where, advice=error.advice) from error
    return DraftResult(
        pieces=tuple(pieces),
        checks=tuple(checks),
        items=tuple(items),
        worn=tuple(worn),
        working=joined_fields(working),
    )


def _spared(options: BaseModel) -> frozenset[str]:
    assert isinstance(options, WrapOptions)
    return frozenset() if options.boot is None else frozenset({"bottom"})


def _reads_tracing(options: BaseModel) -> bool:
    """The sole of a shoe is read; any other tracing is an outline to cut by."""
    assert isinstance(options, WrapOptions)
    return options.boot is not None and options.boot.sole_traced


def _unused(statement: PieceStatement, options: BaseModel) -> dict[str, str]:
    assert isinstance(options, WrapOptions)
    if options.boot is not None:
        return dict.fromkeys(
            ("windows", "backing"), "a boot cover is drawn tight over a shoe and has no windows."
        ) | {"stiffener": "a boot cover bends with the foot and has no stiffener."}
    if options.lattice is not None:
        unused = dict.fromkeys(("windows", "backing"), "a lattice has its own openings.")
        return unused | ({} if options.lattice.apart else {"stiffener": NO_ROOM})
    if statement.windows:
        return {"stiffener": "a stiffener would show through the windows."}
    return {}


KIND = register(
    PieceKind(
        name="wrap",
        summary="a stiff sheet bent round a limb, neck or trunk: guard, cuff, band, collar, plate, lattice",
        options=WrapOptions,
        draft=draft_wrap,
        choices=wrap_choices,
        edges={
            "top": "upper edge, right round the limb, pointed or slanted",
            "bottom": "lower edge, right round the same limb; not for boot covers",
        },
        required=frozenset({"bottom", "top"}),
        spares=_spared,
        quick=limb_recipes("wrap"),
        cloths={"lining": "glued or basted inside", "stiffener": "a removable insert; not in boot covers"},
        windows=True,
        backing=True,
        unused=_unused,
        reads_tracing=_reads_tracing,
    )
)
