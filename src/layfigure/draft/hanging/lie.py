"""Where places on the body lie on a panel that hangs before them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.hanging.fall import turns_of
from layfigure.draft.hanging.panel import PanelPlan
from layfigure.draft.window.sheet import REACH, Carry

Points = NDArray[np.float64]

BESIDE = 0.25
"""A place further round than this from the middle is behind the panel's back [turns]."""
STEPS = 25
TOLD = (
    "A place on the body is carried straight out to the panel: at its own height, and as far from the middle "
    "line as the body is round to there."
)


def panel_carry(plan: PanelPlan) -> Carry | None:
    """Places on the body to the flat panel; None for a panel that hangs from no line on the body."""
    fall = plan.fall
    if fall is None:
        return None
    middle = float(np.interp(0.0, plan.across, plan.turn))

    def carry(places: Points) -> tuple[Points, Points]:
        turn = turns_of(places, fall.centre)
        turn = turn + np.round(middle - turn)
        height = places[:, 2]
        way = middle + (turn - middle)[:, None] * np.linspace(0.0, 1.0, STEPS)
        round_there = fall.at(way, fall.down_to(way, height[:, None]))
        out = np.linalg.norm(np.diff(round_there[..., :2], axis=1), axis=2).sum(axis=1)
        x = np.copysign(out, turn - middle)
        # The flare widens the panel on its way down: the place at the top that the cloth here hangs from.
        top, down = x, np.zeros(len(x))
        for _ in range(4):
            hung = np.interp(top, plan.across, plan.turn)
            down = fall.down_to(hung, height)
            share = np.clip(down / np.interp(top, plan.across, plan.length), 0.0, 1.5)
            top = x / plan.widened(share)
        flat = np.column_stack([x, np.interp(top, plan.across, plan.rise) - down])
        off = np.linalg.norm(round_there[:, -1, :2] - places[:, :2], axis=1)
        return flat, np.where((np.abs(turn - middle) > BESIDE) | (off > 2.0 * REACH), np.inf, off)

    return carry
