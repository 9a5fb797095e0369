"""The kind ``base``: owned paper patterns, compared for one wearer, and what to alter on the best.

Nothing new is drafted: the answer is a pattern, a size, and what to lengthen, shorten, spread or take in.
With a tracing of its pieces, the costume's edges and windows are drawn on them (``draft.base.marks``).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from layfigure.body.form import Form
from layfigure.body.measures import CATALOGUE
from layfigure.design.design import PieceStatement
from layfigure.draft.base.alter import edges_round
from layfigure.draft.base.alter_checks import alteration_checks
from layfigure.draft.base.fit import (
    Change,
    SizeFit,
    alteration,
    base_checks,
    blend,
    size_fits,
)
from layfigure.draft.base.marks import marked_pieces
from layfigure.draft.base.pattern import BasePattern
from layfigure.draft.registry import DraftRequest, DraftResult, PieceKind, register
from layfigure.errors import DraftError
from layfigure.piece.item import Item
from layfigure.piece.piece import Piece

MISSING_FEATURE = 0.05
"""A feature that a pattern lacks counts as much as being off by this share all over."""


class BaseOptions(BaseModel):
    """Options of an owned pattern, as written in costume.toml."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    patterns: Annotated[
        list[BasePattern], Field(min_length=1, max_length=40, description="patterns to choose from")
    ]
    wanted: list[Annotated[str, Field(max_length=60)]] = Field(
        [], description="features the piece should have, such as 'round neck'"
    )
    size: str = Field("", max_length=20, description="a size that is cut whatever fits best")


def draft_base(request: DraftRequest) -> DraftResult:
    """The pattern and size to cut, the changes to make, and why the others stayed behind.

    Raises DraftError where no table has a measure of the wearer, or a size is asked that no pattern has.
    """
    options, statement = request.options, request.statement
    assert isinstance(options, BaseOptions)
    where = f"piece {statement.slug}"
    cloth = request.cloths[statement.cloth]
    wearer = bare_measures(request.form)
    ranked = _ranked(options, [size_fits(pattern, wearer, cloth) for pattern in options.patterns], where)
    chosen = ranked[0][0]
    checks = base_checks(chosen, wearer, cloth)
    notes = [
        f"Cut {chosen.pattern.name} in size {chosen.size}.",
        *_blended(ranked[0]),
        *(
            alteration(change, edges_round(change.measure, chosen.pattern.seams_round))
            for change in chosen.changes
            if change.needed
        ),
        *(f"It has no {word}: that is yours to add." for word in _lacks(chosen.pattern, options.wanted)),
        *_guessed(chosen, request.form),
        *(_beside(fits[0], options.wanted) for fits in ranked[1:]),
    ]
    pieces: tuple[Piece, ...] = ()
    if statement.trace is not None:
        marked = marked_pieces(request, chosen, where)
        pieces = marked.pieces
        checks = (*checks, *alteration_checks(marked.alterations, chosen))
    item = Item(
        slug=f"pattern_{statement.slug}",
        name=chosen.pattern.name,
        source="owned",
        use=f"{statement.label or statement.slug.replace('_', ' ')}, size {chosen.size}",
    )
    return DraftResult(pieces=pieces, checks=checks, items=(item,), notes=tuple(notes))


def bare_measures(form: Form) -> dict[str, float]:
    """Measures by bare name [mm]; of a pair the larger, since both halves of a pattern are alike."""
    found: dict[str, float] = {}
    for name, measure in CATALOGUE.items():
        sizes = [form.measures[stored] for stored in measure.sided() if stored in form.measures]
        if sizes and measure.kind != "mass":
            found[name] = max(sizes)
    return found


def _ranked(options: BaseOptions, fitted: Sequence[list[SizeFit]], where: str) -> list[list[SizeFit]]:
    """Sizes of every pattern, the best pattern first; within one, a size that was asked for first."""
    if options.size:
        fitted = [
            sorted(fits, key=lambda fit: fit.size != options.size)
            for fits in fitted
            if any(fit.size == options.size for fit in fits)
        ]
        if not fitted:
            raise DraftError(
                f"no pattern has a size {options.size!r}.", where=where, advice="Leave size out."
            )
    usable = [fits for fits in fitted if fits[0].changes]
    if not usable:
        raise DraftError(
            "no size table has a measure that this wearer has.",
            where=where,
            advice="Write bust_girth, waist_girth or hip_girth of every size.",
        )

    def rank(fits: list[SizeFit]) -> float:
        lacking = len(_lacks(fits[0].pattern, options.wanted))
        return fits[0].misfit + MISSING_FEATURE * lacking

    return sorted(usable, key=rank)


def _lacks(pattern: BasePattern, wanted: Sequence[str]) -> list[str]:
    has = {feature.strip().lower() for feature in pattern.features}
    return [word for word in wanted if word.strip().lower() not in has]


def _blended(fits: Sequence[SizeFit]) -> list[str]:
    """Where another size is nearer, and which changes that saves."""
    by_size: dict[str, list[str]] = {}
    for measure, size in blend(fits).items():
        by_size.setdefault(size, []).append(measure.replace("_", " "))
    return [
        f"Or follow size {size} at the {' and '.join(places)}, and blend the lines over a hand's width."
        for size, places in by_size.items()
    ]


def _guessed(fit: SizeFit, form: Form) -> list[str]:
    """Measures that decided the choice and were never taken."""
    names = [
        change.measure.replace("_", " ")
        for change in fit.changes
        if any(stored in form.estimated for stored in CATALOGUE[change.measure].sided())
    ]
    return [f"Guessed, so take the tape first: {', '.join(names)}."] if names else []


def _beside(fit: SizeFit, wanted: Sequence[str]) -> str:
    """A pattern that was not chosen, in one line."""
    worst: Change = max(fit.changes, key=lambda change: abs(change.by) / change.of)
    lacks = _lacks(fit.pattern, wanted)
    said = f"{fit.pattern.name} would be size {fit.size}"
    if worst.needed:
        said += f", off by {abs(worst.by):.0f} mm at the {worst.measure.replace('_', ' ')}"
    return f"{said}{', without ' + ' and '.join(lacks) if lacks else ''}."


def _unused(statement: PieceStatement, _options: BaseModel) -> dict[str, str]:
    """Without a tracing there is nothing to draw a window on."""
    if statement.trace is not None:
        return {}
    return {"windows": "a bought pattern's pieces are not traced, so there is nothing to draw windows on."}


KIND = register(
    PieceKind(
        name="base",
        summary="an owned paper pattern: which to take, which size, and what to alter",
        options=BaseOptions,
        draft=draft_base,
        edges={f"line_{k}": "a line of the costume to carry onto its traced pieces" for k in range(1, 10)},
        reads_tracing=True,
        windows=True,
        unused=_unused,
    )
)
