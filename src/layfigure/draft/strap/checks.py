"""What is verified of a strap: how it lies, whether it stays, what it bears."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from shapely import Polygon

from layfigure.draft.registry import Check
from layfigure.draft.strap.load import slips
from layfigure.draft.strap.pieces import StrapMake, StrapPart
from layfigure.draft.strap.route import SHARP, StrapRun
from layfigure.draft.strap.slots import STILL_OVER
from layfigure.errors import DraftError

NARROW, WIDE, LIGHT = 20.0, 25.0, 0.5
"""A strap is 20 mm wide under half a kilogram, 25 to 40 above (common practice, no source) [mm, kg]."""

EDGES_OFF = 15.0
"""A strap's edges standing further off than this look loose [mm] (common practice, no source)."""


HIGHER = 0.5
"""How much higher on the hip a strap passes that stands off above it, in stations of the torso (our trial on
three random bodies, where it took 16 to 19 mm to 5 to 9)."""


def run_checks(run: StrapRun, off: float, neutral: float, *, low: float | None = None) -> list[Check]:
    """Of a strap's way. off : how far its edges stand off; neutral : height of its middle line [mm]. low :
    station of its lowest place, where it goes across the body by that.
    """
    poke = max(0.0, neutral - float(run.gap.min()))
    turn = max((abs(math.degrees(held.turn)) for held in run.held), default=0.0)
    slip = max((slips(h.turn, h.wrap) for h in run.held), default=0.0)
    sharp = round(math.degrees(SHARP))
    return [
        Check.at_most(
            what="how far its edges stand off, but for 5 % of them",
            unit="mm",
            value=off,
            limit=EDGES_OFF,
            advice=_off_advice(run, neutral, low),
        ),
        Check.at_most(
            what="how far the body stands out of its middle line",
            unit="mm",
            value=poke,
            limit=1.0,
            advice="Mark the line with more points.",
        ),
        Check.at_most(
            what="how sharply it turns sideways where it is held",
            unit="degrees",
            value=turn,
            limit=sharp,
            advice="State it as two straps that meet in a ring there.",
        ),
        Check.at_most(
            what="sideways pull where it is held, over what friction holds",
            value=slip,
            limit=1.0,
            advice="Hold it there with a snap or a loop on the layer below.",
        ),
    ]


def _off_advice(run: StrapRun, neutral: float, low: float | None) -> str:
    """Edges of a strap whose middle spans a hollow stand off however narrow it is."""
    if float(np.percentile(run.gap - neutral, 95)) < 0.5 * EDGES_OFF:
        return "Make it narrower."
    if low is not None and low - HIGHER >= 2.5:
        return f"It spans the hollow above the hip: let it pass higher, low = {low - HIGHER:g}."
    return "It spans a hollow: move its line out of it, or pad the hollow."


def part_checks(parts: Sequence[StrapPart], make: StrapMake, mass: float | None) -> list[Check]:
    """Of its parts. mass : that it bears [kg], if known. Raises DraftError for plates beyond its end."""
    crossed = sum(
        not Polygon(np.concatenate([edge.curve[:-1] for edge in part.edges])).is_valid for part in parts
    )
    checks = [
        Check(
            what="how many outlines cross themselves",
            value=float(crossed),
            limit=0.0,
            passed=crossed == 0,
            advice="" if crossed == 0 else "Make it narrower.",
        )
    ]
    if mass is not None:
        least = WIDE if mass >= LIGHT else NARROW
        checks.append(
            Check.at_least(
                what="its width, for the weight it bears",
                unit="mm",
                value=make.width,
                limit=least,
                advice=f"Make it {least:g} mm wide or wider.",
            )
        )
    row = make.slots
    if row is not None:
        room = parts[0].worn
        if row.reach > room:
            raise DraftError(
                f"{row.count} plates reach further than their strap is long.",
                advice="Take fewer or lower plates, more overlap, or fasten the strap further along.",
            )
        checks.append(
            Check.at_least(
                what="overlap left when one plate is up and the next one down",
                unit="mm",
                value=row.least_overlap,
                limit=STILL_OVER,
                advice="Take less travel or more overlap, or the plates catch behind each other.",
            )
        )
    return checks
