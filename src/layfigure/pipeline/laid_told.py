"""What laying a costume came to, told on a terminal and to programs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from layfigure.lay.amount import amount_words
from layfigure.lay.cutting_order import cutting_order
from layfigure.lay.laid import AllLaid, ClothLaid
from layfigure.lay.remnants import remnants_of
from layfigure.pipeline.work import Work
from layfigure.units import LengthUnit, format_length

if TYPE_CHECKING:
    pass


def laid_lines(laid: AllLaid, work: Work) -> list[str]:
    """What the terminal shows: a line a cloth, and the way that was not taken."""
    lines = []
    for slug, cloth in laid.cloths.items():
        buy = amount_words(cloth.amount, work.wearer.unit)
        kept = " (as laid before)" if cloth.reused else ""
        lines.append(f"{work.folder.cloths[slug].name}: {buy}{kept}")
        if cloth.amount.remark:
            lines.append(f"  {cloth.amount.remark}")
        words = _compared(cloth, work.wearer.unit)
        if words:
            lines.append(f"  {words}")
    return lines


def _compared(cloth: ClothLaid, unit: LengthUnit) -> str:
    ways = {one.way: one for one in cloth.alternatives}
    if len(ways) < 2 or ways["fold"].to_buy == ways["single"].to_buy:
        return ""
    name = {"fold": "folded", "single": "single"}
    less, more = sorted(ways.values(), key=lambda one: one.length)
    said = (format_length(one.to_buy, "m" if unit != "in" else "in") for one in (less, more))
    return f"{name[less.way]}: {next(said)}; {name[more.way]}: {next(said)}"


def laid_as_data(laid: AllLaid) -> dict[str, Any]:
    """The answer for programs: sizes in millimetres."""
    return {
        "cloths": {slug: _cloth_as_data(cloth) for slug, cloth in laid.cloths.items()},
        "refused": {slug: {"what": e.what, "advice": e.advice} for slug, e in laid.refused.items()},
    }


def _cloth_as_data(cloth: ClothLaid) -> dict[str, Any]:
    layout, amount = cloth.layout, cloth.amount
    return {
        "sold_as": layout.sold_as,
        "by": amount.by,
        "needed": amount.needed,
        "to_buy": amount.to_buy,
        "from_shelf": amount.from_shelf,
        "width": amount.width,
        "estimated": amount.estimated,
        "remark": amount.remark,
        "length": layout.length,
        "bound": layout.bound,
        "density": layout.density,
        "seconds": layout.seconds,
        "reused": cloth.reused,
        "sections": [
            {
                "kind": section.kind,
                "name": section.name,
                "width": section.width,
                "length": section.length,
                "density": section.density,
                "remnants": [
                    {"length": left.length, "width": left.width, "layers": left.layers}
                    for left in remnants_of(section)
                ],
            }
            for section in layout.sections
        ],
        "cutting_order": [step.words for step in cutting_order(layout)],
    }
