"""Pieces of one statement together in the report: what holds for all of them is said once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from layfigure.design.design import PieceStatement
from layfigure.draft.registry import DraftResult
from layfigure.piece.draw import Heading
from layfigure.piece.piece import Piece, Reason, VerdictLevel
from layfigure.report.piece_picture import piece_svg

WIDTH, HEIGHT = 210, 200
"""Room for the picture of one piece of several; one alone has more [px]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownPiece:
    """One piece and what holds for it alone.

    level : its verdict, None where the group has one. reasons : beside the group's. note : how to make it;
    empty where the group says it or ``as_of`` does. as_of : label of the piece whose note is its own too.
    """

    piece: Piece
    svg: str
    level: VerdictLevel | None
    reasons: tuple[Reason, ...]
    note: tuple[str, ...]
    as_of: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceGroup:
    """The pieces of one statement.

    level, reasons, note : of every one of them; None and empty where they differ. passed : checks that they
    passed together.
    """

    name: str
    kind: str
    pieces: tuple[ShownPiece, ...]
    level: VerdictLevel | None
    reasons: tuple[Reason, ...]
    note: tuple[str, ...]
    passed: tuple[str, ...]


def piece_groups(
    drafts: Mapping[str, DraftResult], statements: Sequence[PieceStatement], heading: Heading
) -> list[PieceGroup]:
    """A group for every statement that has pieces to cut, in their order."""
    names = {statement.slug: statement.called for statement in statements}
    return [
        _group(names.get(slug, slug.replace("_", " ").capitalize()), result, heading)
        for slug, result in drafts.items()
        if result.pieces
    ]


def _group(name: str, result: DraftResult, heading: Heading) -> PieceGroup:
    pieces = result.pieces
    levels, notes = {piece.verdict.level for piece in pieces}, {piece.note for piece in pieces}
    reasons = tuple(
        reason
        for reason in pieces[0].verdict.reasons
        if all(reason in piece.verdict.reasons for piece in pieces)
    )
    told: dict[tuple[str, ...], str] = {}
    shown = []
    for piece in pieces:
        first = told.setdefault(piece.note, piece.label)
        again = len(notes) == 1 or first != piece.label
        room = {} if len(pieces) == 1 else {"width": WIDTH, "height": HEIGHT}
        shown.append(
            ShownPiece(
                piece=piece,
                svg=piece_svg(piece, heading, **room),
                level=None if len(levels) == 1 else piece.verdict.level,
                reasons=tuple(reason for reason in piece.verdict.reasons if reason not in reasons),
                note=() if again else piece.note,
                as_of=first if again and len(notes) > 1 and piece.note else "",
            )
        )
    return PieceGroup(
        name=name,
        kind=pieces[0].kind,
        pieces=tuple(shown),
        level=pieces[0].verdict.level if len(levels) == 1 else None,
        reasons=reasons,
        note=pieces[0].note if len(notes) == 1 else (),
        passed=tuple(check.what for check in result.checks if check.passed),
    )
