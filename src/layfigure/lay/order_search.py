"""Better layouts by our own placement: other orders of the same parts, the best kept."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from layfigure.lay.filling import Copy, Filled, Filler, Habit, copies_of
from layfigure.lay.ground import Ground
from layfigure.lay.layout import Laid
from layfigure.lay.part import Part
from layfigure.recompute.job import Job

WORSE = 0.002
"""How much longer than the one before a layout may be and still be gone on from, as a share."""


@dataclass(frozen=True, slots=True)
class OrderFound:
    """A layout of a strip, free of overlap by its own verification."""

    length: float
    laid: tuple[Laid, ...]


def first_order(copies: Sequence[Copy]) -> list[Copy]:
    """What must lie somewhere first, then the largest: small pieces find room between large ones."""
    return sorted(copies, key=lambda copy: (not copy.part.on_fold, copy.part.match is None, -copy.part.area))


def search_order(
    parts: Sequence[Part],
    ground: Ground,
    *,
    seconds: float,
    job: Job,
    seed: int = 0,
    said: Callable[[float], None] | None = None,
    rounds: int | None = None,
    must: bool = False,
) -> OrderFound | None:
    """The shortest layout of a strip within the time; None where some part finds no room, or time was short.

    must : go on to the end of the first layout though time is over. rounds : most layouts to try, for tests
    that must not depend on the clock: then the first is tried to its
    end, however short the time.
    """
    filler = Filler(few_turns=True)
    random = np.random.default_rng(seed)
    begun = time.monotonic()
    order = first_order(copies_of(parts))
    late = None if rounds is not None or must else begun + seconds

    habit = Habit()
    best = now = _fill(filler, order, ground, late, habit)
    if best is None or len(order) < 2:
        return best
    tried = 1
    while time.monotonic() - begun < seconds and not job.cancelled() and (rounds is None or tried < rounds):
        if said is not None:
            said((time.monotonic() - begun) / max(seconds, 1e-9))
        other, way = order, habit
        if random.random() < 0.7:
            other = _changed(order, random)
        else:
            turns = max(filler.turns_of(copy) for copy in order)
            way = Habit(False, habit.changed(order, turns, random).pins)
        found = _fill(filler, other, ground, late, way)
        tried += 1
        if found is None or now is None or best is None:
            continue
        if found.length <= now.length * (1.0 + WORSE * random.random()):
            order, habit, now = other, way, found
        if found.length < best.length:
            best = found
    return best


def _fill(
    filler: Filler, order: Sequence[Copy], ground: Ground, late: float | None, habit: Habit
) -> OrderFound | None:
    """One layout; None when a part finds no room, or when it is later than it may be."""
    filled = Filled(ground)
    for copy in order:
        if late is not None and time.monotonic() > late:
            return None
        if not filler.put(copy, [filled], habit):
            return None
    return OrderFound(filled.reach, tuple(filled.laid))


def _changed(order: Sequence[Copy], random: np.random.Generator) -> list[Copy]:
    """Two exchanged, or one taken out and put in elsewhere."""
    changed = list(order)
    i, j = random.choice(len(changed), size=2, replace=False).tolist()
    if random.random() < 0.5:
        changed[i], changed[j] = changed[j], changed[i]
    else:
        changed.insert(j, changed.pop(i))
    return changed
