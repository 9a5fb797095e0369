"""The shopping list: what is needed, what is on the shelf, what is left to buy, by packs, and its price."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from layfigure.materials.coating import Coating
from layfigure.materials.hardware import Hardware
from layfigure.materials.price import Price, PricedBy, misfit_words
from layfigure.materials.stock import Stock
from layfigure.materials.supply import Errand
from layfigure.shop.need import NOT_BOUGHT, Need

_ROUNDING = 1e-6
"""An amount that is a whole number of packs but for rounding takes no further pack."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ListLine:
    """One thing on the list.

    needed, on_shelf, to_buy : amounts in the unit of ``by``: length [mm], area [mm²], volume [ml] or count;
    to buy is rounded up to whole packs. packs : how many, of ``pack`` each; 0 where it is not sold by packs.
    price : of what is to be bought; None where nobody said. pieces : statements that need it. width : of a
    roll [mm], 0 for all else.
    """

    slug: str
    name: str
    sort: str
    by: PricedBy
    needed: float
    on_shelf: float
    to_buy: float
    packs: int = 0
    pack: float = 0.0
    price: float | None = None
    seller: str = ""
    errand: Errand = "shop"
    pieces: tuple[str, ...] = ()
    remark: str = ""
    width: float = 0.0


def with_remark(line: ListLine, remark: str) -> ListLine:
    """The line, with one more remark where something is to be bought."""
    if not remark or line.to_buy <= 0.0:
        return line
    return replace(line, remark=f"{line.remark}; {remark}" if line.remark else remark)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShoppingList:
    """All lines, those to buy first, and what they come to.

    not_laid : slugs of materials that could not be laid, so that no line says how much of them to buy.
    """

    lines: tuple[ListLine, ...]
    currency: str = ""
    not_laid: tuple[str, ...] = ()

    @property
    def to_buy(self) -> tuple[ListLine, ...]:
        """Lines of which something is to be bought."""
        return tuple(line for line in self.lines if line.to_buy > 0.0)

    @property
    def total(self) -> float:
        """Price of everything to buy that has one."""
        return sum(line.price or 0.0 for line in self.to_buy)

    @property
    def unpriced(self) -> tuple[str, ...]:
        """Names of what is to be bought and has no price, so that the total is too low."""
        return tuple(line.name for line in self.to_buy if line.price is None)

    def by_errand(self) -> dict[Errand, dict[str, tuple[ListLine, ...]]]:
        """What to buy, by errand and there by kind of seller, in the order of the list."""
        sorted_out: dict[Errand, dict[str, tuple[ListLine, ...]]] = {}
        for errand in ("shop", "post", "event"):
            # What has no seller stands last: it is bought wherever there is some.
            for line in sorted(self.to_buy, key=lambda line: not line.seller):
                if line.errand == errand:
                    sellers = sorted_out.setdefault(errand, {})
                    sellers[line.seller] = (*sellers.get(line.seller, ()), line)
        return sorted_out


@dataclass(frozen=True, slots=True, kw_only=True)
class _Offer:
    """How one thing is sold, whatever table describes it."""

    price: Price | None
    pack: float
    pack_is_one: bool
    seller: str
    errand: Errand
    on_shelf: float


def list_of(
    needs: Iterable[Need], stock: Stock, laid: Iterable[ListLine] = (), not_laid: Iterable[str] = ()
) -> ShoppingList:
    """The list of what is needed, with the lines of materials as they were laid before them."""
    lines = [*laid, *(_line(need, stock) for need in needs)]
    lines.sort(key=lambda line: (line.to_buy <= 0.0,))
    return ShoppingList(lines=tuple(lines), currency=stock.currency, not_laid=tuple(not_laid))


def packs_for(amount: float, pack: float) -> int:
    """How many packs hold an amount: none for nothing. pack : above 0, in the unit of the amount."""
    return max(0, math.ceil(amount / pack - _ROUNDING))


def _line(need: Need, stock: Stock) -> ListLine:
    offer = _offer(need, stock.coatings, stock.hardware)
    missing = 0.0 if need.source in NOT_BOUGHT else max(0.0, need.amount - offer.on_shelf)
    packs = packs_for(missing, offer.pack) if offer.pack > 0.0 else 0
    to_buy = packs * offer.pack if offer.pack > 0.0 else missing
    price = _price(need, offer, to_buy, packs)
    line = ListLine(
        slug=need.slug,
        name=need.name,
        sort=need.sort,
        by=need.by,
        needed=need.amount,
        on_shelf=min(offer.on_shelf, need.amount),
        to_buy=to_buy,
        packs=packs,
        pack=offer.pack,
        price=price,
        seller=offer.seller,
        errand="event" if need.source == "event" else "post" if need.source == "post" else offer.errand,
        pieces=need.pieces,
        remark=_remark(need),
    )
    return line if price is not None else with_remark(line, misfit_words(offer.price, need.by))


def _offer(need: Need, coatings: Mapping[str, Coating], hardware: Mapping[str, Hardware]) -> _Offer:
    if need.sort == "coating":
        coating = coatings[need.slug]
        return _Offer(
            price=coating.price,
            pack=coating.pack,
            pack_is_one=True,
            seller=coating.seller,
            errand=coating.errand,
            on_shelf=coating.on_shelf,
        )
    thing = hardware.get(need.slug, Hardware(slug=need.slug))
    return _Offer(
        price=thing.price,
        pack=thing.pack_length if need.by == "length" else float(thing.pack),
        pack_is_one=need.by == "length",
        seller=thing.seller,
        errand=thing.errand,
        on_shelf=thing.on_shelf,
    )


def _price(need: Need, offer: _Offer, to_buy: float, packs: int) -> float | None:
    """Price of what is bought, None where nobody said one that fits.

    A price "each" of something sold by the tin or by the metre is the price of a pack.
    """
    if to_buy <= 0.0:
        return 0.0
    if offer.price is None:
        return None if need.price is None else need.price * to_buy
    if offer.price.by == need.by:
        return offer.price.for_quantity(to_buy)
    if offer.price.by == "count" and offer.pack_is_one and packs:
        return offer.price.for_quantity(packs)
    return None


def _remark(need: Need) -> str:
    said = {
        "owned": "you have it",
        "printed": "to be printed",
        "altered": "to be altered",
        "made": "to be made",
    }
    return need.remark or said.get(need.source, "")
