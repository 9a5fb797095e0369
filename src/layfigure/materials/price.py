"""Prices as sellers write them: ``18.50 per m``, ``9.80 each``, ``4.20 per 50``."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from layfigure.errors import UnitError
from layfigure.units import AREAS, LENGTHS, VOLUMES

PricedBy = Literal["length", "area", "volume", "count"]

_PRICE = re.compile(r"(?P<amount>\d+(?:[.,]\d+)?)\s*(?:(?:per|/)\s*(?P<per>.+)|(?P<each>each|a piece))")
_COUNT = re.compile(r"(?P<count>\d+)(?:\s*(?:pieces|pcs))?")
_EXAMPLES = "Write it like '18.50 per m', '12 per m2', '9.80 each' or '4.20 per 50'."


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """What a quantity costs, in the maker's own currency.

    amount : for ``of``. of : length [mm], area [mm²], volume [ml] or count, as ``by`` says.
    """

    amount: float
    by: PricedBy
    of: float

    def for_quantity(self, quantity: float) -> float:
        """Price of a quantity in the unit of ``by``: [mm], [mm²], [ml] or a count."""
        return self.amount * quantity / self.of


PER: Mapping[PricedBy, str] = MappingProxyType(
    {"length": "length", "area": "area", "volume": "volume", "count": "piece"}
)


def misfit_words(price: Price | None, by: PricedBy) -> str:
    """Why a price says nothing of what is bought by another unit; empty where nobody said one."""
    if price is None:
        return ""
    return f"its price is by the {PER[price.by]}, and it is bought by the {PER[by]}: no price is counted"


def parse_price(text: str) -> Price:
    """A price from words. Raises UnitError for anything else, a bare number included.

    ``per`` takes a unit of length, area or volume, or a number of things; an amount before the unit is
    allowed, as in ``3.60 per 250 ml``.
    """
    if not isinstance(text, str):
        raise UnitError(f"price {text} does not say for how much.", advice=_EXAMPLES)
    found = _PRICE.fullmatch(text.strip().lower())
    if found is None:
        raise UnitError(f"price {text!r} cannot be read.", advice=_EXAMPLES)
    amount = float(found["amount"].replace(",", "."))
    if found["each"]:
        return Price(amount=amount, by="count", of=1.0)
    per = found["per"].strip()
    count = _COUNT.fullmatch(per)
    if count is not None:
        if int(count["count"]) == 0:
            raise UnitError(f"price {text!r} is for nothing.", advice=_EXAMPLES)
        return Price(amount=amount, by="count", of=float(count["count"]))
    if per in ("sheet", "hide", "piece"):
        return Price(amount=amount, by="count", of=1.0)
    by, of = _quantity(per, text)
    return Price(amount=amount, by=by, of=of)


def _quantity(per: str, text: str) -> tuple[PricedBy, float]:
    number = re.match(r"\d+(?:[.,]\d+)?", per)
    share = float(number[0].replace(",", ".")) if number else 1.0
    unit = per[number.end() :].strip() if number else per
    units: tuple[tuple[PricedBy, dict[str, float]], ...] = (
        ("length", dict(LENGTHS)),
        ("area", dict(AREAS)),
        ("volume", dict(VOLUMES)),
    )
    for by, known in units:
        if unit in known and share > 0.0:
            return by, share * known[unit]
    raise UnitError(f"price {text!r} is for something that cannot be read.", advice=_EXAMPLES)


def format_money(amount: float, currency: str = "") -> str:
    """``18.50 EUR``; two places, since a maker adds them up by eye."""
    if not math.isfinite(amount):
        raise UnitError("a price that is not a number cannot be written.")
    return f"{amount:.2f}{f' {currency}' if currency else ''}"
