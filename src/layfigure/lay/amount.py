"""What to buy for a layout: shrinkage, the maker's own margin, and the steps in which it is sold."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from layfigure.lay.layout import Layout, Section
from layfigure.materials.supply import Supply
from layfigure.units import LengthUnit, format_area, format_cloth_length, format_length, format_share

SMALL_YIELD, LARGE_YIELD = 0.7, 0.5
"""Share of a hide that ends in pieces: 70 % with small parts, 50 % with large ones in one piece. Published by
a seller of leather: gross = net / yield (TRADE 5)."""

SMALL_PART = 0.05e6
"""A part above this is a large one [mm²]: about a third by a sixth of a metre; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """How much of one cloth is needed.

    by : whether amounts are lengths [mm], whole sheets, or areas [mm²]. needed : with shrinkage and margin,
    beyond what the shelf meets. from_shelf : what the shelf meets, in the same unit. to_buy : needed, rounded
    up to what is sold. width : of the roll or sheet as it is sold [mm]. estimated : by a typical yield, not
    from a layout. remark : how it was found, in words.
    """

    by: Literal["length", "count", "area"]
    needed: float
    to_buy: float
    from_shelf: float = 0.0
    width: float = 0.0
    length: float = 0.0
    estimated: bool = False
    remark: str = ""


def roll_amount(layout: Layout, supply: Supply, width: float, unit: LengthUnit = "cm") -> Amount:
    """What to cut off a roll. width : as sold, selvedges and all [mm].

    Cloth shrinks before it is laid: a layout of 1.5 m in cloth that loses 5 % takes 1.58 m off the roll.
    """
    on_roll = sum(section.length for section in layout.sections if section.kind in ("single", "fold"))
    at_home = [section for section in layout.sections if section.kind == "sheet"]
    needed = on_roll / (1.0 - supply.shrinkage_along) * (1.0 + supply.margin)
    step = supply.pack_length or 1.0
    to_buy = math.ceil(needed / step - 1e-6) * step
    shelf = sum(section.width * _reach(section) for section in at_home) / max(layout.roll_width, 1.0)
    said = [f"laid on {format_length(on_roll, unit)}"] if on_roll else []
    if on_roll and supply.shrinkage_along:
        said.append(f"with {format_share(supply.shrinkage_along)} for shrinking")
    if on_roll and supply.margin:
        said.append(f"{format_share(supply.margin)} of your own margin")
    if at_home:
        said.append("the rest from the shelf" if on_roll else "all from the shelf")
    return Amount(
        by="length",
        needed=needed,
        to_buy=to_buy,
        from_shelf=shelf / (1.0 - supply.shrinkage_along),
        width=width,
        remark=", ".join(said),
    )


def _reach(section: Section) -> float:
    return max((float(outline[:, 0].max()) for outline in section.outlines()), default=0.0)


def sheet_amount(layout: Layout, supply: Supply, width: float) -> Amount:
    """How many sheets to buy."""
    bought = [section for section in layout.sections if not section.name.startswith("at home")]
    home = len(layout.sections) - len(bought)
    return Amount(
        by="count",
        needed=float(len(bought)),
        to_buy=float(len(bought)),
        from_shelf=float(home),
        width=width,
        length=supply.sheet_length,
        remark=f"{home} from the shelf" if home else "",
    )


def hide_amount(layout: Layout) -> Amount:
    """Area of the hides that were laid."""
    area = sum(section.area for section in layout.sections)
    return Amount(
        by="area",
        needed=area,
        to_buy=0.0,
        from_shelf=area,
        remark=f"laid on {len(layout.sections)} of your hides, {format_share(round(layout.density, 2))} used",
    )


def hide_estimate(net: float, largest: float, supply: Supply) -> Amount:
    """Area of leather to buy where no outline is at hand: net area over a typical yield.

    net : area of all parts; largest : of the largest part [mm²].
    """
    share = SMALL_YIELD if largest <= SMALL_PART else LARGE_YIELD
    needed = net / share * (1.0 + supply.margin)
    home = min(supply.shelf_area, needed)
    rest = needed - home
    to_buy = rest if not supply.area else math.ceil(rest / supply.area - 1e-6) * supply.area
    return Amount(
        by="area",
        needed=rest,
        to_buy=to_buy,
        from_shelf=home,
        estimated=True,
        remark=f"an estimate: {share * 100.0:.0f} % of a hide usually ends in "
        f"{'small' if share == SMALL_YIELD else 'large'} pieces; trace the hide for a layout",
    )


def amount_words(amount: Amount, unit: LengthUnit = "cm") -> str:
    """``buy 1.6 m of 150 cm``, ``buy 2 sheets of 100 × 60 cm``, ``buy 0.35 m2``; or that nothing is to be
    bought.
    """
    if amount.by == "length":
        if amount.to_buy <= 0.0:
            return "nothing to buy: the shelf has enough"
        return f"buy {format_cloth_length(amount.to_buy, unit)} of {format_length(amount.width, unit)}"
    if amount.by == "count":
        number = round(amount.to_buy)
        if not number:
            return "nothing to buy: the shelf has enough"
        size = f"{format_length(amount.length, unit)} × {format_length(amount.width, unit)}"
        return f"buy {number} {'sheet' if number == 1 else 'sheets'} of {size}"
    if amount.to_buy <= 0.0:
        return "nothing to buy: your hides are enough"
    area = format_area(amount.to_buy, "ft2" if unit == "in" else "m2")
    return f"buy about {area} of leather" if amount.estimated else f"buy {area} of leather"
