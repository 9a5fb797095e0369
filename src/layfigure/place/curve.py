"""The smooth line through the points of an edge, in chart coordinates."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from layfigure.design.design import EdgePoint
from layfigure.errors import PlacementError
from layfigure.place.band import smooth_band

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, weakref_slot=True)
class ChartCurve:
    """A run of an edge within one region.

    station, around : (m,); around is unwrapped, so it may leave [0, 1) and never jumps. corners : (c,) ways
    round of the points that are sharp.
    """

    region: str
    station: Points
    around: Points
    corners: Points = field(default_factory=lambda: np.empty(0))

    def __post_init__(self) -> None:
        """Every wearer of a design has the same curve: nobody may change it."""
        for values in (self.station, self.around, self.corners):
            values.flags.writeable = False


KEPT = 512
"""Edges of a few designs, each drawn as finely as two stages ask."""

WIDEST_GAP = 0.2
"""Share of a girth that a line right round may cross unseen before it is led by a plane cut of the body."""


CORNERS_MEET = 0.08
"""Corners of a band closer than this share of its girth are one corner, seen in two pictures."""

LEAST_MARKS = 6
"""Marks from which a band is drawn by smoothing; fewer are joined as they are."""


def chart_curves(
    points: Sequence[EdgePoint], *, closed: bool, goes_round: bool = False, samples: int = 24
) -> tuple[ChartCurve, ...]:
    """The edge as smooth runs, one for every region it passes through.

    Between corners a run is a cubic spline through its points (straight between two); corners stay sharp.
    A closed edge within one region that goes right round it ends one whole turn from its start; a closed
    edge across regions is cut into runs at the borders. goes_round : a closed edge within one region goes
    right round it, whatever part of it was marked; its unseen part follows the plane that the marked part
    lies nearest to, and marks that carry a spread are smoothed over. samples : points drawn
    between two marked ones. Raises PlacementError for fewer than two points.
    """
    return _curves(tuple(points), closed, goes_round, samples)


@lru_cache(maxsize=KEPT)
def _curves(
    points: tuple[EdgePoint, ...], closed: bool, goes_round: bool, samples: int
) -> tuple[ChartCurve, ...]:
    if len(points) < 2:
        raise PlacementError(
            "an edge needs two points at least.", advice="Mark its start and its end, or say it in words."
        )
    runs = _runs_by_region(points, closed=closed)
    whole = closed and len(runs) == 1
    if whole and goes_round:
        if all(point.spread_along > 0.0 for point in runs[0]) and len(runs[0]) >= LEAST_MARKS:
            return (_smooth_round(runs[0], samples),)
        runs = [_led_round(runs[0])]
    return tuple(_smooth(run, closed=whole, samples=samples) for run in runs)


def _runs_by_region(points: Sequence[EdgePoint], *, closed: bool) -> list[list[EdgePoint]]:
    """Consecutive points of the same region; a closed edge starts where a region does, if it has a border."""
    order = list(points)
    if closed:
        borders = [k for k in range(len(order)) if order[k].at.region != order[k - 1].at.region]
        if borders:
            order = order[borders[0] :] + order[: borders[0]]
    runs: list[list[EdgePoint]] = []
    for point in order:
        if runs and runs[-1][-1].at.region == point.at.region:
            runs[-1].append(point)
        else:
            runs.append([point])
    return runs


def _smooth_round(run: Sequence[EdgePoint], samples: int) -> ChartCurve:
    """A band through marks that carry a spread: smooth but for its corners, each way round sampled once."""
    around = np.array([point.at.around for point in run])
    station = np.array([point.at.station for point in run])
    spread = np.array([point.spread_along for point in run])
    corners = _met_corners([point for point in run if point.corner])
    band = smooth_band(around, station, spread, corners)
    start = float(corners[0]) if len(corners) else float(around.min())
    knots = np.unique(np.concatenate([[0.0], np.mod(around - start, 1.0)]))
    ways = start + _between(np.append(knots, 1.0), samples)
    return ChartCurve(region=run[0].at.region, station=band.station(ways), around=ways, corners=corners)


def _met_corners(points: Sequence[EdgePoint]) -> Points:
    """Ways round of a band's corners, the same corner seen in several pictures met halfway, by sureness."""
    groups: list[list[EdgePoint]] = []
    for point in sorted(points, key=lambda each: each.at.around):
        near = [g for g in groups if abs(_short_way(point.at.around - g[0].at.around)) < CORNERS_MEET]
        if near:
            near[0].append(point)
        else:
            groups.append([point])
    met = []
    for group in groups:
        first = group[0].at.around
        weight = np.array([1.0 / point.spread_around**2 if point.spread_around else 1.0 for point in group])
        off = np.array([_short_way(point.at.around - first) for point in group])
        met.append((first + float(weight @ off / weight.sum())) % 1.0)
    return np.array(met)


