"""What a piece needs that is not cut from a pattern: bought, printed, altered or owned."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Source = Literal["shop", "post", "event", "owned", "printed", "altered", "made"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One line of what to have at hand.

    slug : what it is, shared by like items of other pieces so that they can be counted together, such as
    ``elastic_10mm``. name : as printed. count : how many. length : of each, cut from a roll [mm], None for
    a thing that is counted. mass : of each [g]. price : of each, in the maker's own currency; None where
    unknown. source : where it comes from. use : where it goes and how it is fixed, in plain words.
    """

    slug: str
    name: str
    count: int = 1
    length: float | None = None
    mass: float | None = None
    price: float | None = None
    source: Source = "shop"
    use: str = ""
