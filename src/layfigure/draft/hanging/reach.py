"""A top line that is shorter than its panel goes on round the body, so that the panel does too."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.hanging.fall import axis_of, outline_reach, turns_of
from layfigure.errors import DraftError
from layfigure.geometry.polyline import arc_lengths

Points = NDArray[np.float64]

FARTHEST = 0.45
"""A panel's ends stay this far from its middle at most, or they would lie over one another [turns]."""
SPARE = 2.0
"""The line is made this much longer than it needs to be at either end [mm]."""
TURN_STEP = 1.0 / 360.0


def reaching_round(form: Form, line: Points, width: float, *, over: Collection[str], where: str) -> Points:
    """The line, gone on at either end as far as a panel of that width hung on its middle reaches.

    line : (m, 3) that does not go round. It goes on level at the height of its ends, along the outline of
    what lies beneath. over : regions, without side. Raises DraftError for a panel that would go right round.
    """
    centre = axis_of(form, line)
    turns = np.unwrap(turns_of(line, centre), period=1.0)
    if turns[-1] < turns[0]:
        line, turns = line[::-1], turns[::-1]
    middle = 0.5 * (turns[0] + turns[-1])
    along = arc_lengths(line[:, :2])
    at_middle = float(np.interp(middle, turns, along))
    parts = [line]
    for end, way, has in ((0, -1.0, at_middle), (-1, 1.0, float(along[-1]) - at_middle)):
        short = 0.5 * width - has
        if short <= 0.0:
            continue
        more = _gone_on(form, line, end, centre, float(turns[end]), middle + way * FARTHEST, over)
        if float(arc_lengths(more[:, :2])[-1]) < short:
            raise DraftError(
                "it is wider than the way round what it hangs from.",
                where=where,
                advice="Give it less width, or a top line that goes right round.",
            )
        upto = int(np.searchsorted(arc_lengths(more[:, :2]), short + SPARE))
        added = more[1 : upto + 1]
        parts = [added[::-1], *parts] if end == 0 else [*parts, added]
    return np.concatenate(parts)


def _gone_on(
    form: Form, line: Points, end: int, centre: Points, start: float, stop: float, over: Collection[str]
) -> Points:
    """From an end of the line round to a direction, (k, 3), the end itself first."""
    height = float(line[end, 2])
    reach = outline_reach(form, centre, height, over)
    own = float(np.linalg.norm(line[end, :2] - centre))
    count = max(2, int(abs(stop - start) / TURN_STEP))
    turn = np.linspace(start, stop, count + 1)
    out = np.interp(turn, np.arange(len(reach)) / len(reach), reach, period=1.0)
    out[0] = own
    angle = 2.0 * np.pi * turn
    x, y = centre[0] + out * np.sin(angle), centre[1] - out * np.cos(angle)
    return np.column_stack([x, y, np.full(len(turn), height)])
