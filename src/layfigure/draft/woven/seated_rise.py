"""What sitting takes from the front of a waist edge and adds to its back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layfigure.body.form import Form
from layfigure.body.seated_change import rise_change
from layfigure.draft.registry import Check

LEAST_RISE, MOST_RISE = 30.0, 40.0
"""What drafters for people who sit all day take from the front rise and add to the back, from the waist down
[mm] (common practice, no source)."""
RISE_OFF = 15.0
"""Most that the measured change may lie outside that [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatedRise:
    """lap : taken off in front. seat : added behind. off : how far what was measured lies outside what
    drafters do [mm].
    """

    lap: float
    seat: float
    off: float


NO_RISE = SeatedRise(lap=0.0, seat=0.0, off=0.0)


def seated_rise(form: Form, top: float) -> SeatedRise:
    """Read on the Form, and kept within what drafters do; nothing for a wearer who stands.

    top : standing height of the waist edge [mm]; one below the waist has its share.
    """
    if form.posture != "seated":
        return NO_RISE
    waist, crotch = form.level_heights["waist"], form.level_heights["crotch"]
    share = float(np.clip((top - crotch) / (waist - crotch), 0.0, 1.0))
    change = rise_change(form, top)
    measured = (-change.front, change.back)
    lap, seat = (float(np.clip(one, LEAST_RISE * share, MOST_RISE * share)) for one in measured)
    off = max(abs(measured[0] - lap), abs(measured[1] - seat))
    return SeatedRise(lap=lap, seat=seat, off=off)


def rise_check(rise: SeatedRise) -> Check:
    """Whether the wearer's own change is near to what drafters do."""
    return Check.at_most(
        what="how far this body's change from standing to sitting lies outside the 30 to 40 mm that are cut",
        unit="mm",
        value=rise.off,
        limit=RISE_OFF,
        advice="Fit the rise in a toile, sitting: pin out the lap, let out the seat.",
    )
