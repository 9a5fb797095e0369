"""What a tape can check on the wearer, in the words of somebody holding one."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

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


def tape_checks(edge: DesignEdge, curves: Sequence[ChartCurve], form: Form) -> tuple[TapeCheck, ...]:
    """Two to six readings that together pin the edge down on the wearer.

    A band round a region is checked on its four lines and by its girth; any other line at its corners and
    ends; a closed motif by its top, its foot, its widest place and how far it lies round the body.
    """
    stature = float(form.landmarks["crown"][2])
    along = stature * float(np.sqrt(np.mean([p.spread_along**2 for p in edge.points])))
    around = stature * float(np.sqrt(np.mean([p.spread_around**2 for p in edge.points])))
    band = len(curves) == 1 and edge.closed and abs(curves[0].around[-1] - curves[0].around[0]) > 0.5
    if band:
        return _band_checks(curves[0], form, along)
    if edge.closed:
        return _motif_checks(curves, form, along, around)
    return _line_checks(edge, form, along, around)


def _band_checks(curve: ChartCurve, form: Form, spread: float) -> tuple[TapeCheck, ...]:
    chart = form.charts[curve.region]
    checks: list[TapeCheck] = []
    for position, word in enumerate(line_words(curve.region)):
        order = np.argsort(curve.around)
        wanted = position / 4.0
        reach = np.arange(np.floor(curve.around.min()) - 1, np.ceil(curve.around.max()) + 2) + wanted
        inside = reach[(reach >= curve.around.min() - 1e-9) & (reach <= curve.around.max() + 1e-9)]
        if not inside.size:
            continue
        station = float(np.interp(inside[0], curve.around[order], curve.station[order]))
        checks.append(_from_nearest_level(chart, station, wanted, word, spread))
    line = chart.points(curve.station, curve.around)
    checks.append(TapeCheck(what="round the body along the edge", length=length(line), spread=spread))
    checks.append(
        TapeCheck(
            what=f"floor to the edge at the {line_words(curve.region)[0]}, standing",
            length=float(line[int(np.argmin(np.abs(np.mod(curve.around + 0.5, 1.0) - 0.5))), 2]),
            spread=spread,
        )
    )
    return tuple(checks)


def _motif_checks(
    curves: Sequence[ChartCurve], form: Form, along: float, around: float
) -> tuple[TapeCheck, ...]:
    line = np.concatenate([form.charts[c.region].points(c.station, c.around) for c in curves])
    first = curves[0]
    chart = form.charts[first.region]
    checks = []
    for word, pick in (("top", int(np.argmin(first.station))), ("foot", int(np.argmax(first.station)))):
        name = f"{word} of the motif"
        station, way = float(first.station[pick]), float(np.mod(first.around[pick], 1.0))
        checks.append(_from_nearest_level(chart, station, way, name, along))
        checks.append(_from_zero_line(chart, station, way, name, around))
    middle = line.mean(axis=0)
    spans = np.linalg.norm(line[:, None] - line[None], axis=2)
    checks.append(TapeCheck(what="longest way across the motif", length=float(spans.max()), spread=along))
    normal = _across(line, middle)
    checks.append(TapeCheck(what="widest place across it", length=normal, spread=around))
    return tuple(checks)


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
        checks.append(_from_nearest_level(chart, at.station, at.around, name, along))
        checks.append(_from_zero_line(chart, at.station, at.around, name, around))
    return tuple(checks)


def _from_nearest_level(
    chart: RegionChart, station: float, around: float, place: str, spread: float
) -> TapeCheck:
    """Distance along the skin from the nearest named level to a place."""
    level = int(np.clip(np.round(station), 0, len(chart.level_names) - 1))
    steps = np.linspace(level, station, 24)
    distance = length(chart.points(steps, np.full(24, around)))
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
    return TapeCheck(what=what, length=distance, spread=spread)


def _from_zero_line(
    chart: RegionChart, station: float, around: float, place: str, spread: float
) -> TapeCheck:
    """Distance round the body from the nearest of the region's four lines to a place."""
    nearest = int(np.round(around * 4.0)) % 4
    difference = (around - nearest / 4.0 + 0.5) % 1.0 - 0.5
    steps = np.linspace(nearest / 4.0, nearest / 4.0 + difference, 24)
    distance = length(chart.points(np.full(24, station), steps))
    words = line_words(chart.region)
    toward = words[(nearest + (1 if difference > 0 else -1)) % 4]
    if abs(difference) < 1e-6:
        what = f"{place}: on the {words[nearest]}"
    else:
        what = f"{place}: round from the {words[nearest]} toward the {toward}"
    return TapeCheck(what=what, length=distance, spread=spread)
