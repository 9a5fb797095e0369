"""One solution for the outlines of all panels: headings of each and the speeds they share.

The energy is the panels' deformation with the inner vertices settled, ½ cᵀSc - fᵀc in the outline c, plus
fairness. Gauss-Newton steps in headings and speeds keep closing and corner sums as linear conditions.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.elimination import (
    KeptStiffness,
    PanelStep,
    SharedStiffness,
    kept_stiffness,
    shared_stiffness,
    solve_step,
)
from layfigure.draft.flatten.mixing import AndersonMixing
from layfigure.draft.flatten.outline import SeamSpeed
from layfigure.draft.flatten.outline_fit import PanelProblem
from layfigure.draft.flatten.sewn_points import AngleSum
from layfigure.draft.flatten.softness import softened

Complex = NDArray[np.complex128]
Reals = NDArray[np.float64]
Indices = NDArray[np.int64]

SPEED_STIFFNESS = 1e5
"""Weight of uneven speed [mm⁵]."""
LARGEST_TURN = 0.3
"""Greatest change of heading in one step [rad]."""
SETTLED = 0.01
"""Steps end when every outline moves less than this [mm]."""
STALE = 0.3
"""Turn [rad] or growth of the outline after which its stiffness is worked out anew."""
MIXING = 5
"""Steps remembered to extrapolate from."""
POLISHING = 3
"""Newton steps onto the conditions alone; each squares what is left of their miss."""


def solve_jointly(
    problems: Sequence[PanelProblem],
    speeds: Sequence[SeamSpeed],
    offsets: Indices,
    gamma: Reals,
    conditions: Sequence[AngleSum],
    steps: int,
) -> Reals:
    """Improve headings and speeds together; returns the speeds' coefficients, (s,).

    gamma : (s,) the coefficients to start from, each seam's from its place in ``offsets``. The problems'
    headings and positions are replaced. Stops after ``steps``, or when no outline moves further than
    ``SETTLED`` in one; closing and corner sums are then met to rounding.
    """
    fairness = np.zeros((gamma.size, gamma.size))
    for s, speed in enumerate(speeds):
        own = slice(int(offsets[s]), int(offsets[s + 1]))
        fairness[own, own] = speed.fairness(SPEED_STIFFNESS)
    unknowns = np.concatenate([*(problem.theta for problem in problems), gamma])
    _set_unknowns(problems, unknowns)
    mixing = AndersonMixing(depth=MIXING)
    shared: SharedStiffness | None = None
    for _ in range(steps):
        change, shared = _change(problems, fairness, unknowns, conditions, shared, energy=True)
        share = _safe_share(problems, change)
        if share < 1.0:
            mixing.forget()
            unknowns = unknowns + share * change
        else:
            unknowns = mixing.next(unknowns, change)
        if _place(problems, unknowns) < SETTLED:
            break
    for _ in range(POLISHING):
        change, shared = _change(problems, fairness, unknowns, conditions, shared, energy=False)
        unknowns = unknowns + _safe_share(problems, change) * change
        _set_unknowns(problems, unknowns)
    _place(problems, unknowns)
    return unknowns[unknowns.size - gamma.size :]


def _change(
    problems: Sequence[PanelProblem],
    fairness: Reals,
    unknowns: Reals,
    conditions: Sequence[AngleSum],
    shared: SharedStiffness | None,
    *,
    energy: bool,
) -> tuple[Reals, SharedStiffness]:
    """Change of all headings and speeds in one step; without the energy, only onto the conditions.

    shared : of the step before. Returns that of this step too.
    """
    gamma = unknowns[unknowns.size - fairness.shape[0] :]
    parts = [_panel_step(problem, conditions, p, energy=energy) for p, problem in enumerate(problems)]
    gap = np.array([condition.total - _angle_sum(problems, condition) for condition in conditions])
    gradient = -fairness @ gamma if energy else np.zeros(gamma.size)
    if shared is None or not shared.lasts(parts):
        shared = shared_stiffness(parts, fairness, gap.size)
    changes, gamma_change = solve_step(parts, shared, gradient, gap)
    return np.concatenate([*changes, gamma_change]), shared


def _safe_share(problems: Sequence[PanelProblem], change: Reals) -> float:
    """Share of a change that turns no outline, and changes no speed, further than ``LARGEST_TURN``."""
    largest, start = 1e-12, 0
    for problem in problems:
        part = change[start : start + problem.theta.size]
        largest = max(largest, float(np.abs(problem.quadrature.heading @ part).max()))
        start += problem.theta.size
    largest = max(largest, float(np.abs(change[start:]).max()))
    return min(1.0, LARGEST_TURN / largest)


def _set_unknowns(problems: Sequence[PanelProblem], unknowns: Reals) -> None:
    """Give every panel its headings, and its outline the speeds."""
    start, gamma = 0, unknowns[sum(problem.theta.size for problem in problems) :]
    for problem in problems:
        problem.theta = unknowns[start : start + problem.theta.size]
        problem.increments = problem.quadrature.increments(problem.theta, gamma)
        start += problem.theta.size


def _place(problems: Sequence[PanelProblem], unknowns: Reals) -> float:
    """Lay all panels into their outlines; returns how far any outline moved [mm]."""
    _set_unknowns(problems, unknowns)
    return max([_replace_flat(problem) for problem in problems])


def _angle_sum(problems: Sequence[PanelProblem], condition: AngleSum) -> float:
    return sum(
        float(problems[p].corner_rows[k] @ problems[p].theta + problems[p].corner_constants[k])
        for p, k in condition.corners
    )


def _replace_flat(problem: PanelProblem) -> float:
    """Lay the panel into its present outline; returns how far the outline moved [mm]."""
    outline, _ = problem.quadrature.positions(problem.increments)
    system = problem.system
    before = problem.flat[system.stiffness.loop]
    problem.flat = system.placed(outline, problem.pull)
    problem.load, problem.pull = system.loads(problem.flat)
    moved = problem.flat[system.stiffness.loop] - before
    return float(np.max(np.abs(moved - moved.mean())))


def _panel_step(
    problem: PanelProblem, conditions: Sequence[AngleSum], index: int, *, energy: bool
) -> PanelStep:
    """One panel's part of the system, about its present headings."""
    quadrature, increments = problem.quadrature, problem.increments
    outline, gap = quadrature.positions(increments)
    h = problem.theta.size
    pulled = problem.load - problem.system.resistance(outline) if energy else np.zeros_like(outline)
    *closing, force = quadrature.slopes(increments, pulled)
    fair = problem.fairness @ problem.theta if energy else 0.0
    return PanelStep(
        kept=_kept(problem, conditions, index),
        right=force[:h] - fair,
        speed_right=force[h:],
        closing=np.stack(closing),
        gap=np.array([gap.real, gap.imag]),
        columns=quadrature.columns,
    )


def _kept(problem: PanelProblem, conditions: Sequence[AngleSum], index: int) -> KeptStiffness:
    """Stiffness of the panel against changes of heading and speed.

    It changes little from step to step and costs most of one, so it is kept until some part of the outline
    has turned or grown by ``STALE`` since it was made.
    """
    increments = problem.increments
    if problem.kept is not None and problem.kept_increments is not None:
        turned = increments / problem.kept_increments - 1.0
        if float(np.max(np.abs(turned))) < STALE:
            return problem.kept
    # Single precision: the stiffness only aims the steps, and forces decide where they end.
    rows = problem.quadrature.derivatives(increments).astype(np.float32)
    product = problem.system.outline_stiffness.astype(np.float32) @ rows
    held = (rows[0].T @ product[0] + rows[1].T @ product[1]).astype(np.float64)
    hessian = softened(problem.shapes, problem.flat, rows, held, problem.coarse)
    corners = np.zeros((problem.theta.size, len(conditions)))
    for c, condition in enumerate(conditions):
        for p, corner in condition.corners:
            if p == index:
                corners[:, c] += problem.corner_rows[corner]
    problem.kept = kept_stiffness(hessian, problem.fairness, corners)
    problem.kept_increments = increments
    return problem.kept
