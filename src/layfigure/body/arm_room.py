"""How far hanging arms must stand out so that they lie beside the trunk and not in it."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.pose import ARM_ANGLE, PosedRows, standing_pose
from layfigure.body.regions import region_faces
from layfigure.body.template import Template

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

ANGLES = (ARM_ANGLE, 14.0, 18.0, 22.0, 26.0, 30.0, 34.0)
"""Angles that are tried [degrees]; between two of them the room is taken to change evenly."""
CLEAR = 10.0
"""Arms stand this clear of the trunk [mm]."""
CELL = 12.0
"""Of the skin of arms and trunk that face each other, one vertex in a cell of this size is looked at [mm]."""
ROUND = 20.0
"""Skin beside a vertex lies behind it: by this much at this distance, by four times that at twice it [mm]."""
MIDDLE = 0.1
"""Skin nearer to the middle than this is beside neither arm [mm]."""
DOWN_TO, UP_TO = 500.0, 1250.0
"""Arms hang beside the trunk and thigh between these heights of the mean body [mm]."""


@lru_cache(maxsize=1)
def _sides(template: Template) -> tuple[tuple[float, Indices, Indices], ...]:
    """Of both sides: which way is out, inner vertices of forearm and hand, outer ones of trunk and thigh."""
    faces = region_faces()
    standing = standing_pose(template).apply(template.mean)

    def vertices(*regions: str) -> Indices:
        rows = np.isin(faces.face_region, [faces.names.index(region) for region in regions])
        return np.unique(template.faces[rows])

    found = []
    for side, sign in (("left", 1.0), ("right", -1.0)):
        arm, trunk = vertices(f"forearm_{side}", f"hand_{side}"), vertices("torso", f"thigh_{side}")
        beside = (standing[trunk, 2] > DOWN_TO) & (standing[trunk, 2] < UP_TO)
        trunk = trunk[beside & (template.mean[trunk, 0] * sign > MIDDLE)]
        found.append((sign, _first_in_cells(standing, arm, sign), _first_in_cells(standing, trunk, -sign)))
    return tuple(found)


def _first_in_cells(points: Points, rows: Indices, sign: float) -> Indices:
    """Of the rows in every cell, seen from the side, the one with the least ``sign * x``."""
    cell = np.floor(points[rows, 1:] / CELL).astype(np.int64)
    order = np.lexsort((sign * points[rows, 0], cell[:, 1], cell[:, 0]))
    _, first = np.unique(cell[order], axis=0, return_index=True)
    return rows[order[first]]


@lru_cache(maxsize=len(ANGLES))
def _posed(template: Template, angle: float) -> PosedRows:
    """The skin that is looked at, with arms at an angle [degrees]."""
    rows = np.concatenate([rows for _, *both in _sides(template) for rows in both])
    return standing_pose(template, arm_angle=angle).of(rows)


def arm_depth(template: Template, standing: Points) -> float:
    """How far forearms and hands reach into the trunk or thigh beside them [mm]; negative is clear."""
    deepest = -np.inf
    for sign, arm, trunk in _sides(template):
        y, z = (standing[arm, d][:, None] - standing[trunk, d] for d in (1, 2))
        # A hundred thousand pairs: worked out in place, it takes half as long.
        y *= y
        z *= z
        y += z
        y /= ROUND
        outermost = np.subtract(sign * standing[trunk, 0], y, out=y).max(axis=1)
        deepest = max(deepest, float((outermost - sign * standing[arm, 0]).max()))
    return deepest


def arm_angle_for(template: Template, points: Points) -> float:
    """The least angle [degrees] at which arms clear this body, or nearly; points in the drafting pose."""
    standing, before = np.zeros_like(points), 0.0
    for place, angle in enumerate(ANGLES):
        posed = _posed(template, angle)
        standing[posed.rows] = posed.places(points)
        depth = arm_depth(template, standing) + CLEAR
        if depth <= 0.0:
            if place == 0:
                return angle
            return angle - (angle - ANGLES[place - 1]) * depth / (depth - before)
        before = depth
    return ANGLES[-1]
