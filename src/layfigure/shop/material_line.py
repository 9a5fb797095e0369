"""A material as it was laid, as a line of the shopping list."""

from __future__ import annotations

from dataclasses import dataclass

from layfigure.materials.price import Price, PricedBy
from layfigure.materials.stock import Stock
from layfigure.materials.supply import SoldAs
from layfigure.shop.shopping_list import ListLine, packs_for

BY: dict[SoldAs, PricedBy] = {"roll": "length", "sheet": "count", "hide": "area"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """How much of one material a costume takes.

    slug : of the material. amount : to buy beyond what is on the shelf, with shrinkage and margin: length off
    the roll [mm], whole sheets, or area of hide [mm²]. from_shelf : part of the need that the shelf meets, in
    the same unit. pieces : statements cut from it. width : of the roll that it was laid on [mm]. remark : how
    it was found, in words.
    """

    slug: str
    amount: float
    from_shelf: float = 0.0
    pieces: tuple[str, ...] = ()
    width: float = 0.0
    remark: str = ""


def material_line(taken: Taken, stock: Stock) -> ListLine:
    """The line of a material, rounded up to what is sold.

    A roll is cut by the step it is sold in, sheets are whole, hides are sold by area, or whole where their
    area is stated. Priced by length, by area or each, whichever the seller states.
    """
    supply, cloth = stock.supply(taken.slug), stock.cloths[taken.slug]
    by = BY[supply.sold_as]
    width = taken.width or cloth.width
    pack = {"roll": supply.pack_length, "sheet": 1.0, "hide": supply.area}[supply.sold_as]
    packs = packs_for(taken.amount, pack) if pack > 0.0 else 0
    to_buy = packs * pack if pack > 0.0 else taken.amount
    if supply.sold_as == "roll":
        area = to_buy * width
    elif supply.sold_as == "sheet":
        area = to_buy * width * supply.sheet_length
    else:
        area = to_buy
    price = 0.0 if to_buy <= 0.0 else _price(supply.price, by, to_buy, area, packs if by == "area" else 0)
    return ListLine(
        slug=taken.slug,
        name=cloth.name,
        sort="material",
        by=by,
        needed=taken.amount + taken.from_shelf,
        on_shelf=taken.from_shelf,
        to_buy=to_buy,
        packs=packs,
        pack=pack,
        price=price,
        seller=supply.seller,
        errand=supply.errand,
        pieces=taken.pieces,
        remark=taken.remark,
    )


def _price(price: Price | None, by: PricedBy, to_buy: float, area: float, hides: int) -> float | None:
    """None where nobody said, or in a unit that does not fit what is sold."""
    if price is None:
        return None
    if price.by == by:
        return price.for_quantity(to_buy)
    if price.by == "area" and area > 0.0:
        return price.for_quantity(area)
    if price.by == "count" and hides:
        return price.for_quantity(hides)
    return None
