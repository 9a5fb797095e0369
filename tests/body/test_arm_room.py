"""Hanging arms lie beside the body, however broad it is."""

import numpy as np

from layfigure.body.arm_room import ANGLES, arm_angle_for, arm_depth
from layfigure.body.pose import ARM_ANGLE, standing_pose
from layfigure.body.template import load_template


def test_broad_bodies_let_their_arms_hang_wider() -> None:
    template = load_template()
    slim = template.points(template.presets["man"])
    # Broad hips and belly, arms unchanged: scale across by the trunk's and thighs' skin weights.
    body = sum(
        template.weights[:, template.bones.index(name)] for name in ("trunk", "thigh_left", "thigh_right")
    )
    low = np.clip((1200.0 - slim[:, 2]) / 100.0, 0.0, 1.0)
    broad = slim * (1.0 + 0.25 * (body * low)[:, None] * np.array([1.0, 0.0, 0.0]))
    assert arm_angle_for(template, slim) == ARM_ANGLE
    chosen = arm_angle_for(template, broad)
    assert ARM_ANGLE < chosen < ANGLES[-1]
    assert arm_depth(template, standing_pose(template).apply(broad)) > 0.0
    assert arm_depth(template, standing_pose(template, arm_angle=chosen).apply(broad)) < 0.0
