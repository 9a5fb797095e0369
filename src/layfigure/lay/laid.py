"""What laying one cloth has come to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from layfigure.errors import LayError
from layfigure.lay.amount import Amount
from layfigure.lay.layout import Layout
from layfigure.lay.settings import Way


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """Another way to lay the same cloth. width : of the roll as sold [mm]. length : laid; to_buy : off the
    roll [mm].
    """

    way: Way
    width: float
    length: float
    to_buy: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClothLaid:
    """One cloth.

    layout : verified; without sections where leather is only estimated. statements : that are cut from it.
    wanted : how many of each piece. alternatives : ways that were compared, the chosen one among them.
    reused : the stored layout held and nothing was searched.
    """

    layout: Layout
    amount: Amount
    statements: tuple[str, ...]
    wanted: Mapping[str, int]
    alternatives: tuple[Alternative, ...] = ()
    reused: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AllLaid:
    """Every cloth of a costume. refused : cloths that could not be laid, and why; the others stand."""

    cloths: Mapping[str, ClothLaid]
    refused: Mapping[str, LayError] = field(default_factory=dict)
