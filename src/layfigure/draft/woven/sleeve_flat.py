"""A set-in sleeve laid flat: a cap drafted to its armhole and the ease stated, over a tapered tube.

The cap is two S-curves from the underarm to its top, the front scooped deeper than the back (common
practice).
Its height is not chosen: it follows from the armhole's two lengths, the ease and the room round the arm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from layfigure.draft.woven.curve import curve_between
from layfigure.errors import DraftError
from layfigure.geometry.bezier import flattened_bezier
from layfigure.geometry.polyline import arc_lengths, length, points_at

Points = NDArray[np.float64]

HANDLES = {"front": (0.58, 0.46), "back": (0.42, 0.56)}
"""How far each cap's curve runs on level from the underarm and at the top, as shares of its breadth."""
FRONT_SHARE = 0.45
"""Of the cap's ease, how much lies in front; a back needs more to reach forward (common practice)."""
LEAST_HEIGHT, GREATEST_HEIGHT = 0.25, 0.92
"""Of a cap, as shares of its shorter half armhole."""
FLATNESS = 0.005
BESIDE_ELBOW = 60.0
"""Ease at the elbow is worked in over this much of the seam above it and below [mm] (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Armhole:
    """Lengths of one armhole from underarm to shoulder, and from underarm to the notch, front and back
    [mm].
    """

    front: float
    back: float
    front_notch: float
    back_notch: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SleeveFlat:
    """A flat sleeve, its front at the left, the middle of its cap at x = 0, the underarm at y = 0 [mm].

    cap : ``front_lower``, ``front_upper``, ``back_lower``, ``back_upper``, each (n, 2) from the underarm up;
    what lies above a notch carries the ease. front_ease, back_ease : how much. height : of the cap.
    width : at the underarm. front_runs, back_runs : stretches of the seams from the underarm down, one, or
    three with the middle one over the elbow; hem : (2, 2) to the right. elbow : its y, None where the sleeve
    ends above it. elbow_ease : how much longer the back seam is there.
    """

    cap: dict[str, Points]
    front_ease: float
    back_ease: float
    height: float
    width: float
    front_runs: tuple[Points, ...]
    back_runs: tuple[Points, ...]
    hem: Points
    elbow: float | None = None
    elbow_ease: float = 0.0

    @property
    def front_seam(self) -> Points:
        """The whole underarm seam in front, from the underarm down, (n, 2)."""
        return _joined(self.front_runs)

    @property
    def back_seam(self) -> Points:
        """The whole underarm seam behind, from the underarm down, (n, 2)."""
        return _joined(self.back_runs)


def sleeve_flat(
    armhole: Armhole,
    *,
    ease: float,
    width: float,
    below: float,
    hem: float,
    where: str,
    upper: float | None = None,
    elbow_ease: float = 0.0,
) -> SleeveFlat:
    """Draft a sleeve to an armhole.

    ease : of the cap over the armhole, all told. width : round the arm at the underarm. below : length of
    the
    tube from the top of the cap down. hem : width at its end. upper : from the top of the cap to the elbow.
    elbow_ease : how much longer the back is there, so that the sleeve bends forward. Raises
    DraftError for an armhole too small for the arm.
    """
    front_ease, back_ease = FRONT_SHARE * ease, (1.0 - FRONT_SHARE) * ease
    front, back = armhole.front + front_ease, armhole.back + back_ease
    shorter = min(front, back)

    def breadth(height: float) -> float:
        return _breadth("front", height, front) + _breadth("back", height, back) - width

    lowest, highest = LEAST_HEIGHT * shorter, GREATEST_HEIGHT * shorter
    if breadth(lowest) < 0.0 or breadth(highest) > 0.0:
        small = breadth(lowest) < 0.0
        raise DraftError(
            "the armhole is too small for a sleeve that goes round the arm."
            if small
            else "the armhole is too large for a sleeve that fits the arm.",
            where=where,
            advice="Give the armhole more drop, or the sleeve less room."
            if small
            else "Give the armhole less drop, or the sleeve more room.",
        )
    height = float(brentq(breadth, lowest, highest, xtol=1e-9))
    across = {part: _breadth(part, height, size) for part, size in (("front", front), ("back", back))}
    cap: dict[str, Points] = {}
    for part, sign, notch in (("front", -1.0, armhole.front_notch), ("back", 1.0, armhole.back_notch)):
        curve = _cap(part, height, across[part]) * (sign, 1.0)
        cap[f"{part}_lower"], cap[f"{part}_upper"] = _cut_at(curve, notch)
    narrow = 0.5 * (width - hem)
    low = height - below
    underarms = np.array([[-across["front"], 0.0], [across["back"], 0.0]])
    ends = np.array([[-across["front"] + narrow, low], [across["back"] - narrow, low]])
    front_runs: tuple[Points, ...] = (np.array([underarms[0], ends[0]]),)
    back_runs: tuple[Points, ...] = (np.array([underarms[1], ends[1]]),)
    elbow = None if upper is None or height - upper < low + BESIDE_ELBOW else height - upper
    if elbow is None or elbow > -1.5 * BESIDE_ELBOW or elbow - 1.5 * BESIDE_ELBOW < low:
        elbow_ease = 0.0
    if elbow_ease > 0.0:
        assert elbow is not None
        front_runs, back_runs, ends = _bent(front_runs[0], back_runs[0], elbow, elbow_ease)
        elbow_ease = length(back_runs[1]) - length(front_runs[1])
    return SleeveFlat(
        cap=cap,
        front_ease=front_ease,
        back_ease=back_ease,
        height=height,
        width=width,
        front_runs=front_runs,
        back_runs=back_runs,
        hem=ends,
        elbow=elbow,
        elbow_ease=elbow_ease,
    )


def _bent(
    front: Points, back: Points, elbow: float, ease: float
) -> tuple[tuple[Points, ...], tuple[Points, ...], Points]:
    """Both seams in three stretches, and the hem, of a sleeve turned forward at the elbow.

    It turns about its front seam until the back has opened by ``ease``.
    """

    def at(seam: Points, y: float) -> Points:
        share = (y - seam[0, 1]) / (seam[1, 1] - seam[0, 1])
        place: Points = seam[0] + share * (seam[1] - seam[0])
        return place

    pivot = at(front, elbow)
    angle = ease / float(at(back, elbow)[0] - pivot[0])
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    runs, ends = [], []
    for seam in (front, back):
        above = at(seam, elbow + BESIDE_ELBOW)
        below, end = ((place - pivot) @ turn + pivot for place in (at(seam, elbow - BESIDE_ELBOW), seam[1]))
        bend = curve_between(above, above - seam[0], below, end - below, 0.35, 0.35)
        runs.append((np.array([seam[0], above]), bend, np.array([below, end])))
        ends.append(end)
    return runs[0], runs[1], np.array(ends)


def _joined(runs: tuple[Points, ...]) -> Points:
    return np.vstack([runs[0], *(run[1:] for run in runs[1:])])


def _cap(part: str, height: float, breadth: float) -> Points:
    """Half a cap from the underarm at (breadth, 0) to its top at (0, height), level at both, (n, 2)."""
    low, high = HANDLES[part]
    corners = np.array(
        [[breadth, 0.0], [(1.0 - low) * breadth, 0.0], [high * breadth, height], [0.0, height]]
    )
    curve: Points = np.vstack([corners[:1], flattened_bezier(corners, FLATNESS)])
    return curve


def _breadth(part: str, height: float, size: float) -> float:
    """Breadth of half a cap of a height and a length along its curve [mm]."""
    return float(brentq(lambda x: length(_cap(part, height, x)) - size, 1.0, size, xtol=1e-9))


def _cut_at(curve: Points, distance: float) -> tuple[Points, Points]:
    """A curve cut in two by length."""
    along = arc_lengths(curve)
    at = points_at(curve, [distance])
    below = along < distance - 1e-9
    return np.vstack([curve[below], at]), np.vstack([at, curve[~below]])
