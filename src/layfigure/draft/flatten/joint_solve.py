"""One solution for the outlines of all panels: headings of each and the speeds they share.

The energy is the panels' deformation with the inner vertices settled, ½ cᵀSc - fᵀc in the outline c, plus
fairness. Gauss-Newton steps in headings and speeds keep closing and corner sums as linear conditions.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

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
STALE = 0.2
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
    mixing = AndersonMixing(depth=MIXING)
    for _ in range(steps):
        change = _change(problems, fairness, unknowns, conditions, energy=True)
        share = _safe_share(problems, change)
        if share < 1.0:
            mixing.forget()
            unknowns = unknowns + share * change
        else:
            unknowns = mixing.next(unknowns, change)
        if _place(problems, unknowns) < SETTLED:
            break
    for _ in range(POLISHING):
        change = _change(problems, fairness, unknowns, conditions, energy=False)
        unknowns = unknowns + _safe_share(problems, change) * change
        _set_headings(problems, unknowns)
    _place(problems, unknowns)
    return unknowns[unknowns.size - gamma.size :]


def _change(
    problems: Sequence[PanelProblem],
    fairness: Reals,
    unknowns: Reals,
    conditions: Sequence[AngleSum],
    *,
    energy: bool,
) -> Reals:
    """Change of all headings and speeds in one step; without the energy, only onto the conditions."""
    gamma = unknowns[unknowns.size - fairness.shape[0] :]
    blocks = [_linearised(problem, gamma, conditions, p, energy=energy) for p, problem in enumerate(problems)]
    gap = np.array([condition.total - _angle_sum(problems, condition) for condition in conditions])
    gradient = -fairness @ gamma if energy else np.zeros(gamma.size)
    changes, gamma_change = _arrow_solve(blocks, fairness, gradient, gap)
    return np.concatenate([*changes, gamma_change])


def _safe_share(problems: Sequence[PanelProblem], change: Reals) -> float:
    """Share of a change that turns no outline, and changes no speed, further than ``LARGEST_TURN``."""
    largest, start = 1e-12, 0
    for problem in problems:
        part = change[start : start + problem.theta.size]
        largest = max(largest, float(np.abs(problem.quadrature.heading @ part).max()))
        start += problem.theta.size
    largest = max(largest, float(np.abs(change[start:]).max()))
    return min(1.0, LARGEST_TURN / largest)


def _set_headings(problems: Sequence[PanelProblem], unknowns: Reals) -> Reals:
    """Give every panel its headings; returns the speeds' coefficients."""
    start = 0
    for problem in problems:
        problem.theta = unknowns[start : start + problem.theta.size]
        start += problem.theta.size
    return unknowns[start:]


def _place(problems: Sequence[PanelProblem], unknowns: Reals) -> float:
    """Lay all panels into their outlines; returns how far any outline moved [mm]."""
    gamma = _set_headings(problems, unknowns)
    return max([_replace_flat(problem, gamma) for problem in problems])


def _angle_sum(problems: Sequence[PanelProblem], condition: AngleSum) -> float:
    return sum(
        float(problems[p].corner_rows[k] @ problems[p].theta + problems[p].corner_constants[k])
        for p, k in condition.corners
    )


def _replace_flat(problem: PanelProblem, gamma: Reals) -> float:
    """Lay the panel into its present outline; returns how far the outline moved [mm]."""
    outline, _ = problem.quadrature.positions(problem.quadrature.increments(problem.theta, gamma))
    system = problem.system
    before = problem.flat[system.stiffness.loop]
    problem.flat = system.placed(outline, problem.settled)
    problem.load, problem.settled = system.loads(problem.flat)
    moved = problem.flat[system.stiffness.loop] - before
    return float(np.max(np.abs(moved - moved.mean())))


@dataclass(frozen=True, slots=True, eq=False)
class _Block:
    """One panel's part of the system: its own unknowns are headings and the two multipliers of closing."""

    own: Reals
    right: Reals
    to_speeds: Reals
    to_conditions: Reals
    columns: Indices
    speed_hessian: Reals
    speed_right: Reals
    headings: int


