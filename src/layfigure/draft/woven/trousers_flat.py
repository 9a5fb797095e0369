"""Half a pair of trousers laid flat: a front and a back drafted from lengths read on the Form.

Widths are girths and ease shared between front and back; heights are lengths down the body; the crotch's
reach under the body is what makes its curve as long as the tape between the legs. Proportions are common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from layfigure.draft.woven.curve import curve_between
from layfigure.draft.woven.half_outline import Dart
from layfigure.geometry.polyline import length

Points = NDArray[np.float64]

BACK_WIDER = 10.0
"""A back is this much wider than a quarter of a girth, a front as much narrower [mm]."""
CENTRE_IN = {"front": 8.0, "back": 30.0}
"""How far the centre line leans in toward the side from hips to waist [mm]."""
SIDE_IN = 22.0
"""Most that the side seam takes in from hips to waist [mm]."""
DART_LONG = {"front": 90.0, "back": 130.0}
LEAST_DART, MOST_DART = 8.0, 38.0
"""A smaller dart is left to the side seam, a wider one becomes two [mm]."""
REACH = {"front": (0.02, 0.10), "back": (0.06, 0.20)}
"""How far the crotch may reach under the body, as shares of the hip girth."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrouserLengths:
    """What a front or back half must measure [mm].

    hip : its width there. waist : its finished waist edge. centre, side : down the body from the waist
    edge to the
    level of the crotch. hip_up : of the hips above that level. rise : tape from the waist edge to the
    crotch. knee,
    hem : widths. knee_down, hem_down : below the level of the crotch; at_knee : the first is the knee's own.
    """

    hip: float
    waist: float
    centre: float
    side: float
    hip_up: float
    rise: float
    knee: float
    hem: float
    knee_down: float
    hem_down: float
    round_hips: float
    at_knee: bool = True
    hem_drop: float = 0.0
    hem_fall: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrouserHalf:
    """A flat half with its centre at the left, level of the crotch at y = 0, centre line at the hips x =
    0 [mm].

    runs : waist edge from side to centre, runs and darts. centre, inseam, side : curves, all from the top
    down. hem : from the inseam to the side.
    crotch_off : how far the crotch seam is from the tape. reach : of the crotch beyond the centre. crease
    : x of the
    grain's line. thigh : width at the level of the crotch. hip_up, knee_down : of hips and knee from there.
    at_knee : whether ``knee_down`` is the knee, and not half-way down a short leg.
    """

    waist: tuple[Points | Dart, ...]
    centre: Points
    inseam: Points
    side: Points
    hem: Points
    crotch_off: float
    crease: float
    thigh: float
    hip_up: float
    knee_down: float
    at_knee: bool

    def across(self, height: float) -> Points:
        """Level across the leg from seam to seam, (2, 2)."""
        inner = self.inseam if height < float(self.inseam[0, 1]) else self.centre
        ends = [[float(np.interp(-height, -line[:, 1], line[:, 0])), height] for line in (inner, self.side)]
        return np.array(ends)


def trouser_half(
    part: str, sizes: TrouserLengths, *, inseam: float | None = None, side: float | None = None
) -> TrouserHalf:
    """Draft a ``front`` or ``back``. inseam, side : lengths those seams must have, of the half drafted
    before [mm].
    """
    low, high = (share * sizes.round_hips for share in REACH[part])

    drop, reach = 0.0, low
    for _ in range(4):
        # A back inseam is as long as the front's: the crotch of the back ends a little lower.
        reach = _solved(partial(_off, part, sizes, drop), low, high)
        if inseam is None:
            break
        drop = -_solved(partial(_longer, sizes, reach, inseam), -80.0, 80.0)
    crease = 0.5 * (sizes.hip - reach)
    centre = _centre(part, sizes, reach, drop)
    inner = _inseam(sizes, reach, drop)
    takes = sizes.hip - sizes.waist - CENTRE_IN[part]
    at_side = float(np.clip(0.45 * takes if takes > 0.0 else takes, -60.0, SIDE_IN))
    dart = takes - at_side
    if dart < LEAST_DART:
        at_side, dart = takes, 0.0
    for _ in range(6):
        lift = 0.0 if side is None else _solved(partial(_higher, sizes, crease, at_side, side), -60.0, 60.0)
        outer = _side(sizes, crease, at_side, lift)
        waist = _waist(part, sizes, outer[0], centre[0], dart)
        # Leaning edges make the waist a little longer than its breadth: the side gives way.
        over = sum(length(run) for run in waist if not isinstance(run, Dart)) - sizes.waist
        if abs(over) < 1e-6:
            break
        at_side += over
    return TrouserHalf(
        waist=waist,
        centre=centre,
        inseam=inner,
        side=outer,
        hem=_hem(sizes, inner[-1], outer[-1]),
        crotch_off=length(centre) - sizes.rise,
        crease=crease,
        thigh=sizes.hip + reach,
        hip_up=sizes.hip_up,
        knee_down=sizes.knee_down,
        at_knee=sizes.at_knee,
    )


def _solved(miss: Callable[[float], float], low: float, high: float) -> float:
    """Where a rising miss is nought, or the end nearest to it."""
    if miss(low) >= 0.0:
        return low
    if miss(high) <= 0.0:
        return high
    return float(brentq(miss, low, high, xtol=1e-9))


