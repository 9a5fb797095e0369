"""A set-in thumb: the oval hole in the side of a glove, and the tube of cloth that is sewn round it.

The hole is bitten out of palm and back across the side seam. The thumb's piece wraps round the thumb, its
seam on the inner side, folded on the outer one, and reaches down over the ball of the thumb with a tongue
as long as the hole asks. Both halves of its lower edge are made exactly as long as the bite they meet.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.special import ellipe

from layfigure.draft.glove.even_lines import smooth_side
from layfigure.draft.glove.fit import GloveFit
from layfigure.draft.glove.hand import Digit
from layfigure.draft.glove.outline import cut_at
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length, resample

Points = NDArray[np.float64]

TONGUE = 0.75
"""Length of the tongue over the height of the hole: common practice, no source."""

PALM_SHARE = 0.7
"""Of the hole's depth, what lies in the palm: the thumb stands toward it."""

POINTS = 121

CORRECTIONS = 3
"""Of the length that chords cut off, each for what the one before it left."""

_TURN = np.linspace(0.0, np.pi, 4 * POINTS)
_QUARTER = np.linspace(0.0, 0.5 * np.pi, 4 * POINTS)
_BITE_DOWN, _BITE_IN = 0.5 * (1.0 - np.cos(_TURN)), np.sin(_TURN)
_LOWER = np.column_stack([np.cos(_QUARTER), -np.sin(_QUARTER)])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SetInThumb:
    """palm, back : (n, 2) the hole in each half, from the web down, palm up. Of the thumb's own piece, tip
    up, its outside seen: left and right sides from the lower edge up, and both halves of the lower edge from
    the sides to the tongue. end : straight or, for a closed tip, of no length.
    """

    palm: Points
    back: Points
    left: Points
    right: Points
    lower_back: Points
    lower_palm: Points
    fold: Points


def set_in_thumb(
    thumb: Digit, fit: GloveFit, side: Points, *, root: float, web: float, covered: float
) -> SetInThumb:
    """Hole and piece. side : (n, 2) thumb's side of a half, rising. root, web : heights of the hole's ends.

    Raises DraftError where the hole is too small for the thumb.
    """
    top, bottom = (cut_at(side, y)[1][0] for y in (web, root))
    tall = float(np.linalg.norm(top - bottom))
    half = 0.5 * (float(thumb.girth(0.0)) * (1.0 + fit.round)) + np.pi * fit.beneath
    palm, back = _bites(top, bottom, length(_lower(half, TONGUE * tall)), 0.6 * half)
    shift, tongue = _tongue(half, length(palm), length(back))
    right = _lower(half - shift, tongue) + np.array([shift, 0.0])
    left = _lower(half + shift, tongue) * (-1.0, 1.0) + np.array([shift, 0.0])
    reach = thumb.length * (1.0 + fit.along) + fit.beneath
    flank = _flank(thumb, fit, half, reach, covered)
    return SetInThumb(
        palm=palm,
        back=back,
        left=flank * (-1.0, 1.0),
        right=flank,
        lower_back=left,
        lower_palm=right,
        fold=np.array([[shift, -tongue], [0.0, flank[-1, 1]]]),
    )


def _bites(top: Points, bottom: Points, around: float, most: float) -> tuple[Points, Points]:
    """The hole in palm and back, together twice as long as ``around``, at most so deep on the mean [mm]."""
    tall = float(np.linalg.norm(top - bottom))
    in_palm, in_back = 2.0 * PALM_SHARE, 2.0 * (1.0 - PALM_SHARE)
    deep = np.array([in_palm, in_back])

    def smooth(depth: float) -> float:
        return _quarter(0.5 * tall, in_palm * depth) + _quarter(0.5 * tall, in_back * depth)

    def depth_for(asked: Points) -> Points:
        wanted = float(asked[0])
        if wanted <= tall or wanted >= smooth(most):
            return np.array([0.0 if wanted <= tall else most])
        return np.array([brentq(lambda d: smooth(d) - wanted, 0.0, most)])

    def drawn(depth: Points) -> Points:
        return np.array([np.mean([length(_bite(top, bottom, d)) for d in depth * deep])])

    palm, back = (_bite(top, bottom, d) for d in _drawn_as_long(np.array([around]), depth_for, drawn) * deep)
    return palm, back


