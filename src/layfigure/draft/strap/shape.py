"""A strap laid flat: straight where it was pulled straight, bent in its plane where it is held aside."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.strap.route import StrapRun

Points = NDArray[np.float64]

STEP = 2.0
BEND = 1.5
"""Radius of a bend in the flat strap, in widths (common practice, no source)."""

STRAIGHT = 0.07
"""Turns below this, 4 degrees, are left to the strap's give [rad]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """A turn to the left by ``angle`` [rad] about ``along`` [mm] from the start."""

    along: float
    angle: float


def bends_of(run: StrapRun, start: float) -> list[Bend]:
    """Turns of a run counted from a place on it; a loop is counted on round."""
    bends = []
    for held in run.held:
        if abs(held.turn) >= STRAIGHT:
            along = held.along - start
            bends.append(Bend(along=along % run.length if run.loop else along, angle=held.turn))
    return bends


def flat_middle(length: float, bends: Sequence[Bend], width: float) -> Points:
    """Middle line of a flat strap from x = 0 to the right, exactly as long as asked, (n, 2) [mm].

    Every turn is spread over an arc as long as its radius asks, about the place it belongs to.
    """
    count = max(2, int(np.ceil(length / STEP)))
    step = length / count
    middles = step * (np.arange(count) + 0.5)
    heading = np.zeros(count)
    for bend in bends:
        arc = BEND * width * abs(bend.angle)
        share = np.clip((middles - bend.along) / arc + 0.5, 0.0, 1.0)
        heading += bend.angle * share
    steps = step * np.column_stack([np.cos(heading), np.sin(heading)])
    curve: Points = np.concatenate([np.zeros((1, 2)), np.cumsum(steps, axis=0)])
    return curve
