"""How far hanging arms must stand out so that they lie beside the trunk and not in it."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.pose import ARM_ANGLE, standing_pose
from layfigure.body.regions import region_faces
from layfigure.body.template import Template

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

ANGLES = (ARM_ANGLE, 14.0, 18.0, 22.0, 26.0, 30.0, 34.0)
CELL = 20.0
"""Arm and trunk are compared in cells of this size [mm], seen from the side."""


@lru_cache(maxsize=1)
def _sides(template: Template) -> tuple[tuple[float, Indices, Indices], ...]:
    """Of both sides: which way is out, vertices of forearm and hand, vertices of that half of the trunk."""
    faces = region_faces()
    x = template.mean[:, 0]

    def vertices(*regions: str) -> Indices:
        rows = np.isin(faces.face_region, [faces.names.index(region) for region in regions])
        return np.unique(template.faces[rows])

    found = []
    for side, sign in (("left", 1.0), ("right", -1.0)):
        trunk = vertices("torso", f"thigh_{side}")
        found.append((sign, vertices(f"forearm_{side}", f"hand_{side}"), trunk[x[trunk] * sign > 0]))
    return tuple(found)


def arm_depth(template: Template, standing: Points) -> float:
    """How far forearms and hands reach into the trunk or thigh beside them [mm]; negative is clear."""
    deepest = -np.inf
    for sign, arm, trunk in _sides(template):
        low = standing[trunk][:, 1:].min(axis=0) - CELL
        size = (np.ptp(standing[trunk][:, 1:], axis=0) // CELL).astype(np.int64) + 4
        outermost = np.full(size, -np.inf)
        cell = ((standing[trunk][:, 1:] - low) // CELL).astype(np.int64)
        np.maximum.at(outermost, (cell[:, 0], cell[:, 1]), sign * standing[trunk, 0])
        cell = ((standing[arm][:, 1:] - low) // CELL).astype(np.int64)
        beside = (cell >= 0).all(axis=1) & (cell < size).all(axis=1)
        cell = cell[beside]
        depth = outermost[cell[:, 0], cell[:, 1]] - sign * standing[arm[beside], 0]
        deepest = max(deepest, float(depth.max(initial=-np.inf)))
    return deepest


def arm_angle_for(template: Template, points: Points) -> float:
    """The least angle of ``ANGLES`` [degrees] at which arms clear this body; points in the drafting pose."""
    for angle in ANGLES:
        if arm_depth(template, standing_pose(template, arm_angle=angle).apply(points)) < 0.0:
            break
    return angle
