"""Closures, trims and other small things, bought by count or by length."""

from __future__ import annotations

from dataclasses import dataclass

from layfigure.materials.price import Price
from layfigure.materials.supply import Errand


@dataclass(frozen=True, slots=True, kw_only=True)
class Hardware:
    """One small thing, under the name that the pieces ask for it by.

    pack : how many are sold at once; pack_length : how much, of what comes by length [mm]. mass : of one, or
    of a metre [g]. on_shelf : how many the maker has, or how much of it [mm].
    """

    slug: str
    name: str = ""
    price: Price | None = None
    pack: int = 1
    pack_length: float = 0.0
    mass: float | None = None
    seller: str = ""
    errand: Errand = "shop"
    on_shelf: float = 0.0
