"""What is wrong with a piece on any body, told before anything is computed or replaced."""

from __future__ import annotations

from layfigure.design.design import PieceStatement
from layfigure.draft.registry import find_kind, validated_options
from layfigure.errors import DraftError
from layfigure.files.nearest import did_you_mean


def refuse_slips(statement: PieceStatement, where: str = "") -> None:
    """Raise DraftError for a kind nobody knows, an option it does not have, an edge too many or too few."""
    where = where or f"piece {statement.slug}"
    try:
        kind = find_kind(statement.kind)
    except DraftError as error:
        raise DraftError(error.what, where=where, advice=error.advice) from error
    options = validated_options(kind, statement.options, where=where)
    needed = kind.needs(options) if statement.trace is None else frozenset()
    for role in sorted(needed - set(statement.edges)):
        raise DraftError(
            f"a {kind.name} needs the edge {role!r}: {kind.edges[role]}.",
            where=where,
            advice=f'Write edges = {{ {role} = "NAME OF AN EDGE" }}.',
        )
    for role in sorted(set(statement.edges) - set(kind.edges)):
        raise DraftError(
            f"a {kind.name} has no edge {role!r}.", where=where, advice=did_you_mean(role, kind.edges)
        )
