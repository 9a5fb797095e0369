"""What lets a boot cover lie on its shoe where the cloth would have to give too much: tried, not guessed."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Any

from layfigure.draft.wrap.boot_checks import WORKED_IN
from layfigure.draft.wrap.boot_options import LONGEST_TOE, LOWEST_SHOE, WIDEST_LEG, BootOptions
from layfigure.errors import DraftError
from layfigure.units import format_share

LOOSER = (10.0, 20.0)
"""Ease of the leg that nobody sees [mm]."""
LOWER = (15.0, 30.0, 45.0)
LONGER = (20.0, 40.0)


def strain_advice(
    strain: float, options: BootOptions, lies: Callable[[BootOptions], bool], *, toe_free: bool
) -> str:
    """Which option, and what it must be, for a cover that must stretch too far; and which cloth.

    strain : that it must stretch, a share. lies : whether every check passes with other options. toe_free :
    nothing else says how long the shoe is.
    """
    cloth = f"cloth that stretches by {format_share(_up(strain - WORKED_IN))} both ways lies on this shoe"
    for changes, words in _remedies(options, toe_free=toe_free):
        try:
            if lies(options.model_copy(update=changes)):
                said = " and ".join(f"{name} = '{value:g} mm'" for name, value in changes.items())
                return f"{words} {said} does it; or {cloth}."
        except DraftError:
            continue
    return f"C{cloth[1:]}."


def _remedies(options: BootOptions, *, toe_free: bool) -> Iterator[tuple[dict[str, Any], str]]:
    """Changes of options, the least visible first, and how each is said."""
    for more in LOOSER:
        if options.leg_ease + more <= WIDEST_LEG:
            yield {"leg_ease": options.leg_ease + more}, "Cut the leg looser:"
    for less in LOWER:
        if options.shoe_top - less >= LOWEST_SHOE:
            yield {"shoe_top": options.shoe_top - less}, "Wear a shoe with a lower top:"
    if toe_free:
        for more in LONGER:
            if options.toe_room + more <= LONGEST_TOE:
                yield {"toe_room": options.toe_room + more}, "Wear a shoe with a longer toe:"


def _up(share: float) -> float:
    """To the next whole percent."""
    return math.ceil(100.0 * share - 1e-9) / 100.0