def _bite(top: Points, bottom: Points, depth: float) -> Points:
    """Half an ellipse into the half from its thumb's side, from the web down, evenly drawn."""
    down = bottom - top
    inward = np.array([-down[1], down[0]]) / np.linalg.norm(down)
    curve = top + _BITE_DOWN[:, None] * down + depth * _BITE_IN[:, None] * inward
    return resample(curve, POINTS)


def _lower(half: float, tongue: float) -> Points:
    """A quarter of an ellipse from the side's corner down to the tongue's tip, evenly drawn."""
    return resample(_LOWER * (half, tongue), POINTS)


def _tongue(half: float, palm: float, back: float) -> tuple[float, float]:
    """Sideways place and length of the tongue for which both lower edges are as long as asked."""

    def solved(asked: Points) -> Points:
        beside_palm, beside_back = (float(one) for one in asked)

        def shift_for(tongue: float) -> float:
            wide = 0.95 * half
            return float(brentq(lambda s: _quarter(half - s, tongue) - beside_palm, -wide, wide))

        def missing(tongue: float) -> float:
            return _quarter(half + shift_for(tongue), tongue) - beside_back

        tongue = brentq(missing, 0.12 * half, 0.9 * min(palm, back))
        return np.array([shift_for(tongue), tongue])

    def drawn(found: Points) -> Points:
        shift, tongue = found.tolist()
        return np.array([length(_lower(half - shift, tongue)), length(_lower(half + shift, tongue))])

    try:
        shift, tongue = _drawn_as_long(np.array([palm, back]), solved, drawn).tolist()
    except ValueError as error:
        raise DraftError(
            "the hole for the thumb does not fit the thumb.",
            advice="Check the girth of the hand, or trace the hand.",
        ) from error
    return shift, tongue


def _quarter(one: float, other: float) -> float:
    """Length of a quarter of an ellipse with these half axes, by the complete elliptic integral."""
    long, short = max(one, other), min(one, other)
    return long * float(ellipe(1.0 - (short / long) ** 2))


def _drawn_as_long(
    wanted: Points, solved: Callable[[Points], Points], drawn: Callable[[Points], Points]
) -> Points:
    """What solves for the lengths of smooth lines, such that the chords they are drawn by are as long as
    wanted: what the chords cut off is asked for beforehand.
    """
    asked = wanted
    for _ in range(CORRECTIONS):
        found = solved(asked)
        asked = asked + wanted - drawn(found)
    return found


def _flank(thumb: Digit, fit: GloveFit, half: float, reach: float, covered: float) -> Points:
    """The right side of the piece from its lower corner to the tip, or to where it is cut."""
    along = np.linspace(0.0, reach, 40)
    girth = thumb.girth(along / (1.0 + fit.along)) * (1.0 + fit.round) + 2.0 * np.pi * fit.beneath
    wide = np.minimum(0.5 * girth, half)
    height = min(0.55 * float(np.interp(0.8 * reach, along, wide)), 0.45 * reach)
    cap = reach - height
    upto = cap if covered >= 1.0 else min(covered * reach, cap)
    y = np.linspace(0.0, upto, max(4, int(upto / 8.0) + 1))
    straight = np.column_stack([np.interp(y, along, wide), y])
    if covered < 1.0:
        return smooth_side(straight)
    angle = np.linspace(0.0, 0.5 * np.pi, 12)[1:]
    last = float(straight[-1, 0])
    round_end = np.column_stack([last * np.cos(angle), cap + height * np.sin(angle)])
    return smooth_side(np.vstack([straight, round_end]))
