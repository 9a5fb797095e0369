"""What a draft says, in the unit that its wearer's maker reads."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from typing import Any

from layfigure.draft.registry import Check, DraftResult
from layfigure.errors import UnitError
from layfigure.piece.item import Item
from layfigure.piece.piece import Piece
from layfigure.told_lengths import told_in
from layfigure.units import LengthUnit, parse_length


def result_told(
    result: DraftResult, unit: LengthUnit, options: Any, names: Collection[str] = ()
) -> DraftResult:
    """The same with every length in its sentences in that unit; numbers stay in mm.

    The maker's own words stay as she wrote them. options : of the statement, as written. names : of her
    materials.
    """
    if unit != "in":
        return result
    own = {*names, *_own_words(options)}
    keep = {words for words in own if told_in(unit, words) != words}

    def told(words: str) -> str:
        return told_in(unit, words, keep)

    def all_told(lines: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(told(line) for line in lines)

    def check(one: Check) -> Check:
        return replace(one, what=told(one.what), advice=told(one.advice))

    def item(one: Item) -> Item:
        return replace(one, name=told(one.name), use=told(one.use))

    def piece(one: Piece) -> Piece:
        reasons = tuple(
            replace(each, why=told(each.why), lifted_by=told(each.lifted_by)) for each in one.verdict.reasons
        )
        return replace(
            one,
            note=all_told(one.note),
            cautions=all_told(one.cautions),
            totals=tuple(replace(total, what=told(total.what)) for total in one.totals),
            lines=tuple(replace(line, label=told(line.label)) for line in one.lines),
            verdict=replace(one.verdict, reasons=reasons),
        )

    return replace(
        result,
        pieces=tuple(piece(one) for one in result.pieces),
        checks=tuple(check(one) for one in result.checks),
        items=tuple(item(one) for one in result.items),
        notes=all_told(result.notes),
        chosen=all_told(result.chosen),
    )


def _own_words(options: Any) -> Iterator[str]:
    """Names and sentences among options as written, bare lengths left out."""
    if isinstance(options, str):
        try:
            parse_length(options)
        except UnitError:
            if options.strip():
                yield options
    elif isinstance(options, Mapping):
        for value in options.values():
            yield from _own_words(value)
    elif isinstance(options, (list, tuple)):
        for value in options:
            yield from _own_words(value)
