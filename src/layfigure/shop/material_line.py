"""A material as it was laid, as a line of the shopping list."""

from __future__ import annotations

from layfigure.lay.amount import Amount
from layfigure.materials.price import Price, PricedBy, misfit_words
from layfigure.materials.stock import Stock
from layfigure.shop.shopping_list import ListLine, with_remark


def material_line(slug: str, amount: Amount, stock: Stock, pieces: tuple[str, ...] = ()) -> ListLine:
    """The line of one material.

    amount : as laid, rounded up to what is sold. Priced by length, by area or each, whichever the seller
    states. pieces : statements cut from it.
    """
    supply, cloth = stock.supply(slug), stock.cloths[slug]
    if amount.by == "length":
        area = amount.to_buy * (amount.width or cloth.width)
    elif amount.by == "count":
        area = amount.to_buy * (amount.width or cloth.width) * (amount.length or supply.sheet_length)
    else:
        area = amount.to_buy
    hides = round(amount.to_buy / supply.area) if amount.by == "area" and supply.area > 0.0 else 0
    price = 0.0 if amount.to_buy <= 0.0 else _price(supply.price, amount.by, amount.to_buy, area, hides)
    line = ListLine(
        slug=slug,
        name=cloth.name,
        sort="material",
        by=amount.by,
        needed=amount.needed + amount.from_shelf,
        on_shelf=amount.from_shelf,
        to_buy=amount.to_buy,
        packs=hides,
        pack=supply.area if hides else 0.0,
        price=price,
        seller=supply.seller,
        errand=supply.errand,
        pieces=pieces,
        remark=amount.remark,
        width=amount.width,
    )
    return line if price is not None else with_remark(line, misfit_words(supply.price, amount.by))


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
