"""What to buy, in the words of the report."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from layfigure.materials.price import format_money
from layfigure.shop.buying import Buying, budget_words
from layfigure.shop.hours import hours_words
from layfigure.shop.make_or_buy import MakeOrBuy
from layfigure.shop.shopping_list import ListLine
from layfigure.shop.words import ERRANDS, amount_words, to_buy_words
from layfigure.told_lengths import told_in
from layfigure.units import LengthUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class LineWords:
    """One row of the list."""

    ask: str
    name: str
    needed: str
    at_home: str
    price: str
    pieces: str
    remark: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ErrandWords:
    """What one kind of seller has, on one errand."""

    where: str
    seller: str
    lines: tuple[LineWords, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceWords:
    """One piece, weighed up."""

    label: str
    mass: str
    materials: str
    hours: str
    making: str
    ready: str
    answer: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BuyingWords:
    """All of it. over : the list costs more than the budget."""

    sum: str
    over: bool
    errands: tuple[ErrandWords, ...]
    at_home: tuple[str, ...]
    refused: tuple[str, ...]
    pieces: tuple[PieceWords, ...]
    cautions: tuple[str, ...] = ()


def buying_words(buying: Buying, unit: LengthUnit, names: Mapping[str, str]) -> BuyingWords:
    """All of it in words. names : labels of statements by slug."""
    shopping, budget = buying.shopping, buying.money.budget
    return BuyingWords(
        sum=budget_words(shopping, buying.money),
        over=budget is not None and shopping.total > budget,
        errands=tuple(
            ErrandWords(
                where=ERRANDS[errand].capitalize(),
                seller=seller,
                lines=tuple(_line(line, unit, names, shopping.currency) for line in lines),
            )
            for errand, sellers in shopping.by_errand().items()
            for seller, lines in sellers.items()
        ),
        at_home=tuple(line.name for line in shopping.lines if line.to_buy <= 0.0),
        refused=tuple(str(error) for error in buying.laid.refused.values()),
        pieces=tuple(_piece(one, buying) for one in buying.weighed),
        cautions=buying.cautions,
    )


def _line(line: ListLine, unit: LengthUnit, names: Mapping[str, str], currency: str) -> LineWords:
    return LineWords(
        ask=to_buy_words(line, unit),
        name=told_in(unit, line.name) if _by_its_slug(line) else line.name,
        needed=amount_words(line.needed, line.by, unit),
        at_home=amount_words(line.on_shelf, line.by, unit) if line.on_shelf > 0.0 else "",
        price="no price" if line.price is None else format_money(line.price, currency),
        pieces=", ".join(dict.fromkeys(names.get(slug, slug.replace("_", " ")) for slug in line.pieces)),
        remark=line.remark,
    )


def _by_its_slug(line: ListLine) -> bool:
    """Whether nobody named it: what a maker calls her things stays as she wrote it."""
    return line.name.replace(" mm", "mm").replace(" ", "_") == line.slug


def _piece(one: MakeOrBuy, buying: Buying) -> PieceWords:
    currency = buying.shopping.currency
    cost = buying.costs[one.slug]
    making = "" if one.making is None else " to ".join(f"{value:.0f}" for value in dict.fromkeys(one.making))
    return PieceWords(
        label=one.label,
        mass=f"{cost.mass:.0f} g" if cost.mass >= 1.0 else "",
        materials=format_money(one.materials, currency) + ("+" if cost.unpriced else ""),
        hours="" if one.hours is None else hours_words(one.hours),
        making=f"{making} {currency}".strip() if making else "",
        ready="" if one.buying is None else format_money(one.buying, currency),
        answer="" if one.answer == "cannot say" else one.answer,
        why=one.why,
    )
