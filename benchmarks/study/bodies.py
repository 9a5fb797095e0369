"""Bodies that characters are made from: meshes, and the joints and levels read off them by hand.

The two open meshes in ``data/`` stand in a T pose. Their joints and levels were read by hand from widths
and depths of horizontal and vertical slices (the slice where the seat is fullest, where the wrist is
thinnest, and so on), to about 10 mm; they are what these bodies *say* their levels are, and the truth of
everything drawn on them follows from it.
"""

from __future__ import annotations

import gzip
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from layfigure.body.template import load_template

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

DATA = Path(__file__).parent / "data"

SIDES = ("left", "right")
BONES = (
    "torso",
    "neck",
    "head",
    *(f"{limb}_{side}" for side in SIDES for limb in ("upper_arm", "forearm", "hand")),
    *(f"{limb}_{side}" for side in SIDES for limb in ("thigh", "shank", "foot")),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Body:
    """A body before it is made a character, in our frame (x to its left, y to its back, z up, mm).

    vertices, faces : the closed surface. region : (n,) index into BONES of every vertex.
    joints : name to (3,) centres, sided names. levels : name to height [mm], torso and head.
    """

    name: str
    vertices: Points
    faces: Indices
    region: Indices
    joints: dict[str, Points]
    levels: dict[str, float]
    softening: int = 25


@dataclass(frozen=True, slots=True, kw_only=True)
class _Table:
    """Levels and joints of one open mesh, left side, read by hand [mm]."""

    levels: dict[str, float]
    joints: dict[str, tuple[float, float, float]]
    armpit: float


_TABLES = {
    "man": _Table(
        levels={
            "crown": 1791, "brow": 1685, "chin": 1558, "nape": 1525, "bust": 1305, "under_bust": 1240,
            "waist": 1150, "hip": 930, "crotch": 818,
        },
        joints={
            "neck": (0, 15, 1520), "head": (0, 0, 1590), "shoulder": (185, 35, 1440),
            "shoulder_point": (190, 36, 1500), "elbow": (455, 36, 1440), "wrist": (712, 45, 1444),
            "knuckles": (806, 36, 1436), "fingertip": (918, 45, 1436), "thumb": (755, 5, 1425),
            "hip": (90, -5, 905),
            "knee": (97, -12, 490), "ankle": (97, 30, 100),
            "ball": (104, -85, 20), "toe_tip": (104, -150, 20),
        },
        armpit=200,
    ),
    "woman": _Table(
        levels={
            "crown": 1658, "brow": 1548, "chin": 1438, "nape": 1408, "bust": 1188, "under_bust": 1115,
            "waist": 1075, "hip": 845, "crotch": 768,
        },
        joints={
            "neck": (0, 15, 1402), "head": (0, 0, 1470), "shoulder": (160, 32, 1328),
            "shoulder_point": (165, 32, 1384), "elbow": (418, 30, 1330), "wrist": (648, 38, 1338),
            "knuckles": (735, 30, 1325), "fingertip": (835, 42, 1330), "thumb": (680, 0, 1318),
            "hip": (88, -8, 832),
            "knee": (92, -10, 455), "ankle": (97, 34, 95),
            "ball": (102, -75, 20), "toe_tip": (100, -135, 20),
        },
        armpit=180,
    ),
}  # fmt: skip


def load_mesh(name: str) -> tuple[Points, Indices]:
    """Vertices (n, 3) [mm] in our frame and faces of ``body_<name>.obj.gz``."""
    vertices: list[list[float]] = []
    faces: list[list[int]] = []
    with gzip.open(DATA / f"body_{name}.obj.gz", "rt", encoding="ascii") as lines:
        for line in lines:
            if line.startswith("v "):
                vertices.append([float(word) for word in line.split()[1:4]])
            elif line.startswith("f "):
                faces.append([int(word.split("/")[0]) - 1 for word in line.split()[1:4]])
    v = np.array(vertices) * 1000.0
    return np.stack([v[:, 0], -v[:, 2], v[:, 1]], axis=1), np.array(faces, dtype=np.int64)


def load_body(name: str) -> Body:
    """One of the open bodies, ``man`` or ``woman``, cut into regions by planes."""
    table = _TABLES[name]
    vertices, faces = load_mesh(name)
    joints: dict[str, Points] = {}
    for joint, place in table.joints.items():
        if place[0] == 0:
            joints[joint] = np.array(place, dtype=np.float64)
        else:
            joints[f"{joint}_left"] = np.array(place, dtype=np.float64)
            joints[f"{joint}_right"] = np.array(place, dtype=np.float64) * [-1, 1, 1]
    levels = {level: float(height) for level, height in table.levels.items()}
    return Body(
        name=name,
        vertices=vertices,
        faces=faces,
        region=_cut_into_regions(vertices, table),
        joints=joints,
        levels=levels,
    )


def _cut_into_regions(vertices: Points, table: _Table) -> Indices:
    x, y, z = vertices.T
    out = np.abs(x)
    joints, levels = table.joints, table.levels
    region = np.full(len(vertices), BONES.index("torso"))
    # The neck's base runs from the nape down to the pit of the throat.
    neck_base = levels["nape"] + 0.25 * (y - 60.0)
    region[(z > neck_base) & (out < 110)] = BONES.index("neck")
    under_chin = joints["head"][2] + 0.35 * (y - 0.0)
    region[(z > np.maximum(under_chin, neck_base)) & (out < 140)] = BONES.index("head")
    for side, sign in (("left", 1.0), ("right", -1.0)):
        here = x * sign > 0
        arm = here & (out > table.armpit) & (z > joints["shoulder"][2] - 120)
        region[arm] = BONES.index(f"upper_arm_{side}")
        region[arm & (out > joints["elbow"][0])] = BONES.index(f"forearm_{side}")
        region[arm & (out > joints["wrist"][0])] = BONES.index(f"hand_{side}")
        leg = here & (z < levels["crotch"])
        region[leg] = BONES.index(f"thigh_{side}")
        region[leg & (z < joints["knee"][2])] = BONES.index(f"shank_{side}")
        region[leg & (z < joints["ankle"][2])] = BONES.index(f"foot_{side}")
    return region


def template_body(
    rng: np.random.Generator | None = None, *, preset: str = "man", spread: float = 1.0
) -> Body:
    """The package's own template in a random whole-body shape: a third source, in its drafting pose."""
    template = load_template()
    coefficients = template.presets[preset].copy()
    if rng is not None:
        coefficients[: template.mode_count] += spread * rng.normal(size=template.mode_count) * 0.8
    points = template.points(coefficients)
    place = {name: points[row] for name, row in template.joints.items()}
    mark = {name: points[row] for name, row in template.landmarks.items()}
    joints = {"neck": place["neck"] * [0, 1, 1], "head": place["head"] * [0, 1, 1]}
    for side in SIDES:
        for joint in ("shoulder", "elbow", "wrist", "hip", "knee", "ankle", "ball", "thumb"):
            joints[f"{joint}_{side}"] = place[f"{joint}_{side}"]
        joints[f"knuckles_{side}"] = place[f"knuckle_{side}"]
        for landmark in ("shoulder_point", "fingertip", "toe_tip"):
            joints[f"{landmark}_{side}"] = mark[f"{landmark}_{side}"]
        # Levels of the leg lie at the kneecap and the ankle bone; move along the bones to them.
        hip, knee, ankle = (joints[f"{joint}_{side}"] for joint in ("hip", "knee", "ankle"))
        kneecap, bone = mark[f"kneecap_{side}"][2], mark[f"ankle_{side}"][2]
        joints[f"knee_{side}"] = _at_height(hip, knee, kneecap)
        joints[f"ankle_{side}"] = _at_height(joints[f"knee_{side}"], ankle, bone)
    heights = {level: float(mark[level][2]) for level in ("crown", "brow", "chin", "nape", "crotch")}
    heights["waist"] = float(mark["waist_front"][2])
    for level, name in (("bust", "bust_point"), ("under_bust", "under_bust"), ("hip", "seat")):
        heights[level] = float(np.mean([mark[f"{name}_{side}"][2] for side in SIDES]))
    stems = [bone.replace("collar_left", "torso").replace("collar_right", "torso") for bone in template.bones]
    stems = ["torso" if bone == "trunk" else bone for bone in stems]
    strongest = template.weights[: template.vertex_count].argmax(axis=1)
    return Body(
        name="template",
        vertices=points[: template.vertex_count],
        faces=template.faces,
        region=np.array([BONES.index(bone) for bone in stems])[strongest],
        joints=joints,
        levels=heights,
        softening=60,
    )


def _at_height(start: Points, end: Points, height: float) -> Points:
    """Where the line through two places passes a height."""
    place: Points = start + (height - start[2]) / (end[2] - start[2]) * (end - start)
    return place
