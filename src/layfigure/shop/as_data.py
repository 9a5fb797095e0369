"""The shopping list as plain data, for JSON: lengths [mm], areas [mm²], volumes [ml], masses [g]."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from layfigure.shop.buying import Buying
from layfigure.shop.instead import OneWay
from layfigure.shop.shopping_list import ListLine
from layfigure.shop.words import to_buy_words


def buying_as_data(buying: Buying) -> dict[str, Any]:
    """Everything but the layouts, which have a file of their own; no size of a wearer."""
    shopping, money = buying.shopping, buying.money
    return {
        "currency": shopping.currency,
        "total": round(shopping.total, 2),
        "budget": money.budget,
        "without_a_price": list(shopping.unpriced),
        "lines": [_line(line) for line in shopping.lines],
        "pieces": {
            slug: {
                "materials": round(cost.materials, 2),
                "without_a_price": list(cost.unpriced),
                "mass_g": round(cost.mass, 1),
                "cut_area_mm2": round(cost.area, 1),
            }
            for slug, cost in buying.costs.items()
        },
        "make_or_buy": [asdict(one) for one in buying.weighed],
        "not_laid": {slug: str(error) for slug, error in buying.laid.refused.items()},
        "cautions": list(buying.cautions),
    }


def one_way_as_data(way: OneWay) -> dict[str, Any]:
    """A piece in one material: mass [g], rigidity [µN·m], thickness [mm]."""
    return asdict(way)


def _line(line: ListLine) -> dict[str, Any]:
    return {
        "what": line.slug,
        "name": line.name,
        "sort": line.sort,
        "by": line.by,
        "needed": round(line.needed, 3),
        "on_shelf": round(line.on_shelf, 3),
        "to_buy": round(line.to_buy, 3),
        "ask_for": to_buy_words(line) if line.to_buy > 0.0 else "",
        "price": None if line.price is None else round(line.price, 2),
        "seller": line.seller,
        "errand": line.errand,
        "pieces": list(line.pieces),
        "remark": line.remark,
    }
