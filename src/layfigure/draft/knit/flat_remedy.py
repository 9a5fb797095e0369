"""What to change where a panel of a close knit cannot be laid flat: each change is tried on that body."""

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


def with_what_helps(
    error: NotFlat, request: DraftRequest, draft: Callable[[DraftRequest], DraftResult]
) -> DraftError:
    """The refusal, with changes of options that let the garment be drafted, each tried alone; with its own
    advice where none does.
    """
    options = request.options
    assert isinstance(options, KnitOptions)
    helping: list[Mapping[str, Any]] = []
    for change in _changes(options, error.where):
        try:
            draft(replace(request, options=options.model_copy(update=dict(change))))
        except DraftError:
            continue
        helping.append(change)
        if len(helping) == ENOUGH:
            break
    if not helping:
        return DraftError(error.what, where=error.where, advice=error.advice)
    said = " or ".join(_written(change) for change in helping)
    each = "either lets" if len(helping) > 1 else "it lets"
    return DraftError(
        error.what, where=error.where, advice=f"Write {said}: {each} it lie flat, as tried on this body."
    )


def _changes(options: KnitOptions, where: str) -> Iterator[Mapping[str, Any]]:
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


def _written(change: Mapping[str, Any]) -> str:
    """As it stands in a costume file."""
    (name, value), *_ = change.items()
    if isinstance(value, bool):
        return f"{name} = {str(value).lower()}"
    return f"{name} = {value}" if isinstance(value, int) else f"{name} = {value!r}"
