"""How the roundness of a bodice half is shared out to darts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

SMALL = float(np.radians(3.0))
"""A smaller angle is left to the cloth as ease instead of being sewn as a dart."""
ONE_DART = float(np.radians(18.0))
"""One dart to the waist takes no more than this, some 60 mm at the edge (common practice)."""
SIDE_DART = float(np.radians(25.0))
SIDE_PART = 0.55
"""Most that a dart from the side to the bust takes, and its share of the whole (common practice)."""

THIRD_DART = float(np.radians(22.0))
"""Most that a dart from the shoulder to a very full bust takes, after those from waist and side."""
LEAST_BETWEEN = 20.0
"""Least cloth between two darts, and between the second and the side [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DartPlan:
    """Angles of the darts of one half [rad], 0 where there is none.

    waist : the first and the second. side, shoulder : of a front, from its side seam and its shoulder.
    left_over : what no dart takes: cloth all round does.
    """

    waist: tuple[float, float]
    side: float
    shoulder: float
    left_over: float


def plan_darts(gap: float, part: str, *, between: float = LEAST_BETWEEN) -> DartPlan:
    """Share a gap [rad] out, greedily: one dart while it will do, then the next one that takes most.

    between : cloth that two darts to the waist would leave between them [mm].
    part : ``front``, whose second dart comes from the side and whose last from the shoulder, or ``back``,
    which has darts to the waist alone; that of its shoulder ends above the blade (``corner_tapes``).
    """
    if gap < SMALL:
        return DartPlan(waist=(0.0, 0.0), side=0.0, shoulder=0.0, left_over=gap)
    side = shoulder = 0.0
    rest = gap
    if gap > ONE_DART and part == "front":
        side = min(SIDE_DART, SIDE_PART * gap)
    waist = min(rest - side - shoulder, 2.0 * ONE_DART)
    if part == "front":
        third = gap - side - waist
        shoulder = min(THIRD_DART, third) if third > SMALL else 0.0
    left_over = gap - side - shoulder - waist
    two = (
        (0.6 * waist, 0.4 * waist) if waist > ONE_DART + SMALL and between >= LEAST_BETWEEN else (waist, 0.0)
    )
    return DartPlan(waist=two, side=side, shoulder=shoulder, left_over=left_over)
