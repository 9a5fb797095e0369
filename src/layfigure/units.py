"""Quantities as makers type them, and back: ``41.3 cm``, ``16 1/4 in``, ``280 g/m2``, ``30 %``.

Inside, lengths are mm, areas mm², volumes ml, masses kg, areal masses g/m², tensions N/m, angles degrees
and shares plain fractions. A number without a unit is refused, with what to write instead: 36 may be inches
or centimetres.

The inch is 25.4 mm and the pound 0.45359237 kg exactly (international yard and pound agreement, 1959).
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Literal

from layfigure.errors import UnitError

LengthUnit = Literal["cm", "mm", "in", "m"]

INCH = 25.4
POUND = 0.45359237
OUNCE = POUND / 16.0
SQUARE_YARD = 0.9144**2

LENGTHS: Mapping[str, float] = MappingProxyType(
    {
        "mm": 1.0,
        "cm": 10.0,
        "m": 1000.0,
        "in": INCH,
        "inch": INCH,
        "inches": INCH,
        '"': INCH,
        "″": INCH,
        "”": INCH,
        "ft": 12 * INCH,
        "foot": 12 * INCH,
        "feet": 12 * INCH,
        "'": 12 * INCH,
        "′": 12 * INCH,
        "’": 12 * INCH,
        "yd": 36 * INCH,
        "yard": 36 * INCH,
        "yards": 36 * INCH,
    }
)
MASSES: Mapping[str, float] = MappingProxyType(
    {
        "kg": 1.0,
        "g": 0.001,
        "lb": POUND,
        "lbs": POUND,
        "oz": OUNCE,
        "st": 14 * POUND,
        "stone": 14 * POUND,
    }
)
AREAL_MASSES: Mapping[str, float] = MappingProxyType(
    {
        "g/m2": 1.0,
        "g/m²": 1.0,
        "gsm": 1.0,
        "kg/m2": 1000.0,
        "kg/m²": 1000.0,
        "oz/yd2": 1000.0 * OUNCE / SQUARE_YARD,
        "oz/yd²": 1000.0 * OUNCE / SQUARE_YARD,
    }
)
SHARES: Mapping[str, float] = MappingProxyType({"%": 0.01, "percent": 0.01})
TENSIONS: Mapping[str, float] = MappingProxyType({"N/m": 1.0, "N/cm": 100.0})
VOLUMES: Mapping[str, float] = MappingProxyType(
    {"ml": 1.0, "cl": 10.0, "l": 1000.0, "litre": 1000.0, "litres": 1000.0, "liter": 1000.0, "liters": 1000.0}
)
AREAS: Mapping[str, float] = MappingProxyType(
    {
        "m2": 1e6,
        "m²": 1e6,
        "cm2": 100.0,
        "cm²": 100.0,
        "mm2": 1.0,
        "mm²": 1.0,
        "ft2": (12 * INCH) ** 2,
        "ft²": (12 * INCH) ** 2,
        "yd2": (36 * INCH) ** 2,
        "yd²": (36 * INCH) ** 2,
    }
)
SPREADS: Mapping[str, float] = MappingProxyType({"m2/l": 1e3, "m²/l": 1e3, "cm2/ml": 100.0, "cm²/ml": 100.0})
USES: Mapping[str, float] = MappingProxyType({"ml/m2": 1e-6, "ml/m²": 1e-6, "l/m2": 1e-3, "l/m²": 1e-3})
"""What a coat takes for its area, which says a spread the other way round [ml/mm²]."""
ANGLES: Mapping[str, float] = MappingProxyType({"°": 1.0, "deg": 1.0, "degrees": 1.0})

_NUMBER = re.compile(
    r"""
    (?P<sign>[-+−]?)\s*
    (?:(?P<whole>\d+)\s+)?(?P<numerator>\d+)\s*[/⁄]\s*(?P<denominator>\d+)   # 16 1/4 or 3/8
    |(?P<decimal_sign>[-+−]?)\s*(?P<decimal>\d+(?:[.,]\d+)?|[.,]\d+)          # 16.25 or 16,25
    """,
    re.VERBOSE,
)
_UNIT = re.compile(r"\s*(?P<unit>[^\d\s.,+−-][^\d\s,+−-]*[²2]?(?:/[^\d\s,+−-]+)?)")
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}


def parse_length(text: str) -> float:
    """A length [mm] from words such as ``41.3 cm``, ``413 mm``, ``16 1/4 in``, ``5 ft 6 in``, ``5' 6"``.

    A decimal comma is read as a point. Raises UnitError for a bare number, an unknown unit or two amounts
    that do not go together.
    """
    return _parse(text, "length", LENGTHS, ("cm", "in"), compound=(("ft", "in"), ("yd", "in"), ("m", "cm")))


def parse_mass(text: str) -> float:
    """A mass [kg] from ``62.5 kg``, ``450 g``, ``137 lb``, ``9 st 11 lb``. Raises UnitError."""
    return _parse(text, "mass", MASSES, ("kg", "lb"), compound=(("st", "lb"), ("lb", "oz")))


def parse_areal_mass(text: str) -> float:
    """Mass of a cloth per area [g/m²] from ``280 g/m2`` or ``8 oz/yd2``. Raises UnitError."""
    return _parse(text, "mass per area", AREAL_MASSES, ("g/m2", "oz/yd2"))


def parse_share(text: str) -> float:
    """A share of the whole from ``30 %`` (0.3). Raises UnitError for a bare number."""
    # 95 % is 0.95 and not its neighbour in binary.
    return round(_parse(text, "share", SHARES, ("%",)), 12)


def parse_tension(text: str) -> float:
    """A tension of cloth per width [N/m] from ``20 N/m``. Raises UnitError."""
    return _parse(text, "tension", TENSIONS, ("N/m",))


def parse_angle(text: str) -> float:
    """An angle [degrees] from ``35°`` or ``35 deg``. Raises UnitError."""
    return _parse(text, "angle", ANGLES, ("deg",))


def parse_volume(text: str) -> float:
    """A volume [ml] from ``250 ml`` or ``0.5 l``. Raises UnitError."""
    return _parse(text, "volume", VOLUMES, ("ml", "l"))


def parse_area(text: str) -> float:
    """An area [mm²] from ``1.2 m2``, ``15 ft2``. Raises UnitError."""
    return _parse(text, "area", AREAS, ("m2", "ft2"))


def parse_spread(text: str) -> float:
    """The area that a millilitre covers [mm²/ml], from ``8 m2/l`` or, the other way round, ``125 ml/m2``.

    Raises UnitError, also where nothing would be covered.
    """
    says_use = isinstance(text, str) and re.search(r"l\s*/\s*m[2²]", text.lower()) is not None
    value = _parse(text, "coverage", USES if says_use else SPREADS, ("m2/l", "ml/m2"))
    if value <= 0.0:
        raise UnitError(f"coverage {text!r} covers nothing.", advice="Write it like '8 m2/l'.")
    return 1.0 / value if says_use else value


def format_length(length: float, unit: LengthUnit = "cm", *, denominator: int = 16) -> str:
    """A length [mm] as a maker reads it.

    Centimetres to the millimetre (``41.3 cm``), millimetres to a tenth, metres to the millimetre, inches as
    the nearest fraction of the given denominator (``16 1/4 in``).
    """
    if not math.isfinite(length):
        raise UnitError("a length that is not a number cannot be written.")
    if unit == "in":
        return f"{_mixed(length / INCH, denominator)} in"
    places = {"mm": 1, "cm": 1, "m": 3}[unit]
    return f"{_decimal(length / LENGTHS[unit], places)} {unit}"


def format_mass(mass: float, unit: Literal["kg", "g", "lb"] = "kg") -> str:
    """A mass [kg]: ``1.25 kg``, ``340 g``, ``2.8 lb``."""
    places = {"kg": 2, "g": 0, "lb": 1}[unit]
    return f"{_decimal(mass / MASSES[unit], places)} {unit}"


def format_areal_mass(areal_mass: float, unit: Literal["g/m2", "oz/yd2"] = "g/m2") -> str:
    """Mass of a cloth per area [g/m²]: ``280 g/m2`` or ``8.3 oz/yd2``."""
    places = {"g/m2": 0, "oz/yd2": 1}[unit]
    return f"{_decimal(areal_mass / AREAL_MASSES[unit], places)} {unit}"


def format_volume(volume: float) -> str:
    """A volume [ml]: ``250 ml``, and from a litre on ``1.25 l``."""
    return f"{_decimal(volume / 1000.0, 2)} l" if volume >= 1000.0 else f"{_decimal(volume, 0)} ml"


def format_area(area: float, unit: Literal["m2", "ft2"] = "m2") -> str:
    """An area [mm²]: ``1.25 m2``, ``13.5 ft2``."""
    return f"{_decimal(area / AREAS[unit], 2 if unit == 'm2' else 1)} {unit}"


def format_cloth_length(length: float, unit: LengthUnit = "cm") -> str:
    """A length to ask for in a shop [mm]: ``85 cm``, ``1.6 m``, in inches ``1.75 yd``. Never less than it is.

    Metric by whole centimetres; yards by eighths, as shops cut, and below half a yard inches.
    """
    if unit == "in":
        yards = math.ceil(length / 914.4 * 8.0 - 1e-6) / 8.0
        return f"{yards:g} yd" if yards >= 0.5 else format_length(length, "in")
    whole = math.ceil(length / 10.0 - 1e-6) * 10.0
    return format_length(whole, "m" if whole >= 1000.0 else "cm")


def format_share(share: float) -> str:
    """A share of the whole: 0.125 gives ``12.5 %``."""
    return f"{_decimal(100.0 * share, 1)} %"


def _decimal(value: float, places: int) -> str:
    """Rounded, without trailing zeros and never ``-0``."""
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _mixed(value: float, denominator: int) -> str:
    """A mixed number such as ``16 1/4``, ``3/8`` or ``0``, to the nearest fraction."""
    nearest = Fraction(round(value * denominator), denominator)
    sign = "-" if nearest < 0 else ""
    whole, rest = divmod(abs(nearest), 1)
    parts = [str(whole)] if whole or not rest else []
    if rest:
        parts.append(f"{rest.numerator}/{rest.denominator}")
    return sign + " ".join(parts)


def _parse(
    text: str,
    what: str,
    units: Mapping[str, float],
    offered: tuple[str, ...],
    *,
    compound: tuple[tuple[str, str], ...] = (),
) -> float:
    """Value of one or two amounts in the units given.

    Two amounts add up only in the pairs of ``compound``, as feet before inches and stones before pounds.
    Raises UnitError.
    """
    if not isinstance(text, str):
        raise UnitError(
            f"{what} {text} has no unit.", advice=f"Write {_offers(str(text), offered)}, in quotes."
        )
    amounts = _amounts(text, what, units, offered)
    if len(amounts) == 1:
        number, unit = amounts[0]
        return number * units[unit]
    if len(amounts) == 2:
        (number, unit), (rest, rest_unit) = amounts
        if (units[unit], units[rest_unit]) in {(units[large], units[small]) for large, small in compound}:
            if number < 0 or rest < 0 or rest * units[rest_unit] >= units[unit]:
                raise UnitError(
                    f"{what} {text!r} does not add up.", advice=f"Write one amount in '{offered[-1]}'."
                )
            return number * units[unit] + rest * units[rest_unit]
    raise UnitError(f"{what} {text!r} holds more than one amount.", advice="Write one number and one unit.")


def _amounts(
    text: str, what: str, units: Mapping[str, float], offered: tuple[str, ...]
) -> list[tuple[float, str]]:
    """Every number with its unit, in the order written."""
    rest = text.strip()
    for sign, spelled in _VULGAR.items():
        rest = re.sub(rf"(?<=\d)\s*{sign}", f" {spelled}", rest).replace(sign, spelled)
    amounts: list[tuple[float, str]] = []
    while rest:
        number = _NUMBER.match(rest)
        if number is None:
            raise UnitError(
                f"{what} {text!r} is not a number and a unit.",
                advice=f"Write it like {_offers('12', offered)}.",
            )
        rest = rest[number.end() :]
        if rest[:1] in (".", ","):
            raise UnitError(
                f"{what} {text!r} has two decimal marks.", advice="Write thousands without a mark."
            )
        unit = _UNIT.match(rest)
        if unit is None:
            raise UnitError(
                f"{what} {text!r} has no unit.", advice=f"Write {_offers(text.strip(), offered)}."
            )
        name = _known_unit(unit["unit"], units)
        if name is None:
            raise UnitError(
                f"{what} {text!r} has the unit {unit['unit']!r}, which is not one of this kind.",
                advice=f"Use {', '.join(dict.fromkeys([*offered, *list(units)[:4]]))}.",
            )
        amounts.append((_value(number, text, what), name))
        rest = rest[unit.end() :].lstrip()
    if not amounts:
        raise UnitError(f"{what} is empty.", advice=f"Write it like {_offers('12', offered)}.")
    return amounts


def _known_unit(name: str, units: Mapping[str, float]) -> str | None:
    """The unit as we spell it; case matters only where two differ by nothing else."""
    bare = name.rstrip(".")
    if bare in units:
        return bare
    return next((unit for unit in units if unit.lower() == bare.lower()), None)


def _value(number: re.Match[str], text: str, what: str) -> float:
    """The number matched: a decimal, or a fraction with or without a whole part."""
    if number["decimal"] is not None:
        size = float(number["decimal"].replace(",", "."))
        return -size if number["decimal_sign"] in ("-", "−") else size
    if int(number["denominator"]) == 0:
        raise UnitError(f"{what} {text!r} divides by nothing.", advice="Write the fraction again.")
    size = int(number["whole"] or 0) + int(number["numerator"]) / int(number["denominator"])
    return -size if number["sign"] in ("-", "−") else size


def _offers(number: str, offered: tuple[str, ...]) -> str:
    """``'36 cm' or '36 in'``."""
    return " or ".join(f"'{number} {unit}'" for unit in offered)
