"""Necklines: a depth at the middle in front and behind, a width on the shoulders, and a shape between."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.panels.body_fields import body_fields
from layfigure.draft.panels.surface import Surface
from layfigure.geometry.polyline import points_at

Points = NDArray[np.float64]
NecklineShape = Literal["round", "v", "stand"]

POWER: dict[NecklineShape, float] = {"round": 2.0, "v": 1.0, "stand": 2.0}
"""Of the curve in front: 2 is an ellipse, which leaves the shoulder square to it; 1 is a straight V."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Neckline:
    """A neckline for any wearer.

    front, back : down the skin from the pit of the neck, from the nape [mm]. width : share of the shoulder,
    from the side of the neck outward.
    """

    shape: NecklineShape = "round"
    front: float = 25.0
    back: float = 15.0
    width: float = 0.28


def below_neckline(form: Form, surface: Surface, line: Neckline) -> Points:
    """How far below a neckline each vertex lies, (n,), about [mm] near it, in the drafting pose.

    Across, a place counts from the middle; the other way, by how far it lies down and forward (or back) of
    the shoulder: a path over the skin, so that it works on top of a shoulder and low on a back alike.
    """
    rise = np.array([0.0, 0.0, _drafting_rise(form)])
    mark = {name: place + rise for name, place in form.landmarks.items()}
    left, right = (
        (1.0 - line.width) * mark[f"neck_side_{side}"] + line.width * mark[f"shoulder_point_{side}"]
        for side in ("left", "right")
    )
    x, y, z = surface.vertices.T
    behind = body_fields().front_back > 0.0
    ends = [right[0], left[0]]
    ridge_y, ridge_z = (np.interp(x, ends, [right[k], left[k]]) for k in (1, 2))
    path = np.maximum(np.abs(y - ridge_y) + ridge_z - z, 0.0)
    front = _down_the_middle(form, mark["front_neck"], 0.0, line.front)
    back = _down_the_middle(form, mark["nape"], 0.5, line.back)
    middle = 0.5 * (left + right)
    depth_front, depth_back = (
        abs(float(end[1] - middle[1])) + float(middle[2] - end[2]) for end in (front, back)
    )
    depth = np.maximum(np.where(behind, depth_back, depth_front), 10.0)
    power = np.where(behind, 2.0, POWER[line.shape])
    out = np.where(x > 0.0, x / left[0], x / right[0])
    reached = (out**power + (path / depth) ** power) ** (1.0 / power)
    below: Points = (reached - 1.0) * np.minimum(0.5 * (left[0] - right[0]), depth)
    return below


def _down_the_middle(form: Form, start: Points, around: float, down: float) -> Points:
    """The place so far down the skin from a landmark, at the front (0) or back (0.5) of the trunk, (3,)."""
    chart = form.drafting_charts["torso"]
    stations = np.linspace(float(chart.stations[0]), 3.0, 160)
    line = chart.points(stations, np.full(160, around))
    below = line[line[:, 2] < start[2]]
    place: Points = points_at(np.vstack([start, below]), [down])[0]
    return place


def _drafting_rise(form: Form) -> float:
    """How much higher the shoulders stand in the drafting pose than standing [mm]."""
    chart, standing = form.drafting_charts["torso"], form.charts["torso"]
    return float(np.median(chart.sections[:, :, 2] - standing.sections[:, :, 2]))


def zero_curve(surface: Surface, field: Points, chosen: NDArray[np.bool_]) -> Points:
    """The longest closed line along which a field vanishes on chosen faces, (k, 3), from its start to it;
    (0, 3) where there is none.
    """
    faces = surface.faces[chosen]
    inside = field[faces] < 0.0
    faces = faces[inside.any(axis=1) & ~inside.all(axis=1)]
    steps: dict[tuple[int, int], tuple[int, int]] = {}
    for a, b, c in faces.tolist():
        # Round each face the line enters by one crossed side and leaves by the other.
        entered = left = (-1, -1)
        for i, j in ((a, b), (b, c), (c, a)):
            if (field[i] < 0.0) != (field[j] < 0.0):
                if field[i] < 0.0:
                    entered = (min(i, j), max(i, j))
                else:
                    left = (min(i, j), max(i, j))
        steps[entered] = left
    longest: list[tuple[int, int]] = []
    while steps:
        start, at = steps.popitem()
        line = [start]
        while at in steps:
            line.append(at)
            at = steps.pop(at)
        if len(line) > len(longest) and at == start:
            longest = line
    if not longest:
        return np.zeros((0, 3))
    sides = np.array([*longest, *longest[:1]])
    low, high = field[sides[:, 0]], field[sides[:, 1]]
    share = (low / (low - high))[:, None]
    curve: Points = (1.0 - share) * surface.vertices[sides[:, 0]] + share * surface.vertices[sides[:, 1]]
    return curve


def halves_to_the_point(neck: Points) -> dict[str, Points]:
    """Left and right half of a pointed neckline, each from behind to its point in front, by line name."""
    ring = neck[:-1]
    low = np.where(ring[:, 1] < ring[:, 1].mean(), ring[:, 2], np.inf).argmin()
    from_point = np.roll(ring, -int(low), axis=0)
    back = int(np.abs(from_point[:, 0] + 1e3 * (from_point[:, 1] < ring[:, 1].mean())).argmin())
    halves = (from_point[: back + 1][::-1], np.vstack([from_point[back:], from_point[:1]]))
    point = np.array([0.0, *from_point[0, 1:]])
    named = {}
    for half in halves:
        side = "left" if half[:, 0].mean() > 0.0 else "right"
        named[f"neck_{side}"] = np.vstack([half[:-1], point])
    return named
