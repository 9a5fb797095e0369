"""All that is known of buying a costume: the list, the layouts behind it, and what it comes to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from layfigure.design.design import PieceStatement
from layfigure.draft.registry import DraftResult
from layfigure.lay.laid import AllLaid
from layfigure.materials.price import format_money
from layfigure.materials.stock import Stock
from layfigure.piece.piece import Piece
from layfigure.shop.cost import PieceCost, piece_costs
from layfigure.shop.hidden_use import hidden_use_words
from layfigure.shop.make_or_buy import MakeOrBuy, weighed_up
from layfigure.shop.material_line import material_line
from layfigure.shop.money_file import Money
from layfigure.shop.need import coating_needs, item_needs
from layfigure.shop.shopping_list import ShoppingList, list_of, with_remark

SOLVENT = (
    "{names}: read the label and the safety data sheet, work outdoors or with air moving away from you, wear "
    "gloves and, where the label asks for it, a mask with the filter it names; keep it from flames, heat "
    "guns and sparks. Local rules come first."
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Buying:
    """What a costume on one wearer takes to buy.

    laid : every cloth as it was laid. costs : by statement. weighed : make or buy.
    """

    shopping: ShoppingList
    laid: AllLaid
    costs: Mapping[str, PieceCost]
    weighed: tuple[MakeOrBuy, ...]
    money: Money
    cautions: tuple[str, ...] = ()


def buying_of(
    statements: Sequence[PieceStatement],
    drafts: Mapping[str, DraftResult],
    laid: AllLaid,
    stock: Stock,
    money: Money,
) -> Buying:
    """From pieces and layouts to what to buy.

    A cloth that could not be laid has no line: ``laid.refused`` says why, and the total is too low.
    """
    cut: dict[str, list[Piece]] = {}
    for draft in drafts.values():
        for piece in draft.pieces:
            cut.setdefault(piece.cloth, []).append(piece)
    materials = [
        with_remark(
            material_line(slug, cloth.amount, stock, cloth.statements),
            hidden_use_words(slug, cut.get(slug, ()), stock),
        )
        for slug, cloth in laid.cloths.items()
    ]
    needs = [*coating_needs(drafts, stock), *item_needs(drafts, stock)]
    shopping = list_of(needs, stock, materials, not_laid=laid.refused)
    costs = piece_costs(drafts, shopping, stock)
    return Buying(
        shopping=shopping,
        laid=laid,
        costs=costs,
        weighed=weighed_up(statements, costs, money),
        money=money,
        cautions=cautions_of(shopping, stock),
    )


def budget_words(shopping: ShoppingList, money: Money) -> str:
    """What it comes to beside the budget, and what is not in it."""
    total = format_money(shopping.total, shopping.currency)
    words = f"{total} in all"
    if money.budget is not None:
        rest = money.budget - shopping.total
        amount = format_money(abs(rest), shopping.currency)
        words += f", {amount} {'left of' if rest >= 0.0 else 'over'} your budget"
    words += _left_out(len(shopping.unpriced), "thing has no price", "things have no price")
    words += _left_out(len(shopping.not_laid), "material could not be laid", "materials could not be laid")
    return f"{words}."


def _left_out(count: int, one: str, many: str) -> str:
    """That so many are not in the sum; nothing for none."""
    if not count:
        return ""
    return f"; {count} {one} and is not in it" if count == 1 else f"; {count} {many} and are not in it"


def cautions_of(shopping: ShoppingList, stock: Stock) -> tuple[str, ...]:
    """What to mind with what is on the list: the usual cautions, from memory of labels of such goods."""
    fumes = [
        line.name for line in shopping.lines if line.sort == "coating" and stock.coatings[line.slug].solvent
    ]
    return (SOLVENT.format(names=", ".join(fumes)),) if fumes else ()