def _linearised(
    problem: PanelProblem, gamma: Reals, conditions: Sequence[AngleSum], index: int, *, energy: bool
) -> _Block:
    quadrature = problem.quadrature
    increments = quadrature.increments(problem.theta, gamma)
    outline, gap = quadrature.positions(increments)
    h, s = problem.theta.size, quadrature.columns.size
    hessian = _outline_hessian(problem, increments)
    force, fair = np.zeros(h + s), np.zeros(h)
    if energy:
        force = quadrature.work(increments, problem.load - problem.system.outline_stiffness @ outline)
        fair = problem.fairness @ problem.theta
    closing = quadrature.gap_derivatives(increments)
    own = np.zeros((h + 2, h + 2))
    own[:h, :h] = hessian[:h, :h] + problem.fairness + 1e-6 * np.trace(hessian[:h, :h]) / h * np.eye(h)
    own[h:, :h], own[:h, h:] = closing[:, :h], closing[:, :h].T
    to_conditions = np.zeros((h + 2, len(conditions)))
    for c, condition in enumerate(conditions):
        for p, k in condition.corners:
            if p == index:
                to_conditions[:h, c] += problem.corner_rows[k]
    return _Block(
        own=own,
        right=np.concatenate([force[:h] - fair, [-gap.real, -gap.imag]]),
        to_speeds=np.concatenate([hessian[:h, h:], closing[:, h:]]),
        to_conditions=to_conditions,
        columns=quadrature.columns,
        speed_hessian=hessian[h:, h:],
        speed_right=force[h:],
        headings=h,
    )


def _outline_hessian(problem: PanelProblem, increments: Complex) -> Reals:
    """Stiffness of the panel against changes of heading and speed, (h + s, h + s).

    It changes little from step to step and costs most of one, so it is kept until some part of the outline
    has turned or grown by ``STALE`` since it was made.
    """
    if problem.hessian is not None and problem.hessian_increments is not None:
        turned = increments / problem.hessian_increments - 1.0
        if float(np.max(np.abs(turned))) < STALE:
            return problem.hessian
    rows = problem.quadrature.derivatives(increments)
    k = rows.shape[1]
    product = problem.system.outline_stiffness @ np.concatenate([rows.real, rows.imag], axis=1)
    held = rows.real.T @ product[:, :k] + rows.imag.T @ product[:, k:]
    problem.hessian = softened(problem.system, problem.flat, rows, held, problem.coarse)
    problem.hessian_increments = increments
    return problem.hessian


def _arrow_solve(
    blocks: Sequence[_Block], fairness: Reals, gradient: Reals, gap: Reals
) -> tuple[list[Reals], Reals]:
    """Solve for every panel's headings and the shared speeds.

    Panels meet only through the speeds and the conditions on corners, so each is eliminated by itself.
    """
    s, c = gradient.size, gap.size
    shared = np.zeros((s + c, s + c))
    shared[:s, :s] = fairness + 1e-6 * np.eye(s)
    shared[s:, s:] = -1e-10 * np.eye(c)
    right = np.concatenate([gradient, gap])
    solved = []
    for block in blocks:
        places = np.concatenate([block.columns, s + np.arange(c)])
        coupling = np.concatenate([block.to_speeds, block.to_conditions], axis=1)
        answer = np.linalg.solve(block.own, np.column_stack([coupling, block.right]))
        shared[np.ix_(block.columns, block.columns)] += block.speed_hessian
        right[block.columns] += block.speed_right
        shared[np.ix_(places, places)] -= coupling.T @ answer[:, :-1]
        right[places] -= coupling.T @ answer[:, -1]
        solved.append((answer, places, block.headings))
    common = np.linalg.solve(shared, right)
    changes = [
        (answer[:, -1] - answer[:, :-1] @ common[places])[:headings] for answer, places, headings in solved
    ]
    return changes, common[:s]
