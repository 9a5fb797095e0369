"""What one piece costs: its share of the materials, and its maker's hours."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from layfigure.draft.registry import DraftResult
from layfigure.materials.stock import Stock
from layfigure.piece.item import Item
from layfigure.shop.need import NOT_BOUGHT, by_length, coating_needs, item_needs
from layfigure.shop.piece_area import cut_area, cut_mass, worn_area
from layfigure.shop.shopping_list import ShoppingList


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceCost:
    """One statement of the costume.

    materials : its share of what is bought, by area of cloth and by amount of the rest. unpriced : names of
    what it needs and nobody gave a price for, or that could not be laid, so that ``materials`` is too low.
    mass : as made, finishes and items counted as far as known [g]. area : of cloth as cut [mm²].
    """

    slug: str
    materials: float
    unpriced: tuple[str, ...]
    mass: float
    area: float


def piece_costs(
    drafts: Mapping[str, DraftResult], shopping: ShoppingList, stock: Stock
) -> dict[str, PieceCost]:
    """Every statement's share of the shopping list.

    A line is shared out among the statements that need it, by how much of it each takes. What lies on the
    shelf costs nothing: it is spent already.
    """
    shares = {slug: _takes(slug, draft, stock) for slug, draft in drafts.items()}
    costs: dict[str, PieceCost] = {}
    for slug, draft in drafts.items():
        price = 0.0
        unpriced = [
            stock.cloths[cloth].name for cloth in shopping.not_laid if ("material", cloth) in shares[slug]
        ]
        for line in shopping.to_buy:
            taken = shares[slug].get((line.sort, line.slug), 0.0)
            if taken <= 0.0:
                continue
            if line.price is None:
                unpriced.append(line.name)
                continue
            price += (
                line.price * taken / sum(other.get((line.sort, line.slug), 0.0) for other in shares.values())
            )
        costs[slug] = PieceCost(
            slug=slug,
            materials=price,
            unpriced=tuple(unpriced),
            mass=piece_mass(draft, stock),
            area=sum(piece.count * cut_area(piece) for piece in draft.pieces),
        )
    return costs


def piece_mass(draft: DraftResult, stock: Stock) -> float:
    """Mass of all that one statement makes, with finishes and those items whose mass is known [g]."""
    mass = cut_mass(draft.pieces, stock.cloths)
    for piece in draft.pieces:
        if piece.cloth in stock.cloths and stock.supply(piece.cloth).finish:
            finish = stock.finishes[stock.supply(piece.cloth).finish]
            mass += piece.count * worn_area(piece) * 1e-6 * finish.areal_mass(stock.coatings)
    return mass + sum(_item_mass(item, stock) for item in draft.items)


def _item_mass(item: Item, stock: Stock) -> float:
    """As its piece states it, else as its hardware does: of one, or of a metre; 0 where nobody said [g]."""
    if item.mass is not None:
        return item.count * item.mass
    mass = stock.hardware[item.slug].mass if item.slug in stock.hardware else None
    return item.count * (mass or 0.0) * ((item.length or 0.0) / 1000.0 if by_length(item) else 1.0)


def _takes(slug: str, draft: DraftResult, stock: Stock) -> dict[tuple[str, str], float]:
    """How much a statement takes of everything, by table and slug."""
    taken: dict[tuple[str, str], float] = {}
    for piece in draft.pieces:
        key = ("material", piece.cloth)
        taken[key] = taken.get(key, 0.0) + piece.count * cut_area(piece)
    alone = {slug: draft}
    for need in (*coating_needs(alone, stock), *item_needs(alone, stock)):
        if need.source in NOT_BOUGHT:
            continue
        key = (need.sort, need.slug)
        taken[key] = taken.get(key, 0.0) + need.amount
    return taken
