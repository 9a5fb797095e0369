"""Hours that a piece takes, as far as makers' ranges go."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from layfigure.design.design import PieceStatement
from layfigure.shop.money_file import Hours, Money

USUAL: Mapping[tuple[str, str], Hours] = MappingProxyType(
    {
        ("knit", "leggings"): (4.0, 8.0),
        ("knit", "shorts"): (4.0, 8.0),
        ("knit", "bodysuit"): (10.0, 25.0),
        ("wrap", "boot"): (3.0, 6.0),
        ("wrap", ""): (3.0, 7.5),
        ("belt", ""): (4.0, 8.0),
        ("shell", "helm"): (20.0, 60.0),
        ("shell", "cup"): (15.0, 40.0),
    }
)
"""Kind and shape to hours for one: common practice, no source (a pair of bracers or boot covers halved)."""

BEGINNER = 2.0
"""A first costume takes twice as long; common practice, no source."""


def usual_hours(statement: PieceStatement) -> Hours | None:
    """The usual range for a piece like this, None where makers' ranges name none."""
    options = statement.options
    shape = "boot" if "boot" in options else options.get("garment", options.get("shape", ""))
    usual = USUAL.get((statement.kind, shape)) if isinstance(shape, str) else None
    return usual or USUAL.get((statement.kind, ""))


def hours_of(statement: PieceStatement, money: Money, material: str | None = None) -> Hours | None:
    """Hours for a piece: as the maker says, else the usual range; None where neither is known.

    material : slug of what it is made of, for the maker's own pace with it; by default as stated.
    """
    said = money.pieces.get(statement.slug)
    if said is not None and said.hours is not None:
        base, factor = said.hours, 1.0
        stated_pace = money.pace.get(statement.cloth or "", 1.0)
    else:
        usual = usual_hours(statement)
        if usual is None:
            return None
        base, factor = usual, BEGINNER if money.beginner else 1.0
        stated_pace = 1.0
    # Hours she states hold for the material she states: another one only changes the pace between them.
    pace = money.pace.get(material or statement.cloth or "", 1.0) / stated_pace
    return base[0] * factor * pace, base[1] * factor * pace


def hours_words(hours: Hours) -> str:
    """``20 to 60 h``."""
    least, most = (f"{value:.1f}".removesuffix(".0") for value in hours)
    return f"{least} h" if least == most else f"{least} to {most} h"
