"""Which bone of a limb carries a point."""

import numpy as np

from layfigure.body.correction import _nearest_bones


def test_what_lies_outside_a_bent_joint_counts_to_its_first_bone() -> None:
    """Both bones are as near there, at their common end, whatever the last digit of their ends says."""
    random = np.random.default_rng(3)
    for _ in range(20):
        start, joint = random.normal(0.0, 100.0, (2, 3))
        back = (start - joint) / np.linalg.norm(start - joint)
        side = np.cross(back, random.normal(size=3))
        end = joint + 150.0 * (back + 2.0 * side / np.linalg.norm(side))
        inside = back + (end - joint) / np.linalg.norm(end - joint)
        outside = joint - np.linspace(1.0, 30.0, 40)[:, None] * inside
        assert not _nearest_bones(outside, [start, joint, end]).any()
        assert _nearest_bones(0.5 * (joint + end)[None], [start, joint, end]).tolist() == [1]
