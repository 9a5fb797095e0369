"""Which way a colour lies from another, in words, and whether a dye can go there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from layfigure.colour.light import WAVES

Array = NDArray[np.float64]

LEAST = 0.5
"""Steps smaller than this are not worth a word [CIELAB]."""
BRIGHTER = 1.03
"""A band in which the target returns more light than this times the cloth's cannot be reached by dyeing."""
_BANDS = (("blue", 420.0, 490.0), ("green", 500.0, 570.0), ("red", 600.0, 670.0))

DYE_CAUTIONS = (
    (
        "Test first: dye a swatch of the same cloth, weighed, in the same strength; rinse, dry, and "
        "photograph it beside the target before anything else goes into the bath. Wet cloth looks darker."
    ),
    (
        "Dye by the fibre: acid dye for nylon, disperse for polyester; elastane does not bear long boiling"
        " (from memory). Read the maker's sheet."
    ),
    "Dye powder: a dust mask, gloves, no draught; pots and spoons that never serve food again.",
)
"""Said with every dye; the order of fibres is TRADE.md section 11, from memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Direction:
    """From a cloth to its target. steps : L*, a*, b*. words : the greatest first, lightness before colour.

    out_of_reach : bands of light the target returns more of, which no dye can add.
    """

    steps: tuple[float, float, float]
    words: tuple[str, ...]
    out_of_reach: tuple[str, ...]


def direction(cloth: ArrayLike, target: ArrayLike, cloth_best: Array, target_best: Array) -> Direction:
    """Which way the cloth must move. cloth, target : CIELAB; the rest their likeliest reflectances.

    Lightness comes first: of the three it is the first seen (thesis on facial thresholds by axis,
    pergamos.lib.uoa.gr 2990267: 0.12 lightness, 0.99 red-green, 1.15 yellow-blue).
    """
    step = np.asarray(target, dtype=np.float64) - np.asarray(cloth, dtype=np.float64)
    first = [(0, step[0])] if abs(step[0]) >= LEAST else []
    rest = sorted(((k, step[k]) for k in (1, 2) if abs(step[k]) >= LEAST), key=lambda item: -abs(item[1]))
    words = tuple(_word(k, value, float(np.asarray(cloth)[k])) for k, value in [*first, *rest])
    beyond = tuple(
        name
        for name, low, high in _BANDS
        if target_best[(low <= WAVES) & (high >= WAVES)].mean()
        > BRIGHTER * cloth_best[(low <= WAVES) & (high >= WAVES)].mean()
    )
    return Direction(steps=(float(step[0]), float(step[1]), float(step[2])), words=words, out_of_reach=beyond)


def _word(axis: int, step: float, start: float) -> str:
    """``less red by 4``: away from a hue it has is less of that, and not yet its opposite."""
    more, less = (("lighter", "darker"), ("redder", "greener"), ("yellower", "bluer"))[axis]
    if axis and start > 0.0 > step and start + step > -2.0:
        less = ("", "less red", "less yellow")[axis]
    if axis and start < 0.0 < step and start + step < 2.0:
        more = ("", "less green", "less blue")[axis]
    word = more if step > 0.0 else less
    return f"{word} by {abs(step):.0f}" if abs(step) >= 1.0 else f"a little {word}"


def dye_words(found: Direction) -> str:
    """One sentence: what the dye must do, or that it cannot."""
    if not found.words:
        return "No dye is needed."
    way = ", ".join(found.words)
    if not found.out_of_reach:
        return f"The dye must make it {way}."
    every = len(found.out_of_reach) == len(_BANDS)
    more = "more light of every colour" if every else f"more {' and '.join(found.out_of_reach)} light"
    return (
        f"It would have to become {way}, and dye alone cannot do that: it takes light away, and the target "
        f"returns {more} than the cloth. Begin from a lighter cloth, or strip its colour first."
    )
