"""Each leg on its own side: heavy thighs flatten against each other where they touch, as flesh does."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.pose import PosedRows, standing_pose
from layfigure.body.regions import BodyPlaces
from layfigure.body.template import load_template

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

TOUCHING = 0.5
"""Skin that would just meet the middle stays this far from it [mm]; what would lie beyond, nearer."""
REACH = 40.0
"""Skin further from the middle than this [mm] is left alone."""


@lru_cache(maxsize=1)
def _inner_skin() -> tuple[PosedRows, Points, Points, Points]:
    """Vertices that must keep their side, that side's sign, their share in the rule, and the drafting move.

    The last, (r, 3), is how far a vertex moves in the drafting pose for 1 mm along x in the standing one.
    """
    template = load_template()
    pose = standing_pose(template)
    standing = pose.apply(template.mean)[: template.vertex_count]
    crotch = BodyPlaces(template, standing).height("crotch")
    arm_bones = [name.startswith(("upper_arm", "forearm", "hand")) for name in template.bones]
    arms = np.sum(template.weights[: template.vertex_count, arm_bones], axis=1)
    # Seat and groin fold toward the middle a little above the crotch.
    share = np.clip((crotch + 90.0 - standing[:, 2]) / 60.0, 0.0, 1.0)
    middle = np.abs(template.mean[: template.vertex_count, 0]) < 0.1
    rows = np.flatnonzero((share > 0.0) & ~middle & (arms < 0.01))
    sideways = np.asarray(np.linalg.inv(pose.turns(rows))[:, :, 0], dtype=np.float64)
    return pose.of(rows), np.sign(template.mean[rows, 0]), share[rows], sideways


def keep_legs_apart(points: Points) -> Points:
    """Points (p, 3) in the drafting pose with the skin of each leg on its own side, there and standing."""
    skin, sign, share, sideways = _inner_skin()
    rows = skin.rows
    result = points.copy()
    result[rows, 0] += sign * share * _push(points[rows, 0] * sign)
    standing = skin.across(result)
    result[rows] += (sign * share * _push(standing * sign))[:, None] * sideways
    return result


def _push(inside: Points) -> Points:
    """How far skin at a distance (r,) from the middle is pushed out: smoothly, and never past another."""
    pushed: Points = np.maximum(_swelling(inside) - _swelling(REACH), 0.0)
    return pushed


def _swelling(inside: Points | float) -> Points | float:
    return 0.5 * (np.sqrt(inside * inside + 4.0 * TOUCHING * TOUCHING) - inside)
