"""What a tape can check on the wearer, in the words of somebody holding one."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.distance import pdist

from layfigure.body.chart import RegionChart
from layfigure.body.form import Form
from layfigure.body.levels import split_region
from layfigure.design.design import DesignEdge
from layfigure.geometry.polyline import length
from layfigure.place.curve import ChartCurve
from layfigure.place.placement import TapeCheck

Points = NDArray[np.float64]

LEVEL_WORDS: dict[str, str] = {
    "ankle": "ankle bone",
    "ball": "ball of the foot",
    "crotch": "crotch",
    "elbow": "elbow bone",
    "fingertip": "middle fingertip",
    "knee": "middle of the kneecap",
    "knuckles": "knuckles",
    "nape": "nape bone",
    "shoulder_point": "shoulder point",
    "toe_tip": "tip of the toes",
    "under_bust": "under-bust line",
    "under_chin": "chin",
    "wrist": "wrist bone",
}

LINE_WORDS: dict[str, tuple[str, str, str, str]] = {
    # What lies at around 0, 1/4, 1/2, 3/4. The trunk counts toward the wearer's left, limbs outward.
    "trunk": ("front", "left side", "back", "right side"),
    "arm": ("thumb line", "outside", "little-finger line", "inside"),
    "hand": ("back of the hand", "little-finger edge", "palm", "thumb edge"),
    "leg": ("front", "outside", "back", "inside"),
    "foot": ("ridge", "outside", "sole", "inside"),
}


def line_words(region: str) -> tuple[str, str, str, str]:
    """Names of the four lines of a region at around 0, 1/4, 1/2 and 3/4."""
    stem = split_region(region)[0].name
    if stem in {"thigh", "shank"}:
        return LINE_WORDS["leg"]
    if stem in {"upper_arm", "forearm"}:
        return LINE_WORDS["arm"]
    return LINE_WORDS.get(stem, LINE_WORDS["trunk"])


STEPS = 24
"""Points of a way that a tape takes on the skin."""


@dataclass(frozen=True, slots=True, eq=False)
class _Way:
    """A straight way over a chart that a tape takes: from and to (station, around), and what to call it."""

    what: str
    start: tuple[float, float]
    end: tuple[float, float]
    spread: float


def tape_checks(
    edge: DesignEdge, curves: Sequence[ChartCurve], line: Points, form: Form
) -> tuple[TapeCheck, ...]:
    """Two to six readings that together pin the edge down on the wearer.

    A band round a region is checked on its four lines and by its girth; any other line at its corners and
    ends; a closed motif by its top, its foot, its widest place and how far it lies round the body.
    line : (k, 3) the curves on the tape surface, standing [mm].
    """
    stature = float(form.landmarks["crown"][2])
    along = stature * float(np.sqrt(np.mean([p.spread_along**2 for p in edge.points])))
    around = stature * float(np.sqrt(np.mean([p.spread_around**2 for p in edge.points])))
    band = len(curves) == 1 and edge.closed and abs(curves[0].around[-1] - curves[0].around[0]) > 0.5
    if band:
        return _band_checks(curves[0], line, form, along)
    if edge.closed:
        return _motif_checks(curves, line, form, along, around)
    return _line_checks(edge, form, along, around)


def _read(chart: RegionChart, ways: Sequence[_Way]) -> list[TapeCheck]:
    """What the tape reads on ways over one chart."""
    # All together: a chart takes as long for one way as for six.
    ends = np.array([[way.start, way.end] for way in ways])
    steps = np.linspace(ends[:, 0], ends[:, 1], STEPS, axis=1).reshape(-1, 2)
    places = chart.points(steps[:, 0], steps[:, 1]).reshape(len(ways), STEPS, 3)
    lengths = np.sqrt(np.square(np.diff(places, axis=1)).sum(axis=2)).sum(axis=1)
    return [
        TapeCheck(what=way.what, length=float(found), spread=way.spread)
        for way, found in zip(ways, lengths, strict=True)
    ]


def _band_checks(curve: ChartCurve, line: Points, form: Form, spread: float) -> tuple[TapeCheck, ...]:
    chart = form.charts[curve.region]
    order = np.argsort(curve.around)
    around, stations = curve.around[order], curve.station[order]
    low, high = float(around[0]) - 1e-9, float(around[-1]) + 1e-9
    ways: list[_Way] = []
    for position, word in enumerate(line_words(curve.region)):
        wanted = position / 4.0
        # The first turn on which the band passes this line.
        passed = math.ceil(low - wanted) + wanted
        if passed <= high:
            station = float(np.interp(passed, around, stations))
            ways.append(_from_nearest_level(chart, station, wanted, word, spread))
    return (
        *(_read(chart, ways) if ways else ()),
        TapeCheck(what="round the body along the edge", length=length(line), spread=spread),
        TapeCheck(
            what=f"floor to the edge at the {line_words(curve.region)[0]}, standing",
            length=float(line[int(np.argmin(np.abs(np.mod(curve.around + 0.5, 1.0) - 0.5))), 2]),
            spread=spread,
        ),
    )


def _motif_checks(
    curves: Sequence[ChartCurve], line: Points, form: Form, along: float, around: float
) -> tuple[TapeCheck, ...]:
    first = curves[0]
    chart = form.charts[first.region]
    ways = []
    for word, pick in (("top", int(np.argmin(first.station))), ("foot", int(np.argmax(first.station)))):
        name = f"{word} of the motif"
        station, turn = float(first.station[pick]), float(np.mod(first.around[pick], 1.0))
        ways.append(_from_nearest_level(chart, station, turn, name, along))
        ways.append(_from_zero_line(chart, station, turn, name, around))
    return (
        *_read(chart, ways),
        TapeCheck(what="longest way across the motif", length=float(pdist(line).max()), spread=along),
        TapeCheck(what="widest place across it", length=_across(line, line.mean(axis=0)), spread=around),
    )


def _across(line: Points, middle: Points) -> float:
    """Width of a flat loop square to its longest direction [mm]."""
    _, _, axes = np.linalg.svd(line - middle, full_matrices=False)
    side = (line - middle) @ axes[1]
    return float(side.max() - side.min())


def _line_checks(edge: DesignEdge, form: Form, along: float, around: float) -> tuple[TapeCheck, ...]:
    picks = sorted({0, len(edge.points) - 1, *[k for k, p in enumerate(edge.points) if p.corner]})
    checks: list[TapeCheck] = []
    for k in picks[:3]:
        at = edge.points[k].at
        name = "start of the edge" if k == 0 else "end of the edge" if k == len(edge.points) - 1 else "point"
        chart = form.charts[at.region]
        checks += _read(
            chart,
            [
                _from_nearest_level(chart, at.station, at.around, name, along),
                _from_zero_line(chart, at.station, at.around, name, around),
            ],
        )
    return tuple(checks)


def _from_nearest_level(chart: RegionChart, station: float, around: float, place: str, spread: float) -> _Way:
    """The way along the skin from the nearest named level to a place."""
    level = min(max(round(station), 0), len(chart.level_names) - 1)
    name = chart.level_names[level]
    words = LEVEL_WORDS.get(name, name.replace("_", " "))
    limb = split_region(chart.region)[0].spacing == "bone"
    if abs(station - level) < 1e-9:
        what = f"{place}: on the {words}"
    elif limb:
        toward = chart.level_names[min(level + 1, len(chart.level_names) - 1)]
        back = chart.level_names[max(level - 1, 0)]
        other = LEVEL_WORDS.get(toward, toward) if station > level else LEVEL_WORDS.get(back, back)
        what = f"{place}: from the {words} toward the {other.replace('_', ' ')}"
    else:
        what = f"{place}: {'down' if station > level else 'up'} from the {words}"
    return _Way(what, (float(level), around), (station, around), spread)


def _from_zero_line(chart: RegionChart, station: float, around: float, place: str, spread: float) -> _Way:
    """The way round the body from the nearest of the region's four lines to a place."""
    nearest = round(around * 4.0) % 4
    difference = (around - nearest / 4.0 + 0.5) % 1.0 - 0.5
    words = line_words(chart.region)
    toward = words[(nearest + (1 if difference > 0 else -1)) % 4]
    if abs(difference) < 1e-6:
        what = f"{place}: on the {words[nearest]}"
    else:
        what = f"{place}: round from the {words[nearest]} toward the {toward}"
    return _Way(what, (station, nearest / 4.0), (station, nearest / 4.0 + difference), spread)
