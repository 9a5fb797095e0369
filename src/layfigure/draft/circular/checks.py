"""What a circular piece is checked for after it is drafted."""

from __future__ import annotations

import numpy as np

from layfigure.body.form import Form
from layfigure.draft.circular.options import CircularOptions
from layfigure.draft.circular.plan import CircularPlan
from layfigure.draft.hanging.seat import sat_upon_check
from layfigure.draft.registry import Check

LEAST_COVER = 0.45
"""A cape that goes less far round the shoulders slides back off them (common practice, no source)."""
NEAR_TOP = 20.0
"""Nearer to the top edge its own ease decides [mm]."""
TRIP = 20.0
"""A hem lower than this is stepped on [mm] (common practice, no source)."""


def circular_checks(plan: CircularPlan, options: CircularOptions, form: Form) -> list[Check]:
    """Whether it goes on, stays on, clears the floor, and is not too thick at the top."""
    checks = []
    if plan.worn is not None:
        fall, cover = plan.worn.fall, plan.worn.cover
        upto = (fall.distance >= NEAR_TOP) & (fall.distance <= plan.deepest)
        if options.use == "cape":
            least = float(cover[upto].min())
            checks.append(
                Check.at_least(
                    what="how much of the way round the shoulders it reaches",
                    value=least,
                    limit=LEAST_COVER,
                    advice=(
                        "It slides back off the shoulders: take a larger share of a circle, or fasten it "
                        "at both shoulders."
                    ),
                )
            )
        elif plan.joined:
            room = plan.flat.round_at(fall.distance) - fall.beneath
            least = float(room[upto].min())
            checks.append(
                Check.at_least(
                    what="how much room it has where it is tightest below the top edge",
                    unit="mm",
                    value=least,
                    limit=0.0,
                    advice="It does not go over the hips: take more of a circle, more pleats or gathers.",
                )
            )
        low = float(plan.worn.target.min())
        checks.append(
            Check(
                what="how high the hem hangs above the floor",
                unit="mm",
                value=low,
                limit=TRIP,
                passed=low >= TRIP or not options.levelled,
                advice="" if low >= TRIP else "It will be stepped on: lift the hem, most of all for stairs.",
            )
        )
        behind = sat_upon_check(form, _behind(plan)) if options.use == "cape" else None
        if behind is not None:
            checks.append(behind)
    if plan.pleats is not None:
        over = plan.pleats.overlap
        checks.append(
            Check(
                what="how far neighbouring pleats lie over each other",
                unit="mm",
                value=over,
                limit=0.0,
                passed=over <= 1e-9,
                advice="" if over <= 1e-9 else "Make the pleats fewer or less deep: the top gets too thick.",
            )
        )
    return checks


def _behind(plan: CircularPlan) -> float:
    """Height of the hem in the middle of the back [mm]."""
    assert plan.worn is not None
    off = np.abs(np.mod(plan.worn.turn[:, -1], 1.0) - 0.5)
    return float(plan.worn.target[int(off.argmin())])
