"""A hand from its traced outline: spread fingers on paper, from the wrist round all tips to the wrist."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.draft.glove.hand import DIGITS, Digit, HandShape
from layfigure.errors import DraftError
from layfigure.files.drawn_path import DrawnPath
from layfigure.geometry.polyline import length, points_at

Points = NDArray[np.float64]

STANDS_OUT = 12.0
"""A fingertip is this much farther from the wrist than the webs beside it, at least [mm]."""

_ADVICE = (
    "Lay the hand flat with fingers spread, trace it in one line from the wrist on the thumb's side round "
    "all five tips to the wrist on the other side, and leave the wrist open."
)


def traced_hand(lines: Sequence[DrawnPath], pencil: float, like: HandShape) -> HandShape:
    """Lengths and breadths of the digits from a tracing [mm]; girths of palm and arm stay the Form's.

    lines : the longest is the hand, left or right, drawn either way. pencil : how far outside the hand it
    runs. like : a hand whose fingers are as thick for their breadth. Raises DraftError where the outline
    does not show five digits.
    """
    if not lines:
        raise DraftError("the tracing of the hand holds no line.", advice=_ADVICE)
    outline = _opened(max(lines, key=lambda line: length(line.points, closed=line.closed)))
    base = 0.5 * (outline[0] + outline[-1])
    far = np.linalg.norm(outline - base, axis=1)
    # Loaded only here: it brings in all of the statistics, which no other kind needs.
    from scipy.signal import find_peaks

    tips, _ = find_peaks(far, prominence=STANDS_OUT)
    if len(tips) != len(DIGITS):
        raise DraftError(f"the tracing of the hand shows {len(tips)} fingertips, not five.", advice=_ADVICE)
    webs = np.array([a + int(np.argmin(far[a:b])) for a, b in pairwise(tips)])
    if far[webs[3]] < far[webs[0]]:  # the thumb's web lies nearest to the wrist
        last = len(outline) - 1
        outline, tips, webs = outline[::-1], last - tips[::-1], last - webs[::-1]
    up = outline[webs[1:]].mean(axis=0) - base
    up = up / np.linalg.norm(up)
    heights = (outline[webs] - base) @ up - pencil
    stretch = float(heights[1:].mean() / like.webs[1:].mean())
    return replace(
        like,
        digits=tuple(_digit(k, outline, tips, webs, pencil, like.digits[k]) for k in range(len(DIGITS))),
        webs=heights,
        heights=np.where(like.heights > 0.0, like.heights * stretch, like.heights),
    )


def _opened(line: DrawnPath) -> Points:
    """The outline from wrist to wrist, a point each millimetre; a closed one opens at its longest side."""
    points = line.points
    if line.closed:
        sides = np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1)
        points = np.roll(points, -(int(np.argmax(sides)) + 1), axis=0)
    return points_at(points, np.arange(0.0, length(points), 1.0))


def _digit(k: int, outline: Points, tips: Points, webs: Points, pencil: float, like: Digit) -> Digit:
    tip = outline[tips[k]]
    beside = {0: [0], 1: [1], 4: [3]}.get(k, [k - 1, k])
    base = outline[webs[beside]].mean(axis=0)
    if len(beside) == 1:
        # Only one web marks the base: the middle of the digit lies half its breadth to the other side.
        axis = tip - base
        outer = outline[: tips[k]] if k < 2 else outline[tips[k] :]
        outer = outer[np.abs((outer - base) @ axis) < 0.3 * float(axis @ axis)]
        if len(outer):
            base = 0.5 * (base + outer[int(np.argmin(np.linalg.norm(outer - base, axis=1)))])
    axis = (tip - base) / float(np.linalg.norm(tip - base))
    reach = float((tip - base) @ axis)
    across = np.array([-axis[1], axis[0]])
    start = webs[k - 1] if k > 0 else 0
    end = webs[k] if k < len(webs) else len(outline) - 1
    line = shapely.LineString(outline[start : end + 1])
    along = reach * np.linspace(0.08, 0.9, len(like.along))
    breadths = []
    for at in along:
        cut = shapely.LineString(base + at * axis + 60.0 * np.array([[-1.0], [1.0]]) * across)
        offs = (shapely.get_coordinates(line.intersection(cut)) - base) @ across
        breadths.append(np.ptp(offs) - 2.0 * pencil if len(offs) >= 2 else np.nan)
    breadth = np.array(breadths)
    known = np.isfinite(breadth) & (breadth > 4.0)
    if known.sum() < 4:
        raise DraftError(f"the tracing of the hand shows no sides of the {like.name}.", advice=_ADVICE)
    return replace(
        like,
        length=reach,
        along=along[known],
        girths=breadth[known] * _girth_of_breadth(like),
    )


def _girth_of_breadth(like: Digit) -> float:
    """Girth over breadth of a digit, from its sections in space."""
    apart = np.linalg.norm(like.rings[:, :, None] - like.rings[:, None, :], axis=3).max(axis=(1, 2))
    closed = np.concatenate([like.rings, like.rings[:, :1]], axis=1)
    girths = np.linalg.norm(np.diff(closed, axis=1), axis=2).sum(axis=1)
    return float(np.median(girths / apart))