def _off(part: str, sizes: TrouserLengths, drop: float, reach: float) -> float:
    """How much longer than the tape the centre seam is [mm]."""
    return length(_centre(part, sizes, reach, drop)) - sizes.rise


def _longer(sizes: TrouserLengths, reach: float, wanted: float, up: float) -> float:
    """How much longer than wanted the inseam is that starts ``up`` higher [mm]."""
    return length(_inseam(sizes, reach, -up)) - wanted


def _higher(sizes: TrouserLengths, crease: float, inward: float, wanted: float, lift: float) -> float:
    """How much longer than wanted the side seam is that starts ``lift`` higher [mm]."""
    return length(_side(sizes, crease, inward, lift)) - wanted


def _centre(part: str, sizes: TrouserLengths, reach: float, drop: float) -> Points:
    """Centre seam from the waist edge down and under to the end of the crotch, (n, 2)."""
    top = np.array([CENTRE_IN[part], sizes.centre])
    hip = np.array([0.0, sizes.hip_up])
    end = np.array([-reach, -drop])
    down = hip - top
    curve = curve_between(hip, down, end, np.array([-1.0, -0.08]), 0.75, 0.55)
    return np.vstack([top, curve])


def _inseam(sizes: TrouserLengths, reach: float, drop: float) -> Points:
    """From the end of the crotch, ``drop`` lower, to the hem."""
    start, crease = np.array([-reach, -drop]), 0.5 * (sizes.hip - reach)
    knee = np.array([crease - 0.5 * sizes.knee, -sizes.knee_down])
    hem = np.array([crease - 0.5 * sizes.hem, -sizes.hem_down])
    down = hem - knee
    first = np.array([0.35 * (knee[0] - start[0]), -1.0 * sizes.knee_down * 0.35])
    return np.vstack([curve_between(start, first, knee, down, 0.3, 0.3), hem])


def _side(sizes: TrouserLengths, crease: float, inward: float, lift: float) -> Points:
    """From the waist edge, ``lift`` higher, over the hips to the hem."""
    top = np.array([sizes.hip - inward, sizes.side + lift])
    hip = np.array([sizes.hip, sizes.hip_up])
    knee = np.array([crease + 0.5 * sizes.knee, -sizes.knee_down])
    hem = np.array([crease + 0.5 * sizes.hem, -sizes.hem_down])
    plumb = np.array([0.0, -1.0])
    upper = curve_between(top, np.array([0.5 * inward, -(sizes.side - sizes.hip_up)]), hip, plumb, 0.35, 0.35)
    lower = curve_between(hip, plumb, knee, hem - knee, 0.3, 0.3)
    return np.vstack([upper, lower[1:], hem])


def _hem(sizes: TrouserLengths, inseam: Points, side: Points) -> Points:
    """From the inseam to the side: straight, or lower at the crease and smooth across the seams."""
    if sizes.hem_drop == sizes.hem_fall == 0.0:
        return np.array([inseam, side])
    middle = 0.5 * (inseam + side) - (0.0, sizes.hem_drop)
    level, down, up = (np.array([1.0, slope]) for slope in (0.0, -sizes.hem_fall, sizes.hem_fall))
    first = curve_between(inseam, down, middle, level, 0.35, 0.35)
    return np.vstack([first, curve_between(middle, level, side, up, 0.35, 0.35)[1:]])


def _waist(
    part: str, sizes: TrouserLengths, side: Points, centre: Points, dart: float
) -> tuple[Points | Dart, ...]:
    """Waist edge from the side to the centre, in runs with darts between, square to every seam it meets."""
    chord = centre - side
    way = chord / np.linalg.norm(chord)
    down = np.array([-way[1], way[0]])
    leaving = _square_to(side, np.array([sizes.hip, sizes.hip_up]), way)
    arriving = _square_to(centre, np.array([0.0, sizes.hip_up]), way)
    if dart <= 0.0:
        return (curve_between(side, leaving, centre, arriving, 0.3, 0.3),)
    count = 2 if dart > MOST_DART else 1
    width = dart / count
    visible = (float(np.linalg.norm(chord)) - dart) / (count + 1)
    runs: list[Points | Dart] = []
    at = side
    for k in range(count):
        first = side + ((k + 1) * visible + k * width) * way
        second = first + width * way
        # The tip stands square over the middle of the mouth, so both legs are equally long.
        tip = 0.5 * (first + second) + DART_LONG[part] * (1.0 if k == count - 1 else 0.85) * down
        runs.append(curve_between(at, leaving, first, _square_to(first, tip, way), 0.3, 0.3))
        runs.append(Dart(name=f"waist_{k + 1}", first=first, second=second, tip=tip, toward_first=False))
        at, leaving = second, _square_to(second, tip, way)
    return (*runs, curve_between(at, leaving, centre, arriving, 0.3, 0.3))


def _square_to(top: Points, below: Points, way: Points) -> Points:
    """Square to the line from ``top`` to ``below``, on the side that ``way`` points to."""
    line = below - top
    square = np.array([line[1], -line[0]])
    return square if square @ way > 0.0 else -square
