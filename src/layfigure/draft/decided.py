"""What was decided about a piece, kept with it: by the maker, against the pictures, or by the tool itself."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from layfigure.draft.registry import DraftRequest, DraftResult

Choices = Callable[[DraftRequest, DraftResult], Mapping[str, str]]


def with_decisions(result: DraftResult, request: DraftRequest, choices: Choices | None) -> DraftResult:
    """The result with what was decided, which also stands at the end of the make note of its first piece.

    choices : of the kind that drafted it. Other pieces that share that note keep sharing it, so that it is
    printed once.
    """
    statement = request.statement
    open_points = {} if choices is None else choices(request, result)
    chosen = tuple(f"Not said: {what}, so {done}." for what, done in open_points.items())
    lines = (
        *(f"Decided: {line}" for line in statement.decisions),
        *(f"Meant to differ from the pictures: {line}" for line in statement.departures),
        *chosen,
    )
    first = result.pieces[0].note if result.pieces else ()
    return replace(
        result,
        pieces=tuple(
            replace(piece, note=(*piece.note, *lines)) if piece.note == first else piece
            for piece in result.pieces
        ),
        decisions=statement.decisions,
        departures=statement.departures,
        chosen=chosen,
    )
