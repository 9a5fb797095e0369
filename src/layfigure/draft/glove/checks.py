"""What is verified of a glove: seams, outlines, room for every finger, and whether the hand gets in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely
from shapely import Polygon

from layfigure.draft.glove.layout import FITTED, FlatHand, strip_share
from layfigure.draft.glove.outline import THUMB_ROOT, covered_length
from layfigure.draft.registry import Check
from layfigure.materials.opening import check_opening
from layfigure.piece.piece import Piece

MATES_LIMIT = 0.05
ROOM_SHARE = 0.6
"""Of a knit's measured stretch, what a finger may use at its root; common practice stays below the whole,
and a glove is taken off before it tires."""


def sewing_checks(pieces: Sequence[Piece]) -> list[Check]:
    """Seams in pairs of equal length, outlines that do not cross."""
    by_seam: dict[str, list[float]] = {}
    for piece in pieces:
        for edge in piece.edges:
            if edge.seam is not None:
                by_seam.setdefault(edge.seam, []).append(edge.length)
    unequal = max(max(lengths) - min(lengths) for lengths in by_seam.values())
    lone = sum(len(lengths) != 2 for lengths in by_seam.values())
    outlines = [Polygon(piece.stitch_line) for piece in pieces]
    crossed = sum(not (outline.is_valid and outline.exterior.is_ccw) for outline in outlines)
    return [
        Check(
            what="how much edges that are joined differ in length",
            unit="mm",
            value=float(unequal),
            limit=MATES_LIMIT,
            passed=bool(unequal <= MATES_LIMIT),
        ),
        Check(what="how many seams lack a mate", value=float(lone), limit=0.0, passed=lone == 0),
        Check(
            what="how many outlines cross themselves",
            value=float(crossed),
            limit=0.0,
            passed=crossed == 0,
            advice="" if crossed == 0 else "Make the glove fingerless, or trace the hand.",
        ),
    ]


def finger_checks(flat: FlatHand, covered: float, *, stretch: float, allowance: float) -> list[Check]:
    """Stretch that the fingers ask of the cloth, and room between them for two allowances [mm]."""
    asked = 0.0
    for count, finger in zip((1.0, 2.0, 2.0, 1.0), flat.fingers, strict=True):
        upto = covered_length(finger, covered)
        along = np.linspace(0.0, min(upto, FITTED * finger.cap), 30)
        strips = count * flat.strip * strip_share(along / finger.cap)
        glove = 2.0 * finger.width(along) + strips
        real = finger.digit.girth(along) + 2.0 * math.pi * flat.fit.beneath
        asked = max(asked, float((real / glove).max()) - 1.0)
    limit = ROOM_SHARE * stretch
    gap = min(
        float(
            shapely.LineString(a.side(1.0, covered_length(a, covered))).distance(
                shapely.LineString(b.side(-1.0, covered_length(b, covered)))
            )
        )
        for a, b in pairwise(flat.fingers)
    )
    return [
        Check(
            what="how much the cloth must stretch round a finger",
            value=max(0.0, asked),
            limit=limit,
            passed=asked <= limit + 1e-6,
            advice=""
            if asked <= limit + 1e-6
            else "Give it more ease, or take strips between the fingers, or a cloth that stretches more.",
        ),
        Check.at_least(
            what="least room between two fingers for their allowances",
            unit="mm",
            value=gap,
            limit=2.0 * allowance,
            advice="Take narrower allowances or less ease.",
        ),
    ]


def narrowest(flat: FlatHand, low: float) -> float:
    """Least girth of a glove between its cuff and the root of the thumb [mm]."""
    heights = np.linspace(low, THUMB_ROOT * float(flat.hand.webs[0]), 60)
    return 2.0 * float(flat.half(heights).min())


def opening_check(girth: float, stretch: float, hand: float, *, opens: bool) -> Check:
    """Whether the hand, thumb tucked in, passes the narrowest girth. hand : its girth [mm]."""
    opening = check_opening(girth, stretch, hand)
    passed = opening.passes or opens
    advice = ""
    if opens and not opening.passes:
        advice = "Closed, it does not pass the hand: open the slit to put it on."
    elif not passed:
        advice = "It does not go on: take opening = 'slit' or 'elastic', or a cloth that stretches more."
    return Check(
        what="girth of the hand over what the narrowest part passes, fully stretched",
        value=opening.share,
        limit=1.0,
        passed=passed,
        advice=advice,
    )
