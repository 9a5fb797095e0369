"""Which measure to take next: only what the pieces need, the most helpful first."""

from __future__ import annotations

from collections.abc import Iterable

from layfigure.body.measures import CATALOGUE, split_name
from layfigure.body.wearer import Wearer
from layfigure.workroom.bodies import known_measures

EVERYDAY = ("stature", "bust_girth", "waist_girth", "hip_girth")
"""What is asked for where no piece says what it needs."""

SEATED = ("sitting_height", "knee_height_sitting", "seat_to_nape", "seat_to_shoulder", "seat_to_waist")
"""What tells the standing heights of somebody who sits, the most telling first (trunk, then lower leg)."""


def next_tapes(wearer: Wearer, needed: Iterable[str]) -> tuple[str, ...]:
    """Measures still to be taken, by their names without a side, the most helpful first.

    needed : stored names that the pieces ask for. Somebody who sits is asked for lengths on the seat in place
    of heights from the floor.
    """
    from layfigure.body.prior import next_tape

    seated = wearer.posture == "seated"
    missing = [name for name in dict.fromkeys(needed) if name not in wearer.measures]
    if seated:
        missing = [name for name in missing if split_name(name)[0].instrument != "wall"]
    gains = next_tape(known_measures(wearer), missing, wearer.sex)
    ranked = [name for name, _ in gains if name in set(missing)]
    # What a tape or a wall cannot take (calipers) comes last, and the size of the whole body first.
    stored = [*ranked, *missing]
    first = _untaken(wearer, SEATED if seated else ("stature",)) if missing or not wearer.measures else ()
    return tuple(dict.fromkeys([*first, *(split_name(name)[0].name for name in stored)]))


def _untaken(wearer: Wearer, names: Iterable[str]) -> tuple[str, ...]:
    return tuple(
        name for name in names if any(stored not in wearer.measures for stored in CATALOGUE[name].sided())
    )
