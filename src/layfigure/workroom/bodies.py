"""The bodies on screen: the one of the saved file, and the one that follows what is being typed."""

from __future__ import annotations

import gc
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from threading import Lock
from typing import TYPE_CHECKING

import numpy as np

from layfigure.body.wearer import Wearer
from layfigure.recompute.graph import Graph, Keyed

if TYPE_CHECKING:
    from layfigure.body.fit import FitResult
    from layfigure.body.form import Form
    from layfigure.body.prior import Guess
    from layfigure.body.tape import StandingBody

MOST_KEPT = 4
"""Wearers whose standing body is kept ready to run a tape round."""
CLOSE = 1.0
"""A body is shown before it is found where no skin will lie further from where it is shown [mm], as far as
the last one of the same measure tells."""
NEAR = 20.0
"""And where no size differs by more than this from one whose body was found [mm]."""


@dataclass(frozen=True, slots=True, eq=False)
class ShownBody:
    """One body on screen. standing : skin and joints, to run a tape round. found : it was fitted, and is not
    only about where it will be.
    """

    form: Form
    standing: StandingBody
    found: bool = True


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SavedBody(ShownBody):
    """The body of a wearer's file. fit : how it came about."""

    fit: FitResult


class Bodies:
    """Bodies by wearer. Safe to use from several threads; fits wait for each other."""

    def __init__(self, graph: Graph) -> None:
        self._graph = graph
        self._lock = Lock()
        self._kept: OrderedDict[str, SavedBody] = OrderedDict()
        self._last: tuple[Wearer, SavedBody] | None = None
        self._tried: _Tried | None = None
        """The last trial that met its sizes, or else the saved body."""
        self._ahead: tuple[_Change, ShownBody] | None = None
        """The last body that was foreseen and not found yet."""
        self._unjudged: tuple[_Change, ShownBody] | None = None
        """A change whose body was found, and what was found, while nobody knows how well it is foreseen."""
        self._astray: dict[frozenset[str], float] = {}
        """How far foreseen bodies lay from the found ones for 1 mm typed, by the measures that changed."""

    def saved(self, wearer: Wearer) -> SavedBody:
        """The body as drafting will see it: the same whatever was typed before."""
        last = self._last
        # Asked for with every key: the same reading of a file is the same wearer.
        if last is None or last[0] is not wearer:
            last = self._last = wearer, self._saved(wearer)
        return last[1]

    def _saved(self, wearer: Wearer) -> SavedBody:
        from layfigure.pipeline.stages import run_body

        by = (wearer.name, wearer.sex, wearer.posture, wearer.measures)
        node = self._graph.node(run_body, Keyed(wearer, by=by))
        with self._lock:
            if node.key not in self._kept:
                fit = node.value()
                self._kept[node.key] = SavedBody(fit.form, _standing(fit), fit=fit)
                _leave_alone_what_is_loaded()
            self._kept.move_to_end(node.key)
            while len(self._kept) > MOST_KEPT:
                self._kept.popitem(last=False)
            return self._kept[node.key]

    def trial(self, wearer: Wearer, saved: Wearer, *, soon: bool = False) -> ShownBody:
        """The body of sizes that are still being typed. It is sought from the last one that was typed, which
        is nearer than the saved one as a rule, and ends where it would from there.

        soon : about where it will be is enough, if that is known to be within ``CLOSE``.
        """
        start = self.saved(saved)
        with self._lock:
            tried = self._tried
            if tried is None or tried.start is not start:
                tried = self._tried = _Tried(start, saved, start.fit)
                self._astray.clear()
                self._ahead = self._unjudged = None
            change = _Change(wearer, tried)
            if soon and self._astray.get(change.names, np.inf) * change.most <= CLOSE and change.most <= NEAR:
                body = foreseen(wearer, tried.fit)
                if body is not None:
                    self._ahead = change, body
                    return body
            fit = refit(wearer, tried.fit)
            shown = ShownBody(fit.form, _standing(fit))
            self._tried = _Tried(start, wearer, fit) if fit.met else _Tried(start, saved, start.fit)
            ahead, self._ahead = self._ahead, None
            if ahead is not None and ahead[0] == change:
                self._judge(change, ahead[1], shown)
            elif soon and change.names not in self._astray:
                self._unjudged = change, shown
            return shown

    def look_back(self) -> None:
        """Find out how well the last body that was found would have been foreseen, while nobody waits."""
        with self._lock:
            judged, self._unjudged = self._unjudged, None
            if judged is not None:
                change, found = judged
                body = foreseen(change.wearer, change.tried.fit)
                if body is not None:
                    self._judge(change, body, found)

    def _judge(self, change: _Change, ahead: ShownBody, found: ShownBody) -> None:
        from layfigure.body.fit_steps import SEEN

        if change.most > 0.0:
            away = np.linalg.norm(ahead.standing.surface - found.standing.surface, axis=1).max()
            self._astray[change.names] = max(float(away) - SEEN, 0.0) / change.most


@dataclass(frozen=True, slots=True, eq=False)
class _Tried:
    """A body that was fitted to sizes being typed. start : the saved one it came from."""

    start: SavedBody
    wearer: Wearer
    fit: FitResult


@dataclass(frozen=True, slots=True)
class _Change:
    """From sizes that were tried to others of the same wearer."""

    wearer: Wearer
    tried: _Tried

    @property
    def names(self) -> frozenset[str]:
        """The measures that differ."""
        return frozenset(self._differing())

    @property
    def most(self) -> float:
        """By how much they differ at most [mm]; without end where one was not taken before."""
        return max(self._differing().values(), default=0.0)

    def _differing(self) -> dict[str, float]:
        before, after = self.tried.wearer.measures, self.wearer.measures
        away = {n: abs(after.get(n, np.inf) - before.get(n, np.inf)) for n in {*before, *after}}
        return {name: float(by) for name, by in away.items() if by}


def refit(wearer: Wearer, previous: FitResult) -> FitResult:
    """The body alone, sought from another of the same wearer: a picture has no room for warnings."""
    from layfigure.body.fit import fit_form

    return fit_form(
        wearer.standing_measures,
        wearer=wearer.name,
        estimated=_guessed(wearer),
        previous=previous.state,
        sex=wearer.sex,
        bare=True,
    )


def foreseen(wearer: Wearer, previous: FitResult) -> ShownBody | None:
    """About the body that ``refit`` will find; None where another is too far away to tell."""
    from layfigure.body.fit_foreseen import foreseen_form
    from layfigure.body.tape_route import standing_body

    ahead = foreseen_form(
        wearer.standing_measures,
        wearer=wearer.name,
        estimated=_guessed(wearer),
        previous=previous.state,
        sex=wearer.sex,
    )
    return None if ahead is None else ShownBody(ahead[0], standing_body(*ahead), found=False)


def _guessed(wearer: Wearer) -> dict[str, tuple[float, float]]:
    return {name: (guess.value, guess.spread) for name, guess in guesses(wearer).items()}


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


def _standing(fit: FitResult) -> StandingBody:
    from layfigure.body.tape_route import standing_body

    return standing_body(fit.form, fit.state.joints)
