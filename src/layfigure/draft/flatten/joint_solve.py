"""One solution for the outlines of all panels: headings of each and the speeds they share.

The energy is the panels' deformation with the inner vertices settled, ½ cᵀSc - fᵀc in the outlines c, plus
fairness. Gauss-Newton steps in headings and speeds keep closing and corner sums as linear conditions.
"""

from __future__ import annotations

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
from layfigure.draft.flatten.joint_problem import JointProblem
from layfigure.draft.flatten.mixing import AndersonMixing
from layfigure.draft.flatten.softness import softened

Reals = NDArray[np.float64]

LARGEST_TURN = 0.3
"""Greatest change of heading in one step [rad]."""
SETTLED = 0.03
"""Steps end when every outline moves less than this [mm]."""
STALE = 0.3
"""Turn [rad] or growth of the outline after which its stiffness is worked out anew."""
MIXING = 5
"""Steps remembered to extrapolate from."""
POLISHING = 3
"""Newton steps onto the conditions alone; each squares what is left of their miss."""


def solve_jointly(problem: JointProblem, steps: int) -> None:
    """Improve headings and speeds together.

    The problem's unknowns and positions are replaced. Stops after ``steps``, or when no outline moves further
    than ``SETTLED`` in one; closing and corner sums are then met to rounding.
    """
    mixing = AndersonMixing(depth=MIXING)
    shared: SharedStiffness | None = None
    for _ in range(steps):
        change, shared = _change(problem, shared, energy=True)
        share = _safe_share(problem, change)
        if share < 1.0:
            mixing.forget()
            unknowns = problem.unknowns + share * change
        else:
            unknowns = mixing.next(problem.unknowns, change)
        problem.set_unknowns(unknowns)
        if problem.place() < SETTLED:
            break
    for _ in range(POLISHING):
        change, shared = _change(problem, shared, energy=False)
        problem.set_unknowns(problem.unknowns + _safe_share(problem, change) * change)
    problem.place()


def _change(
    problem: JointProblem, shared: SharedStiffness | None, *, energy: bool
) -> tuple[Reals, SharedStiffness]:
    """Change of all headings and speeds in one step; without the energy, only onto the conditions.

    shared : of the step before. Returns that of this step too.
    """
    steps = _panel_steps(problem, energy=energy)
    missing = problem.condition_totals - problem.condition_rows @ problem.theta
    gradient = -problem.fairness @ problem.gamma if energy else np.zeros(problem.gamma.size)
    if shared is None or not shared.lasts(steps):
        shared = shared_stiffness(steps, problem.fairness, missing.size)
    changes, gamma_change = solve_step(steps, shared, gradient, missing)
    return np.concatenate([*changes, gamma_change]), shared


def _safe_share(problem: JointProblem, change: Reals) -> float:
    """Share of a change that turns no outline, and changes no speed, further than ``LARGEST_TURN``."""
    speeds = float(np.abs(change[problem.theta.size :]).max())
    return min(1.0, LARGEST_TURN / max(1e-12, problem.quadrature.greatest_turn(change), speeds))


def _panel_steps(problem: JointProblem, *, energy: bool) -> list[PanelStep]:
    """Each panel's part of the system, about the present headings."""
    quadrature, unknowns = problem.quadrature, problem.quadrature.unknowns
    outline, gaps = quadrature.positions(problem.increments)
    force = np.zeros_like(outline)
    if energy:
        force = problem.system.load(problem.pull) - problem.system.resistance(outline)
    slopes = quadrature.slopes(problem.increments, force)
    steps = []
    for p, (panel, kept) in enumerate(zip(problem.panels, _kept(problem), strict=True)):
        *closing, work = slopes[:, unknowns.own[p]]
        theta = problem.unknowns[unknowns.headings[p]]
        steps.append(
            PanelStep(
                kept=kept,
                right=work[: theta.size] - (panel.fairness @ theta if energy else 0.0),
                speed_right=work[theta.size :],
                closing=np.stack(closing),
                gap=np.array([gaps[p].real, gaps[p].imag]),
                columns=unknowns.columns[p],
            )
        )
    return steps


def _kept(problem: JointProblem) -> list[KeptStiffness]:
    """Stiffness of each panel against changes of heading and speed.

    It changes little from step to step and costs most of one, so it is kept until some part of the outline
    has turned or grown by ``STALE`` since it was made.
    """
    increments, quadrature = problem.increments, problem.quadrature
    kept = []
    for p, panel in enumerate(problem.panels):
        own = quadrature.nodes(p)
        if panel.kept is not None:
            turned = increments[own] / panel.kept_increments - 1.0
            if float(np.max(np.abs(turned))) < STALE:
                kept.append(panel.kept)
                continue
        # Single precision: the stiffness only aims the steps, and forces decide where they end.
        rows = quadrature.derivatives(increments, p).astype(np.float32)
        product = problem.system.outline_stiffness[p].astype(np.float32) @ rows
        held = (rows[0].T @ product[0] + rows[1].T @ product[1]).astype(np.float64)
        part = problem.system.stiffness.mesh.parts[p]
        hessian = softened(panel.shapes, problem.flat[part.vertices], rows, held, panel.coarse)
        corners = problem.condition_rows[:, quadrature.unknowns.headings[p]].T
        panel.kept = kept_stiffness(hessian, panel.fairness, corners)
        panel.kept_increments = increments[own]
        kept.append(panel.kept)
    return kept
