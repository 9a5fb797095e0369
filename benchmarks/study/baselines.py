"""Three ways people carry a mark today, written without the study: what the figure has to beat.

Each takes one mark in a front, back or side picture, with the landmarks and outlines marked there, and
gives a place on the wearer. None knows anything the maker did not mark.

* height scaling: the picture is scaled to the wearer's stature and laid over her.
* segment scaling: along the limb by the share between its two landmarks, across by the same scale.
* fractions: along as before, across as a share of the half-width seen at that height, turned into a share
  of the girth as if the section were an ellipse of equal steps (arcsine).
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.body.levels import split_region
from layfigure.design.marks import PictureMarks

Points = NDArray[np.float64]
NAMES = ("height scaling", "segment scaling", "fractions")

_ACROSS = {"front": (1.0, 0.0), "back": (-1.0, 0.0), "left": (0.0, 1.0), "right": (0.0, -1.0)}
_TOWARD = {"front": (0.0, -1.0), "back": (0.0, 1.0), "left": (1.0, 0.0), "right": (-1.0, 0.0)}
_ENDS = {
    "upper_arm": ("shoulder_point", "elbow"),
    "forearm": ("elbow", "wrist"),
    "thigh": ("crotch", "knee"),
    "shank": ("knee", "ankle"),
}


def carry(
    marks: PictureMarks, pixels: Points, region: str, charts: Mapping[str, RegionChart], stature: float
) -> dict[str, Points]:
    """Places on the wearer (m, 3) [mm] by baseline; rows are nan where its landmarks are not marked.

    pixels : (m, 2) marks on one region. charts, stature : the wearer's.
    """
    lost = np.full((len(pixels), 3), np.nan)
    if marks.view not in _ACROSS:
        return dict.fromkeys(NAMES, lost)
    chart = charts[region]
    across = np.array([*_ACROSS[marks.view], 0.0])
    toward = np.array([*_TOWARD[marks.view], 0.0])
    return {
        "height scaling": _by_height(marks, pixels, chart, stature, across, toward),
        "segment scaling": _by_segment(marks, pixels, chart, across, toward),
        "fractions": _by_fractions(marks, pixels, chart),
    }


def _by_height(
    marks: PictureMarks, pixels: Points, chart: RegionChart, stature: float, across: Points, toward: Points
) -> Points:
    landmarks = marks.landmarks
    ankles = [landmarks[f"ankle_{side}"] for side in ("left", "right") if f"ankle_{side}" in landmarks]
    if "crown" not in landmarks or not ankles:
        return np.full((len(pixels), 3), np.nan)
    toes = [landmarks[f"toe_tip_{side}"] for side in ("left", "right") if f"toe_tip_{side}" in landmarks]
    floor = max(float(place[1]) for place in (toes or ankles))
    scale = stature / (floor - landmarks["crown"][1])
    middle = landmarks["crotch"][0] if "crotch" in landmarks else landmarks["crown"][0]
    height = (floor - pixels[:, 1]) * scale
    offset = (pixels[:, 0] - middle) * scale
    result = np.empty((len(pixels), 3))
    heights = chart.sections[:, :, 2].mean(axis=1)
    for row, (z, u) in enumerate(zip(height, offset, strict=True)):
        station = float(np.interp(-z, -heights, chart.stations))
        result[row] = _across_section(chart.section(station), u, across, toward, middle=None)
    return result


def _fraction(marks: PictureMarks, pixels: Points, region: str) -> tuple[Points, Points, float] | None:
    """Station, offset across the limb [px, picture right positive] and the segment's length [px]."""
    definition, side = split_region(region)
    landmarks = marks.landmarks
    if definition.name == "torso":
        heights, stations, middles = [], [], []
        for station, level in enumerate(definition.levels):
            names = [f"{level}_{end}" for end in ("left", "right", "front", "back")] + [level]
            places = [landmarks[name] for name in names if name in landmarks]
            if places:
                stations.append(float(station))
                heights.append(float(np.mean([place[1] for place in places])))
                pairs = [f"{level}_left", f"{level}_right"], [f"{level}_front", f"{level}_back"]
                both = [
                    np.mean([landmarks[n][0] for n in pair])
                    for pair in pairs
                    if all(n in landmarks for n in pair)
                ]
                middles.append((heights[-1], float(both[0])) if both else None)
        known = [entry for entry in middles if entry is not None]
        if len(stations) < 2 or not known:
            return None
        order = np.argsort(heights)
        station = np.interp(pixels[:, 1], np.array(heights)[order], np.array(stations)[order])
        rows, columns = np.array(known).T
        order = np.argsort(rows)
        middle = np.interp(pixels[:, 1], rows[order], columns[order])
        return station, pixels[:, 0] - middle, float(np.ptp(heights))
    first, second = _ENDS[definition.name]
    start = landmarks.get("crotch" if first == "crotch" else f"{first}_{side}")
    end = landmarks.get(f"{second}_{side}")
    if end is None or start is None:
        return None
    if first == "crotch":
        # The thigh's top has no landmark of its own: as high as the crotch, over the knee.
        start = np.array([end[0], start[1]])
    line = end - start
    length = float(np.linalg.norm(line))
    unit = line / length
    along = (pixels - start) @ unit
    right = np.array([-unit[1], unit[0]])
    right = right * np.sign(right[0])
    return along / length, (pixels - start) @ right, length


