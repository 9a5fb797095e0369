"""What ``materials.toml`` may say of how things come and what they cost."""

from __future__ import annotations

import re
from typing import Annotated, Any

from pydantic import BaseModel, Field, WithJsonSchema

from layfigure.errors import UnitError
from layfigure.files.quantities import Area, ArealMass, Length, Mass, Share, Spread, Volume, unit_reader
from layfigure.materials.coating import CoatingKind
from layfigure.materials.price import Price, parse_price
from layfigure.materials.supply import Errand, Leftover, SoldAs
from layfigure.units import parse_length

Slug = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=60)]
Words = Annotated[str, Field(max_length=120)]

_LEFTOVER = re.compile(r"(?:(?P<count>\d+)\s*(?:pieces?|sheets?|of)\s*(?:of\s+)?)?(?P<sizes>.*)")
_COAT = re.compile(r"([a-z][a-z0-9_]*)(?:\s*(?:x|×|\*)\s*([1-9]\d?))?")
_LEFT = "Write '1.2 m' (the whole width), '60 cm x 40 cm' or '2 sheets of 60 cm x 40 cm'."


def parse_leftover(text: str) -> Leftover:
    """What is on the shelf, from ``1.2 m``, ``60 cm x 40 cm`` or ``3 pieces of 30 cm x 20 cm``.

    The first length runs along the grain. ``2 sheets`` alone are whole ones, of length 0. Raises UnitError.
    """
    if not isinstance(text, str):
        raise UnitError("what is on the shelf needs quotes and units.", advice=_LEFT)
    found = _LEFTOVER.fullmatch(text.strip().lower())
    assert found is not None  # everything in it may be empty
    count = int(found["count"] or 1)
    sizes = [size for size in re.split(r"\s*(?:x|×|by)\s*", found["sizes"]) if size]
    if len(sizes) > 2 or count < 1 or (not sizes and found["count"] is None):
        raise UnitError(f"{text!r} is not a size of something on the shelf.", advice=_LEFT)
    lengths = [parse_length(size) for size in sizes]
    if any(length <= 0.0 for length in lengths):
        raise UnitError(f"{text!r} has no size.", advice=_LEFT)
    return Leftover(
        length=lengths[0] if lengths else 0.0, width=lengths[1] if len(lengths) > 1 else None, count=count
    )


def _coat(text: str) -> tuple[str, int]:
    found = _COAT.fullmatch(text.strip()) if isinstance(text, str) else None
    if found is None:
        raise UnitError(f"{text!r} is not a coat.", advice="Write 'primer' or 'primer x 2'.")
    return found[1], int(found[2] or 1)


def _amount(text: Any) -> float:
    """A count, or a length [mm]."""
    if isinstance(text, int) and not isinstance(text, bool) and text >= 0:
        return float(text)
    if isinstance(text, str):
        return parse_length(text)
    raise UnitError("what is on the shelf is a number or a length.", advice="Write 12 or '3 m'.")


def _text(description: str, *examples: str) -> WithJsonSchema:
    return WithJsonSchema({"type": "string", "description": description, "examples": list(examples)})


PriceField = Annotated[
    Price, unit_reader(parse_price), _text("what it costs", "18.50 per m", "9.80 each", "4.20 per 50")
]
LeftoverField = Annotated[
    Leftover, unit_reader(parse_leftover), _text("what is at home", "1.2 m", "60 cm x 40 cm", "2 sheets")
]
CoatField = Annotated[
    tuple[str, int], unit_reader(_coat), _text("a coating and how many coats", "primer x 2")
]
AmountField = Annotated[
    float,
    unit_reader(_amount),
    WithJsonSchema(
        {"type": ["integer", "string"], "description": "how many, or how much", "examples": [12, "3 m"]}
    ),
]
Loss = Annotated[Share, Field(ge=0.0, le=0.5)]
"""Shrinkage or margin: more than half is no share of a cloth."""


class Bought(BaseModel, extra="forbid"):
    """What is said alike of everything that is bought."""

    price: PriceField | None = None
    seller: Words | None = None
    errand: Errand | None = None


class SupplyFields(Bought, extra="forbid"):
    """How one material comes."""

    sold_as: SoldAs | None = None
    sheet_length: Length | None = None
    selvedge: Length | None = None
    nap: bool | None = None
    repeat_along: Length | None = None
    repeat_across: Length | None = None
    shrinkage_along: Loss | None = None
    shrinkage_across: Loss | None = None
    margin: Loss | None = None
    pack_length: Length | None = None
    on_shelf: list[LeftoverField] | None = None
    hidden_use: bool | None = None
    area: Area | None = None
    shelf_area: Area | None = None
    outlines: list[Annotated[str, Field(max_length=200)]] | None = None
    poorest_zone: dict[Slug, Annotated[int, Field(ge=1, le=9)]] | None = None
    finish: Slug | None = None
    glue: Slug | None = None
    overhang: Length | None = None
    coverage: Annotated[Share, Field(gt=0.0, lt=1.0)] | None = None


class CoatingFile(Bought, extra="forbid"):
    """One coating."""

    kind: CoatingKind
    name: Words | None = None
    coverage: Spread
    build_up: Length = 0.0
    areal_mass: ArealMass = 0.0
    pack: Volume = 0.0
    on_shelf: Volume = 0.0
    solvent: bool = False
    source: Annotated[str, Field(max_length=1000)] = ""


class FinishFile(BaseModel, extra="forbid"):
    """One finish: its coats from the bottom up."""

    coats: Annotated[list[CoatField], Field(min_length=1)]
    sides: Annotated[int, Field(ge=1, le=2)] = 1


class HardwareFile(Bought, extra="forbid"):
    """One small thing, under the name that pieces ask for it by."""

    name: Words = ""
    pack: Annotated[int, Field(ge=1)] = 1
    pack_length: Length = 0.0
    mass: Mass | None = None
    on_shelf: AmountField = 0.0
    source: Annotated[str, Field(max_length=1000)] = ""
