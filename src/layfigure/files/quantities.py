"""Field types for file schemas: strings that carry a unit, read into our own units.

The private ones never repeat what was typed, because a wearer's sizes must not reach a message.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any

from pydantic import BeforeValidator, WithJsonSchema
from pydantic_core import PydanticCustomError

from layfigure.errors import UnitError
from layfigure.units import (
    parse_angle,
    parse_area,
    parse_areal_mass,
    parse_length,
    parse_mass,
    parse_share,
    parse_spread,
    parse_tension,
    parse_volume,
)


def unit_reader(parse: Callable[[Any], Any]) -> BeforeValidator:
    """What reads a field by ``parse``, whose UnitError is told with the field's line."""

    def read(value: Any) -> Any:
        try:
            return parse(value)
        except UnitError as error:
            raise PydanticCustomError("unit", "{reason}", {"reason": str(error)}) from error

    return BeforeValidator(read)


def _private_reader(parse: Callable[[str], float], examples: str) -> BeforeValidator:
    def read(value: Any) -> float:
        try:
            return parse(value)
        except UnitError:
            missing = not isinstance(value, str) or not any(letter.isalpha() for letter in value)
            fault = (
                "has no unit"
                if missing and not (isinstance(value, str) and "%" in value)
                else "cannot be read"
            )
            reason = f"the size {fault}. Write it in quotes with its unit, like {examples}."
            raise PydanticCustomError("unit", "{reason}", {"reason": reason}) from None

    return BeforeValidator(read)


def _text(description: str, *examples: str) -> WithJsonSchema:
    return WithJsonSchema({"type": "string", "description": description, "examples": list(examples)})


Length = Annotated[float, unit_reader(parse_length), _text("a length with its unit", "41.3 cm", "16 1/4 in")]
"""Length [mm]."""

Angle = Annotated[float, unit_reader(parse_angle), _text("an angle", "35 deg")]
"""Angle [degrees]."""

Mass = Annotated[float, unit_reader(parse_mass), _text("a mass", "450 g", "1 lb 4 oz")]
"""Mass of a thing [kg]."""

ArealMass = Annotated[float, unit_reader(parse_areal_mass), _text("mass per area", "280 g/m2", "8 oz/yd2")]
"""Mass per area [g/m²]."""

Share = Annotated[float, unit_reader(parse_share), _text("a share of the whole", "30 %")]
"""Share of the whole, 0.3 for 30 %."""

Tension = Annotated[float, unit_reader(parse_tension), _text("tension per width", "20 N/m")]
"""Tension of cloth per width [N/m]."""

Volume = Annotated[float, unit_reader(parse_volume), _text("a volume", "250 ml")]
"""Volume [ml]."""

Area = Annotated[float, unit_reader(parse_area), _text("an area", "1.8 m2", "18 ft2")]
"""Area [mm²]."""

Spread = Annotated[
    float, unit_reader(parse_spread), _text("area that a volume covers in one coat", "8 m2/l", "125 ml/m2")
]
"""Area covered by a millilitre [mm²/ml]."""

PrivateLength = Annotated[
    float,
    _private_reader(parse_length, "'41.3 cm' or '16 1/4 in'"),
    _text("a length with its unit", "41.3 cm", "16 1/4 in"),
]
"""Length of a wearer [mm]; errors never repeat it."""

PrivateMass = Annotated[
    float,
    _private_reader(parse_mass, "'62.5 kg' or '138 lb'"),
    _text("a mass with its unit", "62.5 kg", "138 lb"),
]
"""Mass of a wearer [kg]; errors never repeat it."""
