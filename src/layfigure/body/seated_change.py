"""What sitting down does to lengths over the body: along the same line of skin, seated against standing.

Cloth that does not stretch has to be given what the seat needs and relieved of what the lap folds up. The
amounts are read on the wearer's own Form, its drafting surface sitting beside its standing one.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form

Points = NDArray[np.float64]

PLACES = 120
"""Places along a line in each region."""
INNER_LINES = np.linspace(0.0, 0.125, 6)
"""From the centre line to the middle of a half, in turns: the part of a half that the rise belongs to. Their
mean evens out the crease that skinning leaves in the lap."""
LEG_LINES = np.linspace(-0.1, 0.1, 5)
"""Round the middle of the front or the back of a leg, in turns."""
KNEE_FROM = 0.5
"""Station of the thigh above which a change belongs to the rise, not to the knee."""

Run = tuple[str, float, float]
"""A region by full name, and the stations between which it is read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatedChange:
    """How much longer the front and the back are seated than standing [mm]."""

    front: float
    back: float


def rise_change(form: Form, top: float) -> SeatedChange:
    """Change from a waist edge at a height, down to the crotch; nought on a Form that stands.

    top : standing height of the edge [mm].
    """
    runs = [("torso", 2.0, 5.0)]
    lines = {"front": INNER_LINES, "back": 0.5 - INNER_LINES}
    found = {
        part: _mean(_growth(form, runs, turn, top=top) for own in turns for turn in (own, 1.0 - own))
        for part, turns in lines.items()
    }
    return SeatedChange(**found)


def leg_change(form: Form, side: str, low: float) -> SeatedChange:
    """Change over and behind one knee down to a hem; nought on a Form that stands.

    low : standing height of the hem [mm].
    """
    runs = [(f"thigh_{side}", KNEE_FROM, 1.0), (f"shank_{side}", 0.0, 1.0)]
    found = {
        part: _mean(_growth(form, runs, float(np.mod(middle + off, 1.0)), low=low) for off in LEG_LINES)
        for part, middle in (("front", 0.0), ("back", 0.5))
    }
    return SeatedChange(**found)


def _growth(
    form: Form, runs: Sequence[Run], turn: float, *, top: float = np.inf, low: float = -np.inf
) -> float:
    """How much longer the line at a turn is seated, between two standing heights [mm]."""
    grown = 0.0
    for region, first, last in runs:
        stations, around = np.linspace(first, last, PLACES), np.full(PLACES, turn)
        before, after = (
            charts[region].points(stations, around) for charts in (form.charts, form.drafting_charts)
        )
        middle = 0.5 * (before[:-1, 2] + before[1:, 2])
        inside = (middle < top) & (middle > low)
        grown += float((_steps(after) - _steps(before))[inside].sum())
    return grown


def _steps(line: Points) -> Points:
    steps: Points = np.linalg.norm(np.diff(line, axis=0), axis=1)
    return steps


def _mean(values: Iterable[float]) -> float:
    found = list(values)
    return sum(found) / len(found)
