"""What a strip search passes by: gathered, pressed together, verified, and the shortest kept."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import count

import numpy as np

from layfigure.lay.layout import Laid, Section
from layfigure.lay.part import Part
from layfigure.lay.press import Press
from layfigure.lay.strip_worker import StripFound
from layfigure.lay.verify import section_faults

KEPT = 100
"""How many layouts wait to be pressed, the newest: a search goes from long strips to short ones."""

PRESS_SECONDS = 2.0
"""For one layout, at most [s]; most take 0.03 to 0.5."""

LATE_TRIES = 5
"""So many are still pressed when the time is over, as long as nothing is sure."""


class Gathered:
    """Layouts of one section, from a search.

    Those without overlap count at once, though only the last is verified. Those with, and those without, are
    pressed as there is time, the newest first: a search that moves parts one by one gives up on layouts that
    all parts together can still be brought out of. Of a search among outlines drawn in none counts before
    it is pressed.
    """

    def __init__(
        self,
        section: Section,
        names: Mapping[str, tuple[Part, bool]],
        best: Section | None,
        *,
        press: Press,
        drawn_in: bool = False,
    ) -> None:
        """Nothing yet. section : what is to be laid. names : the search's items. best : verified, to beat.
        drawn_in : whether the search knows smaller outlines than are to be laid.
        """
        self._section = section
        self._drawn_in = drawn_in
        self._first = best
        self._names = names
        self._best = best
        self._apart: list[StripFound] = []
        self._waiting: deque[StripFound] = deque(maxlen=KEPT)
        self._press = press

    @property
    def length(self) -> float:
        """The shortest so far, taken at its word [mm]; infinite for none."""
        last = self._apart[-1].length if self._apart else np.inf
        return float(min(last, np.inf if self._best is None else self._best.length))

    @property
    def nothing(self) -> bool:
        """Whether nothing shorter than what there was at first is sure yet."""
        return not self._apart and self._best is self._first

    def take(self, found: StripFound) -> None:
        """A layout the search has come to."""
        if found.apart and not self._drawn_in:
            self._apart.append(found)
        if self._press.worth:
            self._waiting.append(found)

    def press_next(self, seconds: float) -> bool:
        """Press the newest layout that waits, within the time; False where none does."""
        if not self._waiting:
            return False
        section = self._laid_out(self._waiting.pop())
        pressed = self._press.shorter(section, beat=self.length, seconds=min(PRESS_SECONDS, seconds))
        self._best = pressed or self._best
        return True

    def ended(self, *, seconds: float) -> Section | None:
        """The shortest that stands the checker, after ``seconds`` more of pressing."""
        until = time.monotonic() + seconds
        # The last found is the shortest. One that does not stand the check gives way to the one before.
        for found in reversed(self._apart):
            candidate = self._laid_out(found)
            if self._best is not None and candidate.length >= self._best.length:
                break
            if not section_faults(candidate):
                self._best = candidate
                break
        self._apart.clear()
        for tried in count():
            left = until - time.monotonic()
            if left <= 0.0 and self.nothing and tried < LATE_TRIES:
                left = PRESS_SECONDS
            if left <= 0.0 or not self.press_next(left):
                break
        return self._best

    def _laid_out(self, found: StripFound) -> Section:
        """The layout from the start of the strip and as far between its edges as it goes."""
        laid = _laid(found, self._names)
        outlines = np.concatenate(replace(self._section, laid=laid).outlines())
        west, south = outlines.min(axis=0).tolist()
        north = float(outlines[:, 1].max())
        # Single precision leaves a hair at the edges: it is shared out, where there is room.
        lift = -south if south < 0.0 else min(0.0, self._section.width - north)
        laid = tuple(replace(at, x=at.x - west, y=at.y + lift) for at in laid)
        return replace(self._section, length=float(outlines[:, 0].max()) - west, laid=laid)


def _laid(found: StripFound, names: Mapping[str, tuple[Part, bool]]) -> tuple[Laid, ...]:
    """Where copies lie, numbered: those turned over come after the others of their part."""
    numbers = {name: part.count - part.mirrored if over else 0 for name, (part, over) in names.items()}
    laid = []
    for name, turn, x, y in found.laid:
        part, over = names[name]
        exact = turn if part.turns is None else _nearest(part.turns, turn)
        laid.append(Laid(part=part.slug, copy=numbers[name], turn=exact, mirrored=over, x=x, y=y))
        numbers[name] += 1
    return tuple(laid)


def _nearest(turns: Sequence[float], turn: float) -> float:
    """Of the turns a part may have, the one the solver meant; it writes them in single precision."""
    return min(turns, key=lambda one: abs((one - turn + 180.0) % 360.0 - 180.0))
