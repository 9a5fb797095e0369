"""What a stretched cloth presses on the body with, and what that feels like.

Laplace: pressure = tension / radius, the radius being that of a circle with the body's girth (AUTEX Res. J.,
doi 10.2478/aut-2020-0048; Xiong and Tao, Polymers 2018 10:663). The ranges are those of Anthropometry,
Apparel Sizing and Design, 2nd ed. 2020, p. 345: below 0.4 kPa negligible, 0.4 to 1.3 comfortable, 1.3 to 2.0
critical for casual wear, 2.0 to 3.3 for medical and shaping wear only, above 3.3 critical.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from math import pi
from typing import Literal

from layfigure.materials.cloth import Cloth

Feel = Literal["barely felt", "snug", "tight", "will mark the skin", "too tight to wear"]

TESTED_STRETCH = 0.15
"""Stretch at which a cloth's tension is stated."""

UNTESTED_TENSION = (30.0, 60.0, 120.0)
"""Least, likely and greatest tension [N/m] of an elastane knit at 15 % stretch, from memory, no source:
a guess that only a test of the cloth replaces."""

_LIMITS: tuple[tuple[float, Feel], ...] = (
    (0.4, "barely felt"),
    (1.3, "snug"),
    (2.0, "tight"),
    (3.3, "will mark the skin"),
)


FEELS: tuple[tuple[float, Feel], ...] = (*_LIMITS, (math.inf, "too tight to wear"))
"""Upper limits of pressure [kPa], and how what lies below feels."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pressure:
    """Pressure at one place [kPa]: likely, with the least and greatest it may be; how it feels."""

    least: float
    likely: float
    greatest: float

    @property
    def feel(self) -> Feel:
        """How the likely pressure feels."""
        return feel_of(self.likely)


def laplace_pressure(tension: float, girth: float) -> float:
    """Pressure [kPa] of a cloth under a tension [N/m] round a girth [mm]. Raises ValueError for no girth."""
    if girth <= 0.0:
        raise ValueError("a girth must be positive")
    # N/m over m is Pa; the girth's millimetres and the kilopascal cancel.
    return tension * 2.0 * pi / girth


def feel_of(pressure: float) -> Feel:
    """How a pressure [kPa] feels on soft flesh; over bone it is felt sooner."""
    for limit, feel in _LIMITS:
        if pressure < limit:
            return feel
    return "too tight to wear"


def worn_pressure(cloth: Cloth, worn_stretch: float, girth: float) -> Pressure:
    """Pressure of a cloth worn at a stretch (share of its rest length) round a girth [mm].

    Tension is taken in proportion to stretch from the one tested; a knit's real curve is softer at first, so
    this errs high below 15 % and low above it. An untested cloth gives a wide range.
    """
    stretch = max(worn_stretch, 0.0) / TESTED_STRETCH
    if cloth.tension is None:
        least, likely, greatest = (laplace_pressure(t * stretch, girth) for t in UNTESTED_TENSION)
        return Pressure(least=least, likely=likely, greatest=greatest)
    likely = laplace_pressure(cloth.tension * stretch, girth)
    return Pressure(least=0.8 * likely, likely=likely, greatest=1.25 * likely)