def _by_segment(
    marks: PictureMarks, pixels: Points, chart: RegionChart, across: Points, toward: Points
) -> Points:
    read = _fraction(marks, pixels, chart.region)
    if read is None:
        return np.full((len(pixels), 3), np.nan)
    station, offset, length = read
    low, high = chart.section(chart.stations[0]).mean(axis=0), chart.section(chart.stations[-1]).mean(axis=0)
    span = chart.stations[-1] - chart.stations[0]
    whole = 1.0 if len(chart.level_names) == 2 else 4.0
    scale = float(np.linalg.norm(high - low)) * whole / span / length
    return np.array(
        [
            _across_section(chart.section(float(t)), u * scale, across, toward, middle="section")
            for t, u in zip(station, offset, strict=True)
        ]
    )


def _by_fractions(marks: PictureMarks, pixels: Points, chart: RegionChart) -> Points:
    read = _fraction(marks, pixels, chart.region)
    outline = [points.points for points in marks.outlines if points.region == chart.region]
    outline += _level_ends(marks, chart.region)
    if read is None or not outline:
        return np.full((len(pixels), 3), np.nan)
    station, offset, _ = read
    other = _fraction(marks, np.vstack(outline), chart.region)
    assert other is not None
    result = np.full((len(pixels), 3), np.nan)
    _, side = split_region(chart.region)
    outward = -1.0 if side == "right" else 1.0
    for row, (t, u) in enumerate(zip(station, offset, strict=True)):
        ends = []
        for sign in (1.0, -1.0):
            pick = other[1] * sign > 0
            if not pick.any():
                break
            order = np.argsort(other[0][pick])
            ends.append(float(np.interp(t, other[0][pick][order], other[1][pick][order])))
        if len(ends) < 2:
            continue
        middle, half = 0.5 * (ends[0] + ends[1]), 0.5 * abs(ends[0] - ends[1])
        turn = np.arcsin(np.clip((u - middle) / max(half, 1e-9), -1, 1)) / (2 * np.pi)
        zero = {"front": 0.0, "back": 0.5, "left": 0.25 * outward, "right": -0.25 * outward}[marks.view]
        around = zero + turn * outward
        result[row] = chart.points(np.array([t]), np.array([around]))[0]
    return result


def _level_ends(marks: PictureMarks, region: str) -> list[Points]:
    """Landmarks that lie on a region's outline, (1, 2) each."""
    definition, side = split_region(region)
    if definition.name == "torso":
        ends = ("left", "right") if marks.view in ("front", "back") else ("front", "back")
        names = [f"{level}_{end}" for level in definition.levels for end in ends]
    else:
        names = [f"{joint}_{side}_{end}" for joint in definition.levels for end in ("inner", "outer")]
    return [marks.landmarks[name][None] for name in names if name in marks.landmarks]


def _across_section(
    section: Points, offset: float, across: Points, toward: Points, *, middle: str | None
) -> Points:
    """The point of a section on the side toward the viewer at an offset across the view."""
    u, near = section @ across, section @ toward
    centre = 0.5 * (u.min() + u.max()) if middle == "section" else 0.0
    wanted = np.clip(offset + centre, u.min(), u.max())
    following_u, following_near = np.roll(u, -1), np.roll(near, -1)
    crosses = (u - wanted) * (following_u - wanted) <= 0
    share = np.divide(wanted - u, following_u - u, out=np.zeros_like(u), where=np.abs(following_u - u) > 1e-9)
    depth = np.where(crosses, near + share * (following_near - near), -np.inf)
    index = int(depth.argmax())
    place: Points = section[index] + share[index] * (np.roll(section, -1, axis=0)[index] - section[index])
    return place
