"""The system of one step, each panel eliminated by itself: they meet only in speeds and corner conditions.

A panel's own unknowns are its headings and the two multipliers that keep its outline closed. Its stiffness
is kept through several steps, so what can be solved with it once is solved once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve, lu_factor, lu_solve
from scipy.linalg.lapack import dpotrs

Reals = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class KeptStiffness:
    """A panel's stiffness with all that follows from it alone.

    headings : (h, h) factored, upper. speeds : (s, s) between the speeds. coupling : (h, s + c) from headings
    to the speeds and to the conditions; solved : (h, s + c) the headings' answer to it. met : (s + c, s + c)
    what that answer takes from the shared unknowns.
    """

    headings: tuple[Reals, bool]
    speeds: Reals
    coupling: Reals
    solved: Reals
    met: Reals


def kept_stiffness(hessian: Reals, fairness: Reals, conditions: Reals) -> KeptStiffness:
    """Factor a panel's stiffness.

    hessian : (h + s, h + s) by headings and speeds. fairness : (h, h) of the headings. conditions : (h, c).
    """
    h = fairness.shape[0]
    own = hessian[:h, :h] + fairness
    own[np.diag_indices(h)] += 1e-6 * np.trace(hessian[:h, :h]) / h
    factor = cho_factor(own, overwrite_a=True, check_finite=False)
    coupling = np.concatenate([hessian[:h, h:], conditions], axis=1)
    solved = cho_solve(factor, coupling, check_finite=False)
    return KeptStiffness(factor, hessian[h:, h:], coupling, solved, coupling.T @ solved)


@dataclass(frozen=True, slots=True, eq=False)
class PanelStep:
    """One panel's part of a step's system.

    right : (h,) force on the headings. speed_right : (s,) on the speeds. closing : (2, h + s) derivatives of
    the gap, (2,). columns : (s,) places of its speeds among all.
    """

    kept: KeptStiffness
    right: Reals
    speed_right: Reals
    closing: Reals
    gap: Reals
    columns: Indices


@dataclass(frozen=True, slots=True, eq=False)
class SharedStiffness:
    """The shared unknowns' stiffness while no outline need close, factored; it lasts as long as the panels'.

    kept : of every panel, which it follows from. places : of each panel's speeds and of the conditions among
    the shared unknowns.
    """

    kept: tuple[KeptStiffness, ...]
    places: tuple[Indices, ...]
    factor: tuple[Reals, NDArray[np.int32]]

    def lasts(self, steps: Sequence[PanelStep]) -> bool:
        """Whether no panel's stiffness has been worked out anew since."""
        return all(step.kept is kept for step, kept in zip(steps, self.kept, strict=True))


def shared_stiffness(steps: Sequence[PanelStep], fairness: Reals, conditions: int) -> SharedStiffness:
    """Factor what the panels leave to the speeds and conditions. fairness : (s, s) of all speeds."""
    s = fairness.shape[0]
    shared = np.zeros((s + conditions, s + conditions))
    shared[:s, :s] = fairness
    shared[np.arange(s), np.arange(s)] += 1e-6
    shared[np.arange(s, s + conditions), np.arange(s, s + conditions)] = -1e-10
    places = tuple(np.concatenate([step.columns, s + np.arange(conditions)]) for step in steps)
    for step, own in zip(steps, places, strict=True):
        shared[np.ix_(step.columns, step.columns)] += step.kept.speeds
        shared[np.ix_(own, own)] -= step.kept.met
    factor = lu_factor(shared, overwrite_a=True, check_finite=False)
    return SharedStiffness(tuple(step.kept for step in steps), places, factor)


def solve_step(
    steps: Sequence[PanelStep], shared: SharedStiffness, gradient: Reals, gap: Reals
) -> tuple[list[Reals], Reals]:
    """Changes of every panel's headings and of the shared speeds, (s,).

    gradient : (s,) force on all speeds. gap : (c,) missing from the conditions.
    """
    right = np.concatenate([gradient, gap])
    parts = [_eliminated(step, gap.size) for step in steps]
    missed = np.zeros((2 * len(steps), right.size))
    room = np.zeros((2 * len(steps), 2 * len(steps)))
    for p, (step, part, own) in enumerate(zip(steps, parts, shared.places, strict=True)):
        two = slice(2 * p, 2 * p + 2)
        missed[two, own] = part.missed
        room[two, two] = part.room
        right[step.columns] += step.speed_right
        right[own] -= part.answered
    # Closing adds a stiffness of rank two for every panel to one that is factored already: M. A. Woodbury,
    # "Inverting modified matrices", Memorandum Report 42, Princeton 1950.
    solved = lu_solve(shared.factor, np.column_stack([right, missed.T]), check_finite=False)
    free, held = solved[:, 0], solved[:, 1:]
    common = free - held @ np.linalg.solve(room + missed @ held, missed @ free)
    changes = []
    for step, part, own in zip(steps, parts, shared.places, strict=True):
        multipliers = part.right_multipliers - part.short @ (part.missed @ common[own])
        changes.append(part.free - step.kept.solved @ common[own] - part.held @ multipliers)
    return changes, common[: gradient.size]


@dataclass(frozen=True, slots=True, eq=False)
class _Eliminated:
    """A panel's headings in terms of the shared unknowns u: free - solved u - held (multipliers).

    The multipliers are ``right_multipliers`` - ``short`` ``missed`` u. room : (2, 2) how far they close the
    outline, and short its inverse.
    """

    free: Reals
    held: Reals
    room: Reals
    short: Reals
    missed: Reals
    right_multipliers: Reals
    answered: Reals


def _eliminated(step: PanelStep, conditions: int) -> _Eliminated:
    kept = step.kept
    h = step.right.size
    own = step.closing[:, :h]
    # What ``cho_solve`` calls, without what it looks up first: this is asked for thousands of times.
    both, _ = dpotrs(kept.headings[0], np.column_stack([own.T, step.right]), lower=kept.headings[1])
    held, free = both[:, :2], both[:, 2]
    # What the headings' answers miss of closing is made up by the two multipliers.
    room = own @ held
    short = np.linalg.inv(room)
    missed = own @ kept.solved
    missed[:, : missed.shape[1] - conditions] -= step.closing[:, h:]
    right_multipliers = short @ (own @ free + step.gap)
    return _Eliminated(
        free=free,
        held=held,
        room=room,
        short=short,
        missed=missed,
        right_multipliers=right_multipliers,
        answered=kept.coupling.T @ free - missed.T @ right_multipliers,
    )
