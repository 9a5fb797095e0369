"""The drafting pose of a wearer who sits: thighs forward, knees bent, all else as in the standing one.

Cloth cut on it is longer over the seat and shorter in the lap, longer over the knee and shorter behind it.
The thighs turn by less than a right angle: linear skinning folds the lap flat beyond it, while a lap that
sits has flesh in it; at 60 degrees the quarter lines of seat and lap change by a fifth, as trouser drafters
allow (common practice, no source).
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.arm_room import arm_angle_for
from layfigure.body.form import Form
from layfigure.body.pose import Pose
from layfigure.body.shape import form_of_points
from layfigure.body.template import Template

Points = NDArray[np.float64]

HIP_FLEXION = 60.0
KNEE_FLEXION = 60.0


@lru_cache(maxsize=1)
def seated_drafting_pose(template: Template) -> Pose:
    """From the drafting pose to the seated one, thighs turned forward about the hips, shanks hanging down."""
    rotations = np.tile(np.eye(3), (len(template.bones), 1, 1))
    for side in ("left", "right"):
        rotations[template.bones.index(f"thigh_{side}")] = _forward(HIP_FLEXION)
        below = _forward(HIP_FLEXION - KNEE_FLEXION)
        for part in ("shank", "foot"):
            rotations[template.bones.index(f"{part}_{side}")] = below
    blend = np.einsum("pb,bij->pij", template.weights, rotations)
    return Pose(template=template, rotations=rotations, blend=blend)


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
        arm_angle=arm_angle_for(template, points),
        drafting_pose=seated_drafting_pose(template),
    )
    return replace(form, drafting=sitting.drafting, drafting_charts=sitting.drafting_charts)
