"""The drafting pose of a wearer who sits: thighs forward, knees bent, all else as in the standing one.

Cloth cut on it is longer over the seat and shorter in the lap, longer over the knee and shorter behind it.
The thighs turn by much less than a right angle: linear skinning creases the lap beyond it, while a lap that
sits has flesh in it. At 30 degrees the quarter line over the seat grows by 3 cm and the one in the lap
shrinks by 4, which is what trouser drafters move for people who sit all day (common practice, no source).
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.arm_room import arm_angle_for
from layfigure.body.form import Form
from layfigure.body.pose import Pose, pose_of, standing_pose
from layfigure.body.shape import form_of_points
from layfigure.body.template import Template

Points = NDArray[np.float64]

HIP_FLEXION = 30.0
KNEE_FLEXION = 15.0


@lru_cache(maxsize=1)
def seated_drafting_pose(template: Template) -> Pose:
    """From the drafting pose to the seated one, thighs turned forward about the hips, shanks hanging down."""
    rotations = np.tile(np.eye(3), (len(template.bones), 1, 1))
    for side in ("left", "right"):
        rotations[template.bones.index(f"thigh_{side}")] = _forward(HIP_FLEXION)
        below = _forward(HIP_FLEXION - KNEE_FLEXION)
        for part in ("shank", "foot"):
            rotations[template.bones.index(f"{part}_{side}")] = below
    return pose_of(template, rotations)


def _forward(angle: float) -> Points:
    """Turn about x that brings what hangs down toward the front, (3, 3)."""
    cosine, sine = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    return np.array([[1.0, 0.0, 0.0], [0.0, cosine, sine], [0.0, -sine, cosine]])


def seated_form(form: Form, template: Template, points: Points) -> Form:
    """The Form with its drafting surface and charts sitting; standing surface, charts and levels stay.

    points : (p, 3) of the fit, in the standing drafting pose, joints among them [mm].
    """
    sitting = form_of_points(
        template,
        points,
        form.wearer,
        standing=standing_pose(template, arm_angle=arm_angle_for(template, points)).apply(points),
        drafting_pose=seated_drafting_pose(template),
    )
    return replace(form, drafting=sitting.drafting, drafting_charts=sitting.drafting_charts, posture="seated")