def _led_round(run: Sequence[EdgePoint]) -> list[EdgePoint]:
    """Points of a line right round a region in order round it, with guiding points where it was not seen.

    A tilted plane cuts a tube near station = a + b cos + c sin of the way round. That curve is fitted to the
    marks, tilt held back where they span little of the girth, and leads the line across each gap, its misses
    at the gap's ends shared out between them.
    """
    order = sorted(run, key=lambda point: point.at.around)
    around = np.array([point.at.around for point in order])
    station = np.array([point.at.station for point in order])
    gaps = np.diff(np.append(around, around[0] + 1.0))
    if gaps.max() <= WIDEST_GAP:
        return order

    def plane(ways: Points) -> Points:
        turn = 2.0 * np.pi * ways
        return np.column_stack([np.ones_like(turn), np.cos(turn), np.sin(turn)])

    held = np.diag([0.0, 0.3, 0.3])
    terms = plane(around)
    tilt = np.linalg.solve(terms.T @ terms + held, terms.T @ station)
    missed = station - terms @ tilt
    led: list[EdgePoint] = []
    for k, point in enumerate(order):
        led.append(point)
        parts = int(np.ceil(gaps[k] / (0.75 * WIDEST_GAP)))
        if gaps[k] <= WIDEST_GAP:
            continue
        share = np.arange(1, parts) / parts
        ways = around[k] + share * gaps[k]
        guide = plane(ways) @ tilt + (1.0 - share) * missed[k] + share * missed[(k + 1) % len(order)]
        led += [
            replace(point, at=replace(point.at, station=float(t), around=float(a % 1.0)), corner=False)
            for t, a in zip(guide, ways, strict=True)
        ]
    return led


def _smooth(run: Sequence[EdgePoint], *, closed: bool, samples: int) -> ChartCurve:
    region = run[0].at.region
    station = np.array([point.at.station for point in run])
    around = np.array([point.at.around for point in run])
    corner = np.array([point.corner for point in run])
    if len(run) == 1:
        return ChartCurve(region=region, station=station, around=around)
    around = np.unwrap(around, period=1.0)
    if closed:
        # The way home is the short one: round the limb if the points went round, back if they did not.
        turns = np.round(around[-1] + _short_way(around[0] - around[-1]) - around[0])
        station = np.append(station, station[0])
        around = np.append(around, around[0] + turns)
        corner = np.append(corner, corner[0])
        if not corner.any():
            return _periodic(region, station, around, samples)
        start = int(np.argmax(corner))
        shift = np.arange(start, start + len(station)) % (len(station) - 1)
        lap = np.arange(start, start + len(station)) // (len(station) - 1)
        station, around, corner = station[shift], around[shift] + lap * turns, corner[shift]
    cuts = [0, *[k for k in range(1, len(station) - 1) if corner[k]], len(station) - 1]
    parts = [_spline(station[a : b + 1], around[a : b + 1], samples) for a, b in itertools.pairwise(cuts)]
    joined = np.concatenate([part if k == 0 else part[1:] for k, part in enumerate(parts)])
    sharp = np.unique(np.mod(around[corner], 1.0))
    return ChartCurve(region=region, station=joined[:, 0], around=joined[:, 1], corners=sharp)


def _short_way(difference: float) -> float:
    return float((difference + 0.5) % 1.0 - 0.5)


def _parameter(station: Points, around: Points) -> Points:
    """Chord length in the chart; a station (half a thigh) and a turn weigh about alike."""
    steps = np.hypot(np.diff(station), np.diff(around))
    return np.concatenate([[0.0], np.cumsum(np.maximum(steps, 1e-9))])


def _between(knots: Points, samples: int) -> Points:
    """Every knot, with ``samples`` - 1 values between neighbours."""
    parts = [np.linspace(a, b, samples, endpoint=False) for a, b in itertools.pairwise(knots)]
    return np.concatenate([*parts, knots[-1:]])


def _spline(station: Points, around: Points, samples: int) -> Points:
    parameter = _parameter(station, around)
    at = _between(parameter, samples)
    places = np.column_stack([station, around])
    if len(station) == 2:
        return np.column_stack([np.interp(at, parameter, places[:, k]) for k in range(2)])
    # Natural ends: a line leaves its last mark straight, instead of bending to meet a condition inside.
    result: Points = CubicSpline(parameter, places, bc_type="natural")(at)
    return result


def _periodic(region: str, station: Points, around: Points, samples: int) -> ChartCurve:
    parameter = _parameter(station, around)
    whole = parameter[-1]
    at = _between(parameter, samples)
    slope = (around[-1] - around[0]) / whole
    level = np.column_stack([station, around - slope * parameter])
    level[-1] = level[0]
    wave = CubicSpline(parameter, level, bc_type="periodic")(at)
    return ChartCurve(region=region, station=wave[:, 0], around=wave[:, 1] + slope * at)
