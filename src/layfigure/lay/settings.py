"""How the maker wants pieces laid."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from layfigure.units import LengthUnit

Way = Literal["auto", "fold", "single"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LaySettings:
    """seconds : of search for all cloths together. way : cloth folded, single, or whichever takes less.

    width : of the roll as sold, where another than the cloth's own is asked about [mm]. seed, threads : of
    the
    search; a seed does not bring a result back. rounds : most orders our own placement tries, for tests.
    unit : that remarks are written in. again : search on though a stored layout holds.
    """

    seconds: float = 20.0
    way: Way = "auto"
    width: float | None = None
    seed: int = 0
    threads: int | None = None
    rounds: int | None = None
    again: bool = False
    unit: LengthUnit = "cm"
