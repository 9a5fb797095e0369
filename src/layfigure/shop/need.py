"""What the pieces of a costume need, before anything is bought: one entry a thing, and who needs it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from layfigure.draft.registry import DraftResult
from layfigure.materials.price import PricedBy
from layfigure.materials.stock import Stock
from layfigure.piece.item import Item, Source
from layfigure.piece.piece import Piece
from layfigure.shop.piece_area import glued_area, worn_area
from layfigure.units import format_share

Sort = Literal["material", "coating", "hardware"]

NOT_BOUGHT: frozenset[Source] = frozenset({"owned", "printed", "altered", "made"})
GLUE_COATS = 1
"""Each of the two edges that meet is a piece's own, and gets its coat; common practice, no source."""
SPILT = 0.15
"""Part of a paint or glue that stays in the brush, the cup and on the table; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """An amount of one thing.

    slug, name : what. sort : which table of ``materials.toml`` describes it. by : whether ``amount`` is a
    length [mm], an area [mm²], a volume [ml] or a count. pieces : statements that need it. source : where an
    item comes from. price : of one, as its piece states it, in the maker's currency. remark : how it was
    found.
    """

    slug: str
    name: str
    sort: Sort
    by: PricedBy
    amount: float
    pieces: tuple[str, ...]
    source: Source = "shop"
    price: float | None = None
    remark: str = ""


def coating_needs(drafts: Mapping[str, DraftResult], stock: Stock) -> list[Need]:
    """Paints, primers, sealers and glues, from the area of what gets them [ml]."""
    volumes: dict[str, float] = {}
    used_by: dict[str, dict[str, None]] = {}
    for statement, draft in drafts.items():
        for piece in draft.pieces:
            for slug, volume in _coats(piece, stock).items():
                if volume > 0.0:
                    volumes[slug] = volumes.get(slug, 0.0) + volume
                    used_by.setdefault(slug, {})[statement] = None
    return [
        Need(
            slug=slug,
            name=stock.coatings[slug].name,
            sort="coating",
            by="volume",
            amount=volume * (1.0 + SPILT),
            pieces=tuple(used_by[slug]),
            remark=f"with {format_share(SPILT)} for brush and cup",
        )
        for slug, volume in volumes.items()
    ]


def _coats(piece: Piece, stock: Stock) -> dict[str, float]:
    """What all copies of a piece take of every coating [ml]."""
    if piece.cloth not in stock.cloths:
        return {}
    supply = stock.supply(piece.cloth)
    taken: dict[str, float] = {}
    if supply.finish:
        taken = stock.finishes[supply.finish].volumes(piece.count * worn_area(piece), stock.coatings)
    if supply.glue:
        glue = GLUE_COATS * piece.count * glued_area(piece) / stock.coatings[supply.glue].spread
        taken[supply.glue] = taken.get(supply.glue, 0.0) + glue
    return taken


def item_needs(drafts: Mapping[str, DraftResult], stock: Stock) -> list[Need]:
    """Closures, trims and other items that the pieces name, like ones added up.

    An item is bought by length where the piece states one, and where nothing says that it comes ready made:
    a zip of 20 cm is one zip, while 20 cm of elastic is a length.
    """
    found: dict[tuple[str, bool, bool], list[tuple[str, Item]]] = {}
    for statement, draft in drafts.items():
        for item in draft.items:
            # One that is owned says nothing of a like one that is not.
            key = item.slug, by_length(item), item.source in NOT_BOUGHT
            found.setdefault(key, []).append((statement, item))
    return [_item_need(slug, long, uses, stock) for (slug, long, _), uses in found.items()]


def by_length(item: Item) -> bool:
    """Whether it is cut from a length; zips, and parts that are printed, owned or altered, have their own."""
    ready_made = item.slug.startswith("zip") or item.source in ("printed", "owned", "altered")
    return item.length is not None and not ready_made


def _common_name(slug: str, names: set[str]) -> str:
    """What its pieces call it; where each calls it something else (an upper strap, a lower), by its slug."""
    if len(names) == 1:
        return next(iter(names))
    return re.sub(r"(\d)mm\b", r"\1 mm", slug.replace("_", " "))


def _item_need(slug: str, long: bool, uses: Iterable[tuple[str, Item]], stock: Stock) -> Need:
    uses = list(uses)
    amount = sum(item.count * (item.length or 0.0) if long else item.count for _, item in uses)
    prices = {item.price for _, item in uses}
    name = stock.hardware[slug].name if slug in stock.hardware else ""
    return Need(
        slug=slug,
        name=name or _common_name(slug, {item.name for _, item in uses}),
        sort="hardware",
        by="length" if long else "count",
        amount=float(amount),
        pieces=tuple(dict.fromkeys(statement for statement, _ in uses)),
        source=uses[0][1].source,
        price=prices.pop() if len(prices) == 1 else None,
    )
