"""``money.toml``: the budget, what an hour is worth, and what a piece costs to make or to buy."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, Field, WithJsonSchema

from layfigure.errors import FileError, UnitError
from layfigure.files.formats import up_to_date
from layfigure.files.nearest import did_you_mean
from layfigure.files.quantities import unit_reader
from layfigure.files.toml import TomlFile, parse_toml, read_toml
from layfigure.files.validation import validated
from layfigure.materials.supply_schema import Slug, Words

MONEY_FILE = "money.toml"

Hours = tuple[float, float]
"""From and to."""

_HOURS = re.compile(r"(\d+(?:[.,]\d+)?)(?:\s*(?:to|-|–)\s*(\d+(?:[.,]\d+)?))?\s*(?:h|hours?)")


def parse_hours(text: str) -> Hours:
    """Hours from ``35 h`` or ``20 to 60 h``. Raises UnitError."""
    found = _HOURS.fullmatch(text.strip().lower()) if isinstance(text, str) else None
    if found is None:
        raise UnitError(f"{text!r} are no hours.", advice="Write '35 h' or '20 to 60 h'.")
    least = float(found[1].replace(",", "."))
    most = float(found[2].replace(",", ".")) if found[2] else least
    if most < least:
        raise UnitError(f"{text!r} runs backwards.", advice="Write the fewest hours first.")
    return least, most


HoursField = Annotated[
    Hours,
    unit_reader(parse_hours),
    WithJsonSchema({"type": "string", "description": "hours of work", "examples": ["35 h", "20 to 60 h"]}),
]
Amount = Annotated[float, Field(ge=0.0, allow_inf_nan=False)]


class PieceMoney(BaseModel, extra="forbid"):
    """One piece: hours it takes, what it costs ready made, and what one needs to make it."""

    hours: HoursField | None = None
    buy: Amount | None = None
    tools: list[Words] = []
    skills: list[Words] = []


class MoneyFile(BaseModel, extra="forbid"):
    """The whole of ``money.toml`` but its ``format``."""

    budget: Amount | None = None
    rate: Amount | None = None
    tools: list[Words] = []
    skills: list[Words] = []
    beginner: bool = False
    pace: dict[Slug, Annotated[float, Field(gt=0.0, le=20.0)]] = {}
    pieces: dict[Slug, PieceMoney] = {}


@dataclass(frozen=True, slots=True, kw_only=True)
class Money:
    """What the maker said of money and time.

    budget : for materials, None where there is none. rate : what an hour of hers is worth to her. tools,
    skills : what she has. beginner : hours of the usual ranges count double. pace : by material, how many
    times as long it takes as usual. pieces : by statement.
    """

    budget: float | None = None
    rate: float | None = None
    tools: frozenset[str] = frozenset()
    skills: frozenset[str] = frozenset()
    beginner: bool = False
    pace: Mapping[str, float] = field(default_factory=dict)
    pieces: Mapping[str, PieceMoney] = field(default_factory=dict)


def read_money(path: Path) -> Money:
    """Raises FileError with the line. pieces are not held against a costume: see ``refuse_strangers``."""
    return _money(read_toml(path, what="the file of money"))


def parse_money(text: str, *, name: str = MONEY_FILE) -> Money:
    """As ``read_money``, from the text of a file."""
    return _money(parse_toml(text, name=name))


def of_each_side(money: Money, pieces: frozenset[str]) -> Money:
    """What is said of a piece that is made left and right, by its own name, said of each of the two.

    pieces : slugs of the costume's. What is said of one side alone stands before it.
    """
    said = dict(money.pieces)
    for slug in money.pieces:
        sides = [f"{slug}_{side}" for side in ("left", "right")]
        if slug not in pieces and pieces.issuperset(sides):
            said = dict.fromkeys(sides, said[slug]) | {k: v for k, v in said.items() if k != slug}
    return replace(money, pieces=said)


def refuse_strangers(money: Money, pieces: frozenset[str], materials: frozenset[str]) -> None:
    """Raise FileError for a piece or a material that the costume does not have."""
    for table, named, known in (("pieces", money.pieces, pieces), ("pace", money.pace, materials)):
        for slug in named:
            if slug not in known:
                raise FileError(
                    f"{table}.{slug} is not of this costume.",
                    where=MONEY_FILE,
                    advice=did_you_mean(slug, known) or "Take it out, or correct its name.",
                )


def _money(file: TomlFile) -> Money:
    data = up_to_date(file.data, "money", where=file.where("format"))
    typed = validated(MoneyFile, data, where=file.where)
    return Money(
        budget=typed.budget,
        rate=typed.rate,
        tools=frozenset(tool.lower() for tool in typed.tools),
        skills=frozenset(skill.lower() for skill in typed.skills),
        beginner=typed.beginner,
        pace=typed.pace,
        pieces=typed.pieces,
    )
