"""Mass per area from what a maker can weigh: a swatch of cloth, or a sheet on kitchen scales."""

from __future__ import annotations

import re

from layfigure.errors import UnitError
from layfigure.units import parse_areal_mass, parse_length, parse_mass

_WEIGHED = re.compile(
    r"(?P<long>.+?)\s*(?:x|×|by)\s*(?P<wide>.+?)\s+(?:weighs?|weighed|is|are)\s+(?P<mass>.+)"
)
_EXAMPLES = "Write '280 g/m2' or '10 cm x 10 cm weighs 2.8 g'."
_SCALES_STEP = 1.0
"""Kitchen scales read whole grams [g]; common practice, no source."""
_FINE_ENOUGH = 0.05
"""A reading that may be this far off, as a share, is worth a word."""


def areal_mass_of(long: float, wide: float, mass: float) -> float:
    """Mass per area [g/m²] of a rectangle of two sides [mm] and a mass [kg]. Raises UnitError for none."""
    if long <= 0.0 or wide <= 0.0 or mass <= 0.0:
        raise UnitError("a swatch needs two sides and a mass above nothing.", advice=_EXAMPLES)
    return mass * 1000.0 / (long * wide * 1e-6)


Swatch = tuple[float, float]
"""Sides of what was weighed [mm]."""


def parse_weighed(text: str) -> tuple[float, Swatch | None]:
    """Mass per area [g/m²] of ``280 g/m2``, or of ``10 cm x 10 cm weighs 2.8 g`` with the swatch weighed.

    Raises UnitError for anything else.
    """
    if not isinstance(text, str):
        raise UnitError(f"mass per area {text} has no unit.", advice=_EXAMPLES)
    weighed = _WEIGHED.fullmatch(text.strip().lower())
    if weighed is None:
        return parse_areal_mass(text), None
    sides = parse_length(weighed["long"]), parse_length(weighed["wide"])
    return areal_mass_of(*sides, parse_mass(weighed["mass"])), sides


def sure_to(long: float, wide: float, areal_mass: float, *, step: float = _SCALES_STEP) -> float:
    """How far off the mass per area may be by the step of the scales [g], as a share of it."""
    return 0.5 * step / (areal_mass * long * wide * 1e-6)


def larger_swatch(long: float, wide: float, areal_mass: float, *, step: float = _SCALES_STEP) -> float | None:
    """Side of the square to weigh instead [mm], where the scales are too coarse for this one; else None."""
    if sure_to(long, wide, areal_mass, step=step) <= _FINE_ENOUGH:
        return None
    side = (0.5 * step / (_FINE_ENOUGH * areal_mass * 1e-6)) ** 0.5
    return float(-(-side // 50.0) * 50.0)
