"""From the drafting pose to the standing pose: arms let down, legs brought nearer, feet kept flat.

Every rigid part turns by a rotation that does not depend on the body's shape, so that the standing body is
a fixed linear map of the drafting body: ``standing = blend @ point + weights @ offset``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.template import Template

Points = NDArray[np.float64]

PARTS = (
    # rigid part, the joint it turns about, the part that carries that joint
    ("upper_arm", "shoulder", "trunk"),
    ("forearm", "elbow", "upper_arm"),
    ("hand", "wrist", "forearm"),
    ("thigh", "hip", "trunk"),
    ("shank", "knee", "thigh"),
    ("foot", "ankle", "shank"),
)

_PARTS_OF_SIDES = tuple((*part, side) for part in PARTS for side in ("left", "right"))

ARM_ANGLE = 10.0
LEG_ANGLE = 3.5
ELBOW_FLEXION = 8.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pose:
    """A pose of one template. ``rotations`` : (bones, 3, 3). ``blend`` : (p, 3, 3) the weighted rotations."""

    template: Template
    rotations: Points
    blend: Points

    def apply(self, points: Points) -> Points:
        """Pose (p, 3) points [mm]; the feet are put back on the floor."""
        posed: Points = np.einsum("pij,pj->pi", self.blend, points) + self.template.weights @ self._offsets(
            points
        )
        posed[:, 2] -= posed[: self.template.vertex_count, 2].min()
        return posed

    def across(self, points: Points, rows: NDArray[np.int64]) -> Points:
        """Standing x of some points, (r,) [mm], of drafting points (p, 3)."""
        posed: Points = np.einsum("rj,rj->r", self.blend[rows, 0], points[rows])
        return posed + self.template.weights[rows] @ self._offsets(points)[:, 0]

    def places(self, points: Points, rows: NDArray[np.int64]) -> Points:
        """Where some of the points stand, (r, 3) [mm]; the feet are not put on the floor."""
        posed: Points = np.einsum("rij,rj->ri", self.blend[rows], points[rows])
        return posed + self.template.weights[rows] @ self._offsets(points)

    def _offsets(self, points: Points) -> Points:
        """Translation of every rigid part, (bones, 3), so that joints stay together."""
        offsets = np.zeros((len(self.template.bones), 3))
        index = {name: k for k, name in enumerate(self.template.bones)}
        for part, joint, parent in PARTS:
            for side in ("left", "right"):
                k = index[f"{part}_{side}"]
                p = index.get(f"{parent}_{side}", index["trunk"])
                place = points[self.template.joints[f"{joint}_{side}"]]
                offsets[k] = (self.rotations[p] - self.rotations[k]) @ place + offsets[p]
        return offsets

    def pull_back(self, rows: NDArray[np.int64], slopes: Points, starts: NDArray[np.int64]) -> Points:
        """Slopes on drafting points from slopes on standing points, for readings stored end to end.

        rows (r,), slopes (r, 3) of every reading's points; starts (m,) where each reading begins. Returns
        (r + 12 m, 3): slopes at the same rows, then 12 a reading at ``joint_rows``.
        """
        own = np.einsum("rij,ri->rj", self.blend[rows], slopes)
        pulls = (self.template.weights[rows][:, :, None] * slopes[:, None, :]).reshape(len(rows), -1)
        bones = np.add.reduceat(pulls, starts, axis=0).reshape(len(starts), -1, 3)
        index = {name: k for k, name in enumerate(self.template.bones)}
        joints = np.zeros((len(starts), 2 * len(PARTS), 3))
        # A part hands on what pulls at it to the part that carries it, outermost first.
        for place, (part, _, parent, side) in reversed(list(enumerate(_PARTS_OF_SIDES))):
            k = index[f"{part}_{side}"]
            p = index.get(f"{parent}_{side}", index["trunk"])
            joints[:, place] = bones[:, k] @ (self.rotations[p] - self.rotations[k])
            bones[:, p] += bones[:, k]
        return np.concatenate([own, joints.reshape(-1, 3)])

    @property
    def joint_rows(self) -> NDArray[np.int64]:
        """Rows of the joints about which parts turn, (12,), in the order of ``pull_back``."""
        return np.array([self.template.joints[f"{joint}_{side}"] for _, joint, _, side in _PARTS_OF_SIDES])

    def direction(self, moves: Points) -> Points:
        """How the standing points move when the drafting points move by (p, 3); the floor stays."""
        posed: Points = np.einsum("pij,pj->pi", self.blend, moves) + self.template.weights @ self._offsets(
            moves
        )
        return posed


def _turn(source: Points, target: Points) -> Points:
    """Smallest rotation that takes the direction of ``source`` to that of ``target``, (3, 3)."""
    a, b = source / np.linalg.norm(source), target / np.linalg.norm(target)
    axis, cosine = np.cross(a, b), float(a @ b)
    skew = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    rotation: Points = np.eye(3) + skew + skew @ skew / (1.0 + cosine)
    return rotation


@lru_cache(maxsize=24)
def standing_pose(template: Template, *, arm_angle: float = ARM_ANGLE) -> Pose:
    """Standing, arms hanging ``arm_angle`` [degrees] clear of the vertical, elbows nearly straight."""
    rotations = np.tile(np.eye(3), (len(template.bones), 1, 1))
    place = {name: template.mean[row] for name, row in template.joints.items()}
    for side, sign in (("left", 1.0), ("right", -1.0)):
        arm, leg = np.radians(arm_angle), np.radians(LEG_ANGLE)
        bend = np.radians(ELBOW_FLEXION)
        upper = _turn(
            place[f"elbow_{side}"] - place[f"shoulder_{side}"],
            np.array([sign * np.sin(arm), 0.03, -np.cos(arm)]),
        )
        lower = _turn(
            place[f"wrist_{side}"] - place[f"elbow_{side}"],
            np.array([sign * np.sin(0.5 * arm), -np.sin(bend), -np.cos(bend)]),
        )
        thigh = _turn(
            place[f"ankle_{side}"] - place[f"hip_{side}"],
            np.array([sign * np.sin(leg), 0.0, -np.cos(leg)]),
        )
        for part, rotation in (
            ("upper_arm", upper),
            ("forearm", lower),
            ("hand", lower),
            ("thigh", thigh),
            ("shank", thigh),
        ):
            rotations[template.bones.index(f"{part}_{side}")] = rotation
    blend = (template.weights @ rotations.reshape(len(rotations), 9)).reshape(-1, 3, 3)
    return Pose(template=template, rotations=rotations, blend=blend)
