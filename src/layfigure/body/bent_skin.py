"""A standing Form bent at its joints: how skin moves when arms reach forward, or when somebody sits down.

For lengths and pictures beside the drafting pose. Joints are taken to lie in the middle of the limb's first
section, or at the landmark of the joint: a Form does not carry the joints it was fitted with.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from layfigure.body.form import Form
from layfigure.body.pose import PARTS
from layfigure.body.template import load_template

Points = NDArray[np.float64]

NEIGHBOURS = 4
"""Vertices of the skin whose shares of movement a place nearby follows."""
REACH = {"upper_arm": 55.0, "forearm": 90.0}
"""Forward turns of the arm [degrees] of somebody who holds a push rim or a table's edge (common practice, no
source)."""
SIT = {"thigh": 80.0, "shank": 0.0, "foot": 0.0}
"""Forward turns of the leg [degrees] of somebody on a chair; a right angle would crease the lap."""


def bending(form: Form, turns: Mapping[str, float]) -> Callable[[Points], Points]:
    """What takes places on or near the standing skin to where they go, (n, 3) to (n, 3) [mm].

    turns : forward turn of every part from its standing direction [degrees], without side, parts that are
    not named follow the one that carries them. Heights are not put back on a floor.
    """
    weights, skin = _weights(), cKDTree(form.standing.vertices)
    bones = load_template().bones
    rotations, offsets = np.tile(np.eye(3), (len(bones), 1, 1)), np.zeros((len(bones), 3))
    for part, joint, parent in PARTS:
        for side in ("left", "right"):
            own = bones.index(f"{part}_{side}")
            carrier = bones.index(f"{parent}_{side}") if parent != "trunk" else bones.index("trunk")
            rotations[own] = _forward(turns[part]) if part in turns else rotations[carrier]
            place = _joint(form, joint, side)
            offsets[own] = (rotations[carrier] - rotations[own]) @ place + offsets[carrier]

    def bent(places: Points) -> Points:
        distance, nearest = skin.query(places, k=NEIGHBOURS)
        near = 1.0 / (1.0 + distance)
        shares = (near[..., None] * weights[nearest]).sum(axis=1) / near.sum(axis=1)[:, None]
        turned = (shares @ rotations.reshape(len(bones), 9)).reshape(-1, 3, 3)
        moved: Points = np.einsum("nij,nj->ni", turned, places) + shares @ offsets
        return moved

    return bent


def sitting_pose(form: Form) -> Callable[[Points], Points]:
    """What takes places on or over the standing skin onto a chair, feet on the floor; (n, 3), [mm]."""
    bent = bending(form, SIT)
    soles = float(bent(form.standing.vertices)[:, 2].min())

    def seated(places: Points) -> Points:
        moved: Points = bent(places) - (0.0, 0.0, soles) if len(places) else places
        return moved

    return seated


def _joint(form: Form, joint: str, side: str) -> Points:
    """Middle of the joint on the standing body, (3,) [mm]."""
    region, end = {
        "shoulder": ("upper_arm", "shoulder"),
        "elbow": ("forearm", "start"),
        "wrist": ("forearm", "end"),
        "hip": ("thigh", "hip"),
        "knee": ("shank", "start"),
        "ankle": ("shank", "end"),
    }[joint]
    chart = form.charts[f"{region}_{side}"]
    if end == "end":
        return _middle(chart.section(1.0))
    middle = _middle(chart.section(float(chart.stations[0])))
    if end == "shoulder":
        # Under the shoulder point, at the depth and breadth of the arm.
        top = form.landmarks[f"shoulder_point_{side}"]
        return np.array([0.5 * (middle[0] + top[0]), top[1], top[2] - 35.0])
    if end == "hip":
        # The ball of the hip lies a little above the fork, straight over the middle of the thigh.
        up = 0.4 * (form.level_heights["hip"] - form.level_heights["crotch"]) + form.level_heights["crotch"]
        return np.array([middle[0], middle[1], up])
    return middle


def _middle(section: Points) -> Points:
    middle: Points = section.mean(axis=0)
    return middle


def _forward(angle: float) -> Points:
    """Turn about x that brings what hangs down toward the front, (3, 3)."""
    cosine, sine = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    return np.array([[1.0, 0.0, 0.0], [0.0, cosine, sine], [0.0, -sine, cosine]])


@lru_cache(maxsize=1)
def _weights() -> Points:
    """Shares of movement of every vertex of the skin, (vertices, bones)."""
    template = load_template()
    weights: Points = template.weights[: template.vertex_count]
    return weights
