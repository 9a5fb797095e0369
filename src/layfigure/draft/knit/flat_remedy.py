"""What to change where a close knit cannot be drafted as asked: each change is tried on that body."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from layfigure.draft.knit.options import KnitOptions
from layfigure.draft.registry import DraftRequest, DraftResult
from layfigure.errors import DraftError

ENOUGH = 2
"""So many changes that help are told."""
LESS_OFF = ("4 %", "0 %")
"""Reductions round the body that are tried."""


class NotFlat(DraftError):
    """A panel that cannot be laid flat as asked."""


class NoCollar(DraftError):
    """A neckline that no stand collar can be sewn to as asked."""


def with_what_helps(
    error: NotFlat | NoCollar, request: DraftRequest, draft: Callable[[DraftRequest], DraftResult]
) -> DraftError:
    """The refusal, with changes of the statement that let the garment be drafted, each tried alone; with its
    own advice where none does.
    """
    helping: list[str] = []
    for words, changed in _changes(error, request):
        try:
            draft(changed)
        except DraftError:
            continue
        helping.append(words)
        if len(helping) == ENOUGH:
            break
    if not helping:
        return DraftError(error.what, where=error.where, advice=error.advice)
    each = "either lets" if len(helping) > 1 else "it lets"
    do = "lie flat" if isinstance(error, NotFlat) else "be drafted"
    return DraftError(
        error.what,
        where=error.where,
        advice=f"Write {' or '.join(helping)}: {each} it {do}, as tried on this body.",
    )


def _changes(error: NotFlat | NoCollar, request: DraftRequest) -> Iterator[tuple[str, DraftRequest]]:
    """Changes as they are written in a costume file, and the requests so changed."""
    options = request.options
    assert isinstance(options, KnitOptions)
    round_neck: Mapping[str, Any] = {"neckline": "round"}
    for change in _options(options, error.where) if isinstance(error, NotFlat) else (round_neck,):
        yield _written(change), replace(request, options=options.model_copy(update=dict(change)))
    if isinstance(error, NotFlat):
        return
    seams = request.statement.seams
    for slug in seams:
        rest = tuple(other for other in seams if other != slug)
        yield f"seams = {list(rest)}", replace(request, statement=replace(request.statement, seams=rest))


def _options(options: KnitOptions, where: str) -> Iterator[Mapping[str, Any]]:
    """Options that change the panel at fault, least change of the garment first. where : its slug."""
    if where.startswith("sleeve"):
        # A short sleeve is little more than the round of its cap; nobody can divide it, but it can go on.
        if options.sleeve_length == "short":
            yield {"sleeve_length": "elbow"}
        yield {"sleeves": False}
    elif options.garment in ("leggings", "shorts"):
        yield {"panels_a_leg": 3 - options.panels_a_leg}
    else:
        yield from ({"seams": seams} for seams in ("princess", "plain") if seams != options.seams)
    yield from ({"reduction_round": share} for share in LESS_OFF)
    if options.neckline == "stand":
        yield {"neckline": "round"}
    if options.garment == "bodysuit":
        # Between the legs of somebody who sits there may be no room for one.
        yield {"garment": "top"}


def _written(change: Mapping[str, Any]) -> str:
    """As it stands in a costume file."""
    (name, value), *_ = change.items()
    if isinstance(value, bool):
        return f"{name} = {str(value).lower()}"
    return f"{name} = {value}" if isinstance(value, int) else f"{name} = {value!r}"
