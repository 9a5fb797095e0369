"""Lines of a glove's outline drawn evenly: the round of a slot, smooth sides, and parts joined to one."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from layfigure.geometry.polyline import arc_lengths, points_at

Points = NDArray[np.float64]

STEP = 0.8
"""Between points of an outline [mm]; chords of a round slot stay within 0.03 mm of it."""


def round_slot(start: Points, end: Points) -> Points:
    """The half circle below two points, from the one to the other on its left, (n, 2)."""
    middle, radius = 0.5 * (start + end), 0.5 * float(np.linalg.norm(end - start))
    first = np.arctan2(*(start - middle)[::-1])
    angle = first - np.linspace(0.0, np.pi, 41)
    arc: Points = middle + radius * np.column_stack([np.cos(angle), np.sin(angle)])
    return arc


def joined(*parts: Points) -> Points:
    """Curves that follow one another as one, evenly drawn, their meeting points once, (n, 2)."""
    whole = np.concatenate([parts[0], *(part[1:] for part in parts[1:])])
    s = arc_lengths(whole)
    return points_at(whole, np.linspace(0.0, s[-1], max(2, int(np.ceil(s[-1] / STEP)) + 1)))


def smooth_side(through: Points) -> Points:
    """A smooth line through points that rise steadily, without overshoot, evenly drawn (n, 2)."""
    s = arc_lengths(through)
    fine = np.linspace(0.0, s[-1], max(2, int(np.ceil(s[-1] / STEP)) + 1))
    curve: Points = PchipInterpolator(s, through)(fine)
    return curve
