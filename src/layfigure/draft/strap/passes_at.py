"""Where else a strap across the body would lie well: looked for only when it does not."""

from __future__ import annotations

from collections.abc import Callable

LOWEST_STATION, HIGHEST_STATION = 2.5, 4.5
"""Least and greatest that the option ``low`` may be."""

STEP = 0.1
FAR = 1.0
"""How far along the torso another place is looked for, in stations: beyond, it is another design."""


def nearest_low(low: float, lies_well: Callable[[float], bool], *, lower: bool) -> float | None:
    """Station of the lowest place, nearest to ``low``, where the strap lies well; None where there is none.

    lies_well : whether every check of the strap's way passes at a station. lower : on the hip, else higher.
    """
    for number in range(1, round(FAR / STEP) + 1):
        tried = round(low + (number if lower else -number) * STEP, 2)
        if not LOWEST_STATION <= tried <= HIGHEST_STATION:
            return None
        if lies_well(tried):
            return tried
    return None
