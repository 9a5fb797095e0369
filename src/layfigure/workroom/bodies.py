"""The bodies on screen: the one of the saved file, and the one that follows what is being typed."""

from __future__ import annotations

import gc
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from threading import Lock
from typing import TYPE_CHECKING

from layfigure.body.wearer import Wearer
from layfigure.recompute.graph import Graph, Keyed

if TYPE_CHECKING:
    from layfigure.body.fit import FitResult
    from layfigure.body.prior import Guess
    from layfigure.body.tape import StandingBody

MOST_KEPT = 4
"""Wearers whose standing body is kept ready to run a tape round."""


@dataclass(frozen=True, slots=True, eq=False)
class ShownBody:
    """One body on screen. fit : how it came about. standing : skin and joints, to run a tape round."""

    fit: FitResult
    standing: StandingBody


class Bodies:
    """Bodies by wearer. Safe to use from several threads; fits wait for each other."""

    def __init__(self, graph: Graph) -> None:
        self._graph = graph
        self._lock = Lock()
        self._kept: OrderedDict[str, ShownBody] = OrderedDict()
        self._last: tuple[Wearer, ShownBody] | None = None
        self._tried: tuple[ShownBody, FitResult] | None = None
        """The last trial that met its sizes, and the saved body it came from."""

    def saved(self, wearer: Wearer) -> ShownBody:
        """The body as drafting will see it: the same whatever was typed before."""
        last = self._last
        # Asked for with every key: the same reading of a file is the same wearer.
        if last is None or last[0] is not wearer:
            last = self._last = wearer, self._saved(wearer)
        return last[1]

    def _saved(self, wearer: Wearer) -> ShownBody:
        from layfigure.pipeline.stages import run_body

        by = (wearer.name, wearer.sex, wearer.posture, wearer.measures)
        node = self._graph.node(run_body, Keyed(wearer, by=by))
        with self._lock:
            if node.key not in self._kept:
                self._kept[node.key] = _shown(node.value())
                _leave_alone_what_is_loaded()
            self._kept.move_to_end(node.key)
            while len(self._kept) > MOST_KEPT:
                self._kept.popitem(last=False)
            return self._kept[node.key]

    def trial(self, wearer: Wearer, saved: Wearer) -> ShownBody:
        """The body of sizes that are still being typed. It is sought from the last one that was typed, which
        is nearer than the saved one as a rule, and ends where it would from there.
        """
        start = self.saved(saved)
        with self._lock:
            tried = self._tried
            near = start.fit if tried is None or tried[0] is not start else tried[1]
            found = refit(wearer, near)
            self._tried = (start, found) if found.met else None
            return _shown(found)


def refit(wearer: Wearer, previous: FitResult) -> FitResult:
    """The body alone, sought from another of the same wearer: a picture has no room for warnings."""
    from layfigure.body.fit import fit_form

    values = {name: (guess.value, guess.spread) for name, guess in guesses(wearer).items()}
    return fit_form(
        wearer.standing_measures,
        wearer=wearer.name,
        estimated=values,
        previous=previous.state,
        sex=wearer.sex,
        bare=True,
    )


def guesses(wearer: Wearer) -> Mapping[str, Guess]:
    """Every standing measure that was not taken, as the fit is given it."""
    from layfigure.body.prior import estimate
    from layfigure.body.seated import standing_heights

    heights = standing_heights(wearer.seated_measures, wearer.sex, known=wearer.standing_measures)
    return {**estimate(known_measures(wearer), wearer.sex), **heights}


def known_measures(wearer: Wearer) -> dict[str, float]:
    """What the guesses are made from: the tapes taken standing, and a stature told by those taken sitting."""
    from layfigure.body.seated import standing_heights

    taken = wearer.standing_measures
    heights = standing_heights(wearer.seated_measures, wearer.sex, known=taken)
    return taken | {name: guess.value for name, guess in heights.items() if name == "stature"}


@cache
def _leave_alone_what_is_loaded() -> None:
    """Have garbage be looked for, from now on, among what is made from now on: once a process.

    By the first body all modules are loaded and all that is kept of the template; to walk it again costs as
    much as a whole fit, and came with every tenth size typed.
    """
    gc.freeze()


def _shown(fit: FitResult) -> ShownBody:
    from layfigure.body.tape_route import standing_body

    return ShownBody(fit, standing_body(fit))
