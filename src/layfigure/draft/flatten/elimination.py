"""The system of one step, each panel eliminated by itself: they meet only in speeds and corner conditions.

A panel's own unknowns are its headings and the two multipliers that keep its outline closed. Its stiffness
is kept through several steps, so what can be solved with it once is solved once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve

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


def solve_step(
    steps: Sequence[PanelStep], fairness: Reals, gradient: Reals, gap: Reals
) -> tuple[list[Reals], Reals]:
    """Changes of every panel's headings and of the shared speeds, (s,).

    fairness : (s, s) of all speeds. gradient : (s,) force on them. gap : (c,) missing from the conditions.
    """
    s, c = gradient.size, gap.size
    shared = np.zeros((s + c, s + c))
    shared[:s, :s] = fairness + 1e-6 * np.eye(s)
    shared[s:, s:] = -1e-10 * np.eye(c)
    right = np.concatenate([gradient, gap])
    parts = [_eliminated(step, c) for step in steps]
    for step, part in zip(steps, parts, strict=True):
        places = np.concatenate([step.columns, s + np.arange(c)])
        shared[np.ix_(step.columns, step.columns)] += step.kept.speeds
        right[step.columns] += step.speed_right
        shared[np.ix_(places, places)] -= part.met
        right[places] -= part.answered
    common = np.linalg.solve(shared, right)
    changes = []
    for step, part in zip(steps, parts, strict=True):
        own = np.concatenate([common[step.columns], common[s:]])
        multipliers = part.right_multipliers - part.multipliers @ own
        changes.append(part.free - step.kept.solved @ own - part.held @ multipliers)
    return changes, common[:s]


@dataclass(frozen=True, slots=True, eq=False)
class _Eliminated:
    """A panel's headings in terms of the shared unknowns u: free - solved u - held (multipliers).

    The multipliers are ``right_multipliers`` - ``multipliers`` u.
    """

    free: Reals
    held: Reals
    multipliers: Reals
    right_multipliers: Reals
    met: Reals
    answered: Reals


def _eliminated(step: PanelStep, conditions: int) -> _Eliminated:
    kept = step.kept
    h = step.right.size
    own = step.closing[:, :h]
    beyond = np.concatenate([step.closing[:, h:], np.zeros((2, conditions))], axis=1)
    both = cho_solve(kept.headings, np.column_stack([own.T, step.right]), check_finite=False)
    held, free = both[:, :2], both[:, 2]
    # What the headings' answers miss of closing is made up by the two multipliers.
    short = np.linalg.inv(own @ held)
    missed = own @ kept.solved - beyond
    multipliers = short @ missed
    right_multipliers = short @ (own @ free + step.gap)
    return _Eliminated(
        free=free,
        held=held,
        multipliers=multipliers,
        right_multipliers=right_multipliers,
        met=kept.met - missed.T @ multipliers,
        answered=kept.coupling.T @ free - missed.T @ right_multipliers,
    )
