"""Amounts of the shopping list as a maker reads them."""

from __future__ import annotations

from layfigure.materials.price import PricedBy
from layfigure.shop.shopping_list import ListLine
from layfigure.units import LengthUnit, format_area, format_cloth_length, format_length, format_volume

ERRANDS = {"shop": "in a shop", "post": "by post", "event": "at the event"}


def amount_words(amount: float, by: PricedBy, unit: LengthUnit = "cm") -> str:
    """``1.6 m``, ``12``, ``250 ml``, ``0.8 m2``; in inches from half a yard on as yards."""
    if by == "count":
        return f"{amount:.0f}"
    if by == "volume":
        return format_volume(amount)
    if by == "area":
        return format_area(amount, "ft2" if unit == "in" else "m2")
    return format_cloth_length(amount, unit)


def to_buy_words(line: ListLine, unit: LengthUnit = "cm") -> str:
    """What to ask for: ``1.6 m``, ``2 packs of 50``, ``1 tin of 250 ml``, ``3 sheets``."""
    if line.sort == "material":
        if line.by == "count":
            return f"{line.to_buy:.0f} sheet{'' if line.to_buy == 1 else 's'}"
        if line.by == "area" and line.packs:
            hides = f"{line.packs} hide{'' if line.packs == 1 else 's'}"
            return f"{hides} of {amount_words(line.pack, 'area', unit)}"
        words = amount_words(line.to_buy, line.by, unit)
        return (
            f"{words} of {format_length(line.width, unit)}" if line.width and line.by == "length" else words
        )
    if line.packs and line.pack > 1.0:
        return f"{line.packs} x {amount_words(line.pack, line.by, unit)}"
    return amount_words(line.to_buy, line.by, unit)
