"""Where seams run when the design says nothing: scalar fields on the template that vanish there.

``sagittal`` is zero on the centre lines, positive on the wearer's left. ``front_back`` is zero on the side,
the shoulder, the inside and outside of the leg and the top and underside of the arm, positive behind.
``outward`` is negative on the inner side of a leg.
``above_armpit`` parts the shoulder seam from the side seam, ``under`` is positive on the underside of an arm.
``armhole`` is zero where a sleeve is set in, positive on the arm.
``princess`` is zero from the front of the armhole over the bust point downward, positive on the side of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from layfigure.body.template import Template, load_template
from layfigure.draft.panels.arrangement import undirected_sides

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

_LIMBS = (
    # bone, joint at its start, joint at its end
    ("upper_arm", "shoulder", "elbow"),
    ("forearm", "elbow", "wrist"),
    ("thigh", "hip", "knee"),
    ("shank", "knee", "ankle"),
)
_FOLLOWS = {"hand": "forearm", "foot": "shank"}
_ARM_JOINTS = ("shoulder", "elbow", "wrist")
BESIDE_BUST_POINT = 15.0
"""A princess seam passes this far outward of the bust point [mm] (common practice 10 to 20): no seam rubs on
it, and its small relief does not roughen the seam."""
_BACK = np.array([0.0, 1.0, 0.0])
_DOWN = np.array([0.0, 0.0, -1.0])


@dataclass(frozen=True, slots=True, eq=False)
class BodyFields:
    """Fields at the template's vertices, (n,) each, and the unit direction along the body, (n, 3).

    shares : bone to (n,) share of each vertex that moves with it.
    """

    sagittal: Points
    front_back: Points
    outward: Points
    above_armpit: Points
    armhole: Mapping[str, Points]
    under: Mapping[str, Points]
    princess: Mapping[str, Points]
    along: Points
    shares: Mapping[str, Points]


@lru_cache(maxsize=1)
def body_fields() -> BodyFields:
    """Fields of the template shipped with the package (made once)."""
    template = load_template()
    n = template.vertex_count
    vertices = template.mean[:n]
    shares = {bone: template.weights[:n, k] for k, bone in enumerate(template.bones)}
    sagittal = np.where(template.mirror == np.arange(n), 0.0, vertices[:, 0])

    front_back = np.zeros(n)
    along = np.zeros((n, 3))
    spoken_for = np.zeros(n)
    for bone, start, end in _LIMBS:
        for side in ("left", "right"):
            share = shares[f"{bone}_{side}"].copy()
            for follower, leader in _FOLLOWS.items():
                if leader == bone:
                    share += shares[f"{follower}_{side}"]
            a, b = (template.mean[template.joints[f"{joint}_{side}"]] for joint in (start, end))
            axis = (b - a) / np.linalg.norm(b - a)
            front_back += share * _limb_depth(vertices, template.faces, share, a, axis)
            along += share[:, None] * axis
            spoken_for += share
    rest = 1.0 - spoken_for
    front_back += rest * (vertices[:, 1] - _trunk_middle(template, rest)(vertices[:, 2]))
    along += rest[:, None] * _DOWN
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    armhole = {side: _armhole(template, side, shares) for side in ("left", "right")}
    under = {side: _under(template, side, shares) for side in ("left", "right")}
    princess = {side: _princess(template, side) for side in ("left", "right")}
    above = vertices[:, 2] - vertices[template.landmarks["armpit_left"], 2] - 40.0
    return BodyFields(
        sagittal, front_back, _outward(template), above, armhole, under, princess, along, shares
    )


def _princess(template: Template, side: str) -> Points:
    """Distance outward past a princess seam, (n,) [mm]: over the bust point, in to the waist, out to the leg.

    A line of the front, straight downward in a picture of it but for these sways; common practice.
    """
    vertices = template.mean[: template.vertex_count]
    mark = {name: vertices[row] for name, row in template.landmarks.items()}
    sign = 1.0 if side == "left" else -1.0
    bust, armpit = mark[f"bust_point_{side}"], mark[f"armpit_{side}"]
    waist, crotch = mark["waist_front"][2], mark["crotch"][2]
    out = sign * bust[0] + BESIDE_BUST_POINT
    # Outward again above the bust, so that the line meets the armhole halfway down its front.
    heights = [
        crotch - 60.0,
        crotch + 60.0,
        waist,
        bust[2] - 60.0,
        bust[2],
        armpit[2] + 45.0,
        armpit[2] + 145.0,
    ]
    line = [0.80 * out, 0.82 * out, 0.78 * out, 0.93 * out, out, sign * armpit[0] - 2.0, 3.0 * out]
    profile = PchipInterpolator(heights, line)
    result: Points = sign * vertices[:, 0] - profile(np.clip(vertices[:, 2], heights[0], heights[-1]))
    return result


def _under(template: Template, side: str, shares: Mapping[str, Points]) -> Points:
    """Distance below the bones of the arm, square to them, (n,) [mm]."""
    n = template.vertex_count
    vertices = template.mean[:n]
    joint = {name: template.mean[template.joints[f"{name}_{side}"]] for name in _ARM_JOINTS}
    lower = shares[f"forearm_{side}"] + shares[f"hand_{side}"]
    result = np.zeros(n)
    for start, end, share in (("shoulder", "elbow", 1.0 - lower), ("elbow", "wrist", lower)):
        axis = joint[end] - joint[start]
        axis /= np.linalg.norm(axis)
        below = _DOWN - (_DOWN @ axis) * axis
        below /= np.linalg.norm(below)
        result += share * ((vertices - joint[start]) @ below)
    return result


def _outward(template: Template) -> Points:
    """Distance from the middle line of the leg away from the other leg, (n,) [mm]."""
    vertices = template.mean[: template.vertex_count]
    joints = [template.mean[template.joints[f"{joint}_left"]] for joint in ("ankle", "knee", "hip")]
    middle = np.interp(vertices[:, 2], [p[2] for p in joints], [p[0] for p in joints])
    result: Points = np.abs(vertices[:, 0]) - middle
    return result


def _limb_depth(vertices: Points, faces: Indices, share: Points, start: Points, axis: Points) -> Points:
    """How far behind the middle of its limb each vertex lies, square to the bone, (n,) [mm]."""
    back = _BACK - (_BACK @ axis) * axis
    back /= np.linalg.norm(back)
    along, depth = (vertices - start) @ axis, (vertices - start) @ back
    middle = _middle_line(along, depth, faces, share > 0.7)
    result: Points = depth - middle(along)
    return result


@dataclass(frozen=True, slots=True, eq=False)
class _MiddleLine:
    at: Points
    value: Points

    def __call__(self, along: Points) -> Points:
        line: Points = np.interp(along, self.at, self.value)
        return line


def _middle_line(along: Points, depth: Points, faces: Indices, chosen: NDArray[np.bool_]) -> _MiddleLine:
    """Middle between the least and greatest depth of sections 15 mm apart, smoothed along."""
    sides = undirected_sides(faces)
    sides = sides[chosen[sides].all(axis=1)]
    low, high = along[sides[:, 0]], along[sides[:, 1]]
    first, last = np.percentile(along[chosen], [4, 96])
    stations = np.arange(first, last, 15.0)
    values = np.empty(len(stations))
    for k, station in enumerate(stations):
        crossing = (low - station) * (high - station) < 0.0
        t = (station - low[crossing]) / (high - low)[crossing]
        at = (1.0 - t) * depth[sides[crossing, 0]] + t * depth[sides[crossing, 1]]
        values[k] = 0.5 * (at.min() + at.max()) if at.size else np.nan
    good = ~np.isnan(values)
    values = np.interp(stations, stations[good], values[good])
    window = np.hanning(9)[1:-1]
    padded = np.pad(values, 3, mode="edge")
    return _MiddleLine(stations, np.convolve(padded, window / window.sum(), mode="valid"))


def _trunk_middle(template: Template, share: Points) -> _MiddleLine:
    """Depth of the side seam at every height, and of the shoulder seam above the armpit."""
    vertices = template.mean[: template.vertex_count]
    mark = {name: vertices[row] for name, row in template.landmarks.items()}
    sides = _middle_line(vertices[:, 2], vertices[:, 1], template.faces, share > 0.7)
    crotch, armpit = mark["crotch"][2], mark["armpit_left"][2]
    between = (sides.at > crotch + 60.0) & (sides.at < armpit - 60.0)
    above = [mark["armpit_left"], mark["shoulder_point_left"], mark["neck_side_left"]]
    at = np.concatenate([sides.at[between], [p[2] for p in above]])
    value = np.concatenate([sides.value[between], [p[1] for p in above]])
    return _MiddleLine(at, value)


def _armhole(template: Template, side: str, shares: Mapping[str, Points]) -> Points:
    """Signed distance to the plane a sleeve is set into, through shoulder point and armpit."""
    n = template.vertex_count
    vertices = template.mean[:n]
    top = vertices[template.landmarks[f"shoulder_point_{side}"]]
    armpit = vertices[template.landmarks[f"armpit_{side}"]]
    outward = np.array([1.0 if side == "left" else -1.0, 0.0, 0.0])
    rise = top - armpit
    normal = np.cross(np.cross(rise, outward), rise)
    normal /= np.linalg.norm(normal)
    if normal @ outward < 0.0:
        normal = -normal
    distance = (vertices - armpit) @ normal
    arm = sum(shares[f"{bone}_{side}"] for bone in ("upper_arm", "forearm", "hand"))
    # Hips and feet lie beyond the plane too, and no sleeve is set in there.
    elsewhere = (vertices[:, 2] < armpit[2] - 120.0) & (np.asarray(arm) < 0.5)
    result: Points = np.where(elsewhere, -100.0, distance)
    return result
