"""What can go wrong with a bodice and its sleeves, in words."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from layfigure.draft.registry import Check
from layfigure.draft.woven.bodice_flat import HalfFlat

WEARABLE = 0.015
"""Most that a tape on the body may differ from the flat cloth: 3 mm over a back 200 mm wide. Woven cloth
would ease in some 3 to 5 % on the bias (common practice, no source), but a draft should not need it."""
GIRTH_OFF = 15.0
"""Most that the girth at the bust may be off what was asked for [mm]."""
CAP_EASE = (15.0, 40.0)
"""Ease of a set-in sleeve's cap over its armhole, all told [mm] (common practice, no source)."""
LEFT_OVER = float(np.radians(8.0))


def bodice_checks(
    halves: Mapping[tuple[str, str], HalfFlat], *, waist: float, bust: float
) -> tuple[Check, ...]:
    """Strain, girths, and darts. halves : by part and side. waist, bust : what they should measure [mm]."""
    (part, _), half = max(halves.items(), key=lambda item: item[1].strain)
    worst, tape = half.strain, half.worst_tape.replace("_", " ")
    sewn = sum(half.edge_length("waist") for half in halves.values())
    round_bust = sum(half.bust for half in halves.values())
    spare = max(abs(half.darts.left_over) for half in halves.values())
    return (
        Check(
            what="most that a tape over the body differs from the flat cloth",
            unit="%",
            value=100.0 * worst,
            limit=100.0 * WEARABLE,
            passed=worst <= WEARABLE,
            advice=""
            if worst <= WEARABLE
            else f"Try it in a toile first: the {part} will fold or pull from {tape}.",
        ),
        Check.at_most(
            what="how far the waist edge, darts folded, is from body and ease",
            unit="mm",
            value=abs(sewn - waist),
            limit=0.5,
        ),
        Check.at_most(
            what="how far the girth at the bust is from body and ease",
            unit="mm",
            value=abs(round_bust - bust),
            limit=GIRTH_OFF,
            advice="Check the side seams at the bust in a toile.",
        ),
        Check(
            what="roundness that no dart takes up",
            unit="degrees",
            value=float(np.degrees(spare)),
            limit=float(np.degrees(LEFT_OVER)),
            passed=spare <= LEFT_OVER,
            advice=""
            if spare <= LEFT_OVER
            else "The cloth gapes or pulls by that much: pin a dart there in a toile.",
        ),
    )


def cap_check(eased: float) -> Check:
    """Whether the cap's ease can be worked in."""
    low, high = CAP_EASE
    passed = low <= eased <= high
    return Check(
        what="ease of the sleeve cap over its armhole",
        unit="mm",
        value=eased,
        limit=high,
        passed=passed,
        advice=""
        if passed
        else f"Between {low:g} and {high:g} mm can be eased in without a pucker or a pull.",
    )
