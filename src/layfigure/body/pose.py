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
Indices = NDArray[np.int64]

PARTS = (
    # rigid part, the joint it turns about, the part that carries that joint
    ("upper_arm", "shoulder", "trunk"),
    ("forearm", "elbow", "upper_arm"),
    ("hand", "wrist", "forearm"),
    ("thigh", "hip", "trunk"),
    ("shank", "knee", "thigh"),
    ("foot", "ankle", "shank"),
)

ARM_ANGLE = 10.0
LEG_ANGLE = 3.5
ELBOW_FLEXION = 8.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pose:
    """A pose of one template. ``rotations`` : (bones, 3, 3). ``blend`` : (3, 3, p) the weighted rotations,
    coordinate by coordinate: every point of a row of memory is then turned at once.
    """

    template: Template
    rotations: Points
    blend: Points

    def apply(self, points: Points) -> Points:
        """Pose (p, 3) points [mm]; the feet are put back on the floor."""
        posed = self.direction(points)
        posed[:, 2] -= posed[: self.template.vertex_count, 2].min()
        return posed

    def direction(self, moves: Points) -> Points:
        """How the standing points move when the drafting points move by (p, 3); the floor stays."""
        return _turned(self.blend, moves) + self.template.weights @ self.offsets(moves)

    def of(self, rows: Indices) -> PosedRows:
        """The pose of some of the points."""
        return PosedRows(self, rows, self.blend.take(rows, axis=2), self.template.weights[rows])

    def offsets(self, points: Points) -> Points:
        """Translation of every rigid part, (bones, 3), so that joints stay together; points (p, 3)."""
        offsets = np.zeros((len(self.template.bones), 3))
        for part, joint, carrier in _carried(self.template):
            turn = self.rotations[carrier] - self.rotations[part]
            offsets[part] = turn @ points[joint] + offsets[carrier]
        return offsets

    def pull_back(self, rows: Indices, slopes: Points, starts: Indices) -> Points:
        """Slopes on drafting points from slopes on standing points, for readings stored end to end.

        rows (r,), slopes (r, 3) of every reading's points; starts (m,) where each reading begins. Returns
        (r + 12 m, 3): slopes at the same rows, then 12 a reading at ``joint_rows``.
        """
        own = np.einsum("rij,ri->rj", self.turns(rows), slopes)
        pulls = (self.template.weights[rows][:, :, None] * slopes[:, None, :]).reshape(len(rows), -1)
        bones = np.add.reduceat(pulls, starts, axis=0).reshape(len(starts), -1, 3)
        carried = _carried(self.template)
        joints = np.zeros((len(starts), len(carried), 3))
        # A part hands on what pulls at it to the part that carries it, outermost first.
        for place, (part, _, carrier) in reversed(list(enumerate(carried))):
            joints[:, place] = bones[:, part] @ (self.rotations[carrier] - self.rotations[part])
            bones[:, carrier] += bones[:, part]
        return np.concatenate([own, joints.reshape(-1, 3)])

    def turns(self, rows: Indices) -> Points:
        """The weighted rotations of some points, (r, 3, 3)."""
        return np.ascontiguousarray(np.moveaxis(self.blend[:, :, rows], 2, 0))

    @property
    def joint_rows(self) -> Indices:
        """Rows of the joints about which parts turn, (12,), in the order of ``pull_back``."""
        return np.array([joint for _, joint, _ in _carried(self.template)])


@dataclass(frozen=True, slots=True, eq=False)
class PosedRows:
    """A pose of some of the points: ``rows`` (r,), their ``blend`` (3, 3, r) and ``weights`` (r, bones)."""

    pose: Pose
    rows: Indices
    blend: Points
    weights: Points

    def across(self, points: Points) -> Points:
        """Standing x, (r,) [mm], of drafting points (p, 3)."""
        posed: Points = _along(self.blend[0], np.ascontiguousarray(points[self.rows].T))
        return posed + self.weights @ self.pose.offsets(points)[:, 0]

    def places(self, points: Points) -> Points:
        """Where they stand, (r, 3) [mm]; the feet are not put on the floor. points : all of them, (p, 3)."""
        return _turned(self.blend, points[self.rows]) + self.weights @ self.pose.offsets(points)


def _turned(blend: Points, points: Points) -> Points:
    """Points (r, 3) turned by their own rotations (3, 3, r)."""
    coordinates = np.ascontiguousarray(points.T)
    return np.stack([_along(row, coordinates) for row in blend], axis=1)


def _along(row: Points, coordinates: Points) -> Points:
    """One coordinate (r,) of turned points: a row of their rotations, (3, r), times coordinates (3, r)."""
    x, y, z = row * coordinates
    result: Points = x + z + y
    return result


@lru_cache(maxsize=1)
def _carried(template: Template) -> tuple[tuple[int, int, int], ...]:
    """Of every part that turns, in the order of ``PARTS``, left before right: its bone, the row of the joint
    it turns about, and the bone that carries it.
    """
    index = {name: k for k, name in enumerate(template.bones)}
    return tuple(
        (
            index[f"{part}_{side}"],
            template.joints[f"{joint}_{side}"],
            index.get(f"{parent}_{side}", index["trunk"]),
        )
        for part, joint, parent in PARTS
        for side in ("left", "right")
    )


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
    return pose_of(template, rotations)


def pose_of(template: Template, rotations: Points) -> Pose:
    """The pose of a template whose rigid parts turn by rotations (bones, 3, 3)."""
    blend = template.weights @ rotations.reshape(len(rotations), 9)
    return Pose(template=template, rotations=rotations, blend=np.ascontiguousarray(blend.T).reshape(3, 3, -1))
