"""Which faces of the template belong to which region, and which planes cut each region into sections.

Faces are assigned once, on the mean body standing. Planes are set on every body from its own landmarks and
joints: level on the trunk, neck and head being oblique, square to the bone on arms, level on legs (a
standing leg is upright to within 4°, and a tape there is read level), turning from level to upright on feet.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from layfigure.body.crossings import Edges, Planes, Stack
from layfigure.body.levels import LEVEL_GAP, REGIONS, all_region_names, split_region
from layfigure.body.pose import standing_pose
from layfigure.body.sections import Cuts, cut_stacks, with_corner
from layfigure.body.template import Template, load_template

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

STEPS_A_LEVEL = {"head": 12, "neck": 14, "torso": 12, "upper_arm": 32, "forearm": 32, "hand": 12,
                 "thigh": 40, "shank": 40, "foot": 10}  # fmt: skip
BEYOND = 60.0
"""Edges further than this [mm on the mean body] beyond the last plane of a neck or forearm, or off the tape
round the head, are not asked: faces and fingers have a quarter of all edges."""
FRONT, LEFT, UP = np.array([0.0, -1.0, 0.0]), np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])


class BodyPlaces:
    """Landmarks and joints of one standing body by name."""

    def __init__(self, template: Template, standing: Points) -> None:
        self._template, self._standing = template, standing

    def __getitem__(self, name: str) -> Points:
        row = self._template.landmarks.get(name)
        place: Points = self._standing[
            self._template.joints[name.removeprefix("joint_")] if row is None else row
        ]
        return place

    def height(self, *names: str) -> float:
        """Mean height of places [mm]."""
        return float(np.mean([self[name][2] for name in names]))


def level_heights(places: BodyPlaces) -> dict[str, float]:
    """Standing height of every level [mm]. Levels of the torso follow one another whatever the body."""
    pairs = {"bust": "bust_point", "under_bust": "under_bust", "hip": "seat"}
    heights = {"crown": places.height("crown"), "brow": places.height("brow"), "chin": places.height("chin")}
    heights |= {"under_chin": places.height("under_chin"), "neck_base": places.height("front_neck", "nape")}
    heights |= {"nape": places.height("nape"), "waist": places.height("waist_front"),
                "crotch": places.height("crotch")}  # fmt: skip
    for level, stem in pairs.items():
        heights[level] = places.height(f"{stem}_left", f"{stem}_right")
    # Some seats are fullest below the crotch: the sections of a chart still follow one another.
    for upper, lower in pairwise(REGIONS["torso"].levels):
        heights[lower] = min(heights[lower], heights[upper] - LEVEL_GAP)
    for side in ("left", "right"):
        for level, name in (
            ("shoulder_point", "shoulder_point"), ("elbow", "joint_elbow"), ("wrist", "joint_wrist"),
            ("knuckles", "knuckles"), ("fingertip", "fingertip"), ("knee", "kneecap"), ("ankle", "ankle"),
            ("instep", "instep"), ("ball", "ball_top"), ("toe_tip", "toe_tip"),
        ):  # fmt: skip
            heights[f"{level}_{side}"] = places.height(f"{name}_{side}")
    return heights


def _unit(vector: Points) -> Points:
    length = np.linalg.norm(vector, axis=-1, keepdims=True)
    result: Points = vector / np.maximum(length, 1e-12)
    return result


def _framed(
    origins: Points, normals: Points, zeros: Points, positives: Points, *, hull: bool, midline: bool = False
) -> Planes:
    """Planes with zero and positive directions made square to the normal and to each other."""
    normals = _unit(normals)
    zeros = np.broadcast_to(zeros, normals.shape)
    positives = np.broadcast_to(positives, normals.shape)
    zeros = _unit(zeros - np.sum(zeros * normals, axis=1, keepdims=True) * normals)
    across = np.cross(normals, zeros)
    across = across * np.sign(np.sum(across * positives, axis=1, keepdims=True))
    return Planes(origins=origins, normals=normals, zeros=zeros, positives=across, hull=hull, midline=midline)


def _interpolate(station: Points, knots: Points, values: Points) -> Points:
    return np.stack([np.interp(station, knots, values[:, d]) for d in range(values.shape[1])], axis=1)


def arm_axis(places: BodyPlaces, side: str) -> tuple[Points, Points]:
    """Places of the levels shoulder point, elbow, wrist on the bones, (3, 3), and unit bones, (2, 3)."""
    shoulder, elbow, wrist = (places[f"joint_{joint}_{side}"] for joint in ("shoulder", "elbow", "wrist"))
    bones = _unit(np.stack([elbow - shoulder, wrist - elbow]))
    top = shoulder + ((places[f"shoulder_point_{side}"] - shoulder) @ bones[0]) * bones[0]
    return np.stack([top, elbow, wrist]), bones


def thumb_direction(places: BodyPlaces, side: str) -> Points:
    """Unit direction from the wrist to the thumb, square to the forearm."""
    _, bones = arm_axis(places, side)
    toward = places[f"joint_thumb_{side}"] - places[f"joint_wrist_{side}"]
    return _unit(toward - (toward @ bones[1]) * bones[1])


def chart_stations(region: str, places: BodyPlaces) -> Points:
    """Stations at which a region is cut; an upper arm starts just below the armpit."""
    definition, side = split_region(region)
    steps = STEPS_A_LEVEL[definition.name] * (len(definition.levels) - 1)
    low, high = 0.0, float(len(definition.levels) - 1)
    if definition.name == "upper_arm":
        levels, bones = arm_axis(places, side)
        length = float(np.linalg.norm(levels[1] - levels[0]))
        low = float((places[f"armpit_{side}"] - levels[0]) @ bones[0] + 0.035 * length) / length
    if definition.name == "head":
        low = 0.04  # the section shrinks to a point at the crown
    if definition.name in ("hand", "foot"):
        high -= 0.04
    if definition.name == "torso":
        high -= 0.01
    if definition.name == "thigh":
        low = 0.01  # at the crotch itself both thighs are still one section
    return np.linspace(low, high, steps + 1)


def section_planes(region: str, places: BodyPlaces, heights: dict[str, float], stations: Points) -> Planes:
    """The cutting plane of a region at each station, on one standing body."""
    definition, side = split_region(region)
    t = np.asarray(stations, dtype=np.float64)
    outward = LEFT if side != "right" else -LEFT
    knots = np.arange(len(definition.levels), dtype=np.float64)
    if definition.name in ("torso", "thigh", "shank", "head"):
        names = [n if n in heights else f"{n}_{side}" for n in definition.levels]
        z = np.interp(t, knots, [heights[n] for n in names])
        # Tubes that do not stand on the midline take their own middle; their planes need only a height.
        origins = np.stack([np.zeros_like(z), np.zeros_like(z), z], axis=1)
        normals = np.broadcast_to(UP, origins.shape)
        trunk = definition.name in ("torso", "head")
        return _framed(origins, normals, FRONT, outward, hull=trunk, midline=trunk)
    if definition.name == "neck":
        # The root of the neck rises from the notch of the collar bones over the sides to the nape bone.
        sides = 0.5 * (places["neck_side_left"] + places["neck_side_right"])
        ends = np.stack([places["under_chin"], places["front_neck"]])
        backs = np.stack([places["skull_base"], sides])
        normals = np.cross(backs - ends, LEFT)
        return _framed(_interpolate(t, knots, ends), _interpolate(t, knots, _unit(normals)), FRONT, LEFT,
                       hull=True, midline=True)  # fmt: skip
    if definition.name in ("upper_arm", "forearm"):
        levels, bones = arm_axis(places, side)
        whole = t + (1.0 if definition.name == "forearm" else 0.0)
        # The planes turn from one bone's to the other's within a quarter of a segment of the elbow.
        turn = np.clip((whole - 0.75) / 0.5, 0.0, 1.0)
        turn = (turn * turn * (3.0 - 2.0 * turn))[:, None]
        normals = (1.0 - turn) * bones[0] + turn * bones[1]
        thumb = thumb_direction(places, side)
        biceps = _unit(FRONT - (FRONT @ bones[0]) * bones[0])
        twist = np.clip(whole[:, None] / 2.0, 0.0, 1.0)
        return _framed(_interpolate(whole, np.arange(3.0), levels), normals,
                       (1.0 - twist) * biceps + twist * thumb, outward, hull=False)  # fmt: skip
    if definition.name == "hand":
        levels, bones = arm_axis(places, side)
        # Down the middle finger; the level of the knuckles is square to it at the middle knuckle.
        points = np.stack([levels[2], places[f"joint_knuckle_{side}"], places[f"fingertip_{side}"]])
        along = _unit(np.diff(points, axis=0))
        normals = _interpolate(t, np.array([0.0, 0.5, 2.0]), np.stack([bones[1], along[0], along[1]]))
        thumb = thumb_direction(places, side)
        back = np.cross(thumb, along[0]) * (1.0 if side == "left" else -1.0)
        return _framed(_interpolate(t, knots, points), normals, back, -thumb, hull=True)
    points = np.stack([places[f"{n}_{side}"] for n in ("ankle", "instep", "ball_top", "toe_tip")])
    ahead = places[f"ball_top_{side}"] - places[f"joint_ankle_{side}"]
    ahead = _unit(ahead * (1.0, 1.0, 0.0))
    down = np.stack([-UP, _unit(ahead - 0.8 * UP), _unit(ahead - 0.15 * UP), ahead])
    return _framed(_interpolate(t, knots, points), _interpolate(t, knots, down), UP + ahead,
                   outward, hull=True)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RegionFaces:
    """Faces of the template by region. ``face_region`` : (m,) index into ``names``.

    edges : by region, the mesh edges its planes may cut; they reach a little into the neighbours.
    shoulder_edges : those of the torso with the upper arms, for planes that cut the shoulders.
    trunk_edges : those of the torso alone, for planes that stand upright. skull_edges : those of the head
    near the tape round it.
    """

    names: tuple[str, ...]
    face_region: Indices
    edges: dict[str, Edges]
    shoulder_edges: Edges
    trunk_edges: Edges
    skull_edges: Edges


def armhole_plane(places: BodyPlaces, side: str) -> Points:
    """Half space beyond the armhole: normal (3,) away from the trunk and its offset, (4,)."""
    upright = places[f"shoulder_point_{side}"] - places[f"armpit_{side}"]
    normal = np.cross(upright, FRONT)
    normal = _unit(normal * np.sign(normal[0] * (1.0 if side == "left" else -1.0)))
    return np.append(normal, normal @ places[f"shoulder_point_{side}"])


@lru_cache(maxsize=1)
def region_faces() -> RegionFaces:
    """Assign every face of the shipped template."""
    template = load_template()
    standing = standing_pose(template).apply(template.mean)
    places = BodyPlaces(template, standing)
    heights = level_heights(places)
    share = template.weights[template.faces].mean(axis=1)
    middle = standing[template.faces].mean(axis=1)
    raw_middle = template.mean[template.faces].mean(axis=1)
    column = {name: share[:, k] for k, name in enumerate(template.bones)}
    names = all_region_names()
    region = np.full(len(template.faces), names.index("torso"))
    base = section_planes("neck", places, heights, np.array([0.0, 1.0]))
    beyond = [(middle - base.origins[k]) @ base.normals[k] * np.sign(base.normals[k][2]) for k in (0, 1)]
    central = sum(
        column[f"{part}_{side}"] for part in ("upper_arm", "forearm", "hand") for side in ("left", "right")
    )
    neck = (beyond[1] > 0) & (central < 0.5) & (column["neck"] + column["head"] > 0.05)
    region[neck] = names.index("neck")
    region[neck & (beyond[0] > 0)] = names.index("head")
    template_places = BodyPlaces(template, template.mean)
    for side, sign in (("left", 1.0), ("right", -1.0)):
        on_side = sign * middle[:, 0] > 0
        arm = column[f"upper_arm_{side}"] + column[f"forearm_{side}"] + column[f"hand_{side}"]
        hole = armhole_plane(template_places, side)
        outer = (arm > 0.05) & (raw_middle @ hole[:3] > hole[3]) | (arm > 0.9)
        levels, bones = arm_axis(places, side)
        region[outer] = names.index(f"upper_arm_{side}")
        for name, origin, normal in (
            ("forearm", levels[1], _unit(bones[0] + bones[1])), ("hand", levels[2], bones[1])
        ):  # fmt: skip
            region[outer & ((middle - origin) @ normal > 0)] = names.index(f"{name}_{side}")
        leg = on_side & (central < 0.5)
        for name, level in (("thigh", "crotch"), ("shank", f"knee_{side}"), ("foot", f"ankle_{side}")):
            low = leg & (middle[:, 2] < heights[level])
            region[low] = names.index(f"{name}_{side}")
    edges = {}
    for name in names:
        definition, side = split_region(name)
        stems = {"torso": ("torso", "neck", "thigh"), "head": ("head", "neck"),
                 "neck": ("neck", "head", "torso"), "thigh": ("thigh", "shank", "torso"),
                 "shank": ("thigh", "shank", "foot"), "foot": ("foot", "shank"),
                 "upper_arm": ("upper_arm", "forearm"), "forearm": ("upper_arm", "forearm", "hand"),
                 "hand": ("hand", "forearm")}[definition.name]  # fmt: skip
        wanted = [k for k, n in enumerate(names) if split_region(n)[0].name in stems
                  and (not definition.paired or split_region(n)[1] in (side, "middle"))]  # fmt: skip
        chosen = np.isin(region, wanted)
        if definition.name == "thigh":
            chosen &= (middle[:, 0] > 0) == (side == "left")
            chosen &= middle[:, 2] < heights["hip"]
        if definition.name == "hand":
            # The thumb stands apart: a tape round the hand leaves it out.
            along = (middle - places[f"joint_thumb_{side}"]) @ _unit(
                places[f"joint_thumb_tip_{side}"] - places[f"joint_thumb_{side}"])  # fmt: skip
            axis = _unit(places[f"joint_thumb_tip_{side}"] - places[f"joint_thumb_{side}"])
            apart = np.linalg.norm((middle - places[f"joint_thumb_{side}"]) - along[:, None] * axis, axis=1)
            chosen &= ~((along > -4.0) & (apart < 17.0))
        if definition.name == "forearm":
            levels, bones = arm_axis(places, side)
            chosen &= (middle - levels[2]) @ bones[1] < BEYOND
        if definition.name == "neck":
            chosen &= (column["neck"] + column["head"] > 0.02) | (abs(middle[:, 0]) < 90.0)
            chosen &= beyond[0] < BEYOND
        edges[name] = Edges.of_faces(template.faces[chosen])
    around_shoulders = np.isin(
        region, [names.index(n) for n in ("torso", "neck", "upper_arm_left", "upper_arm_right")]
    )
    round_head = (middle - places["brow"]) @ _unit(np.cross(LEFT, places["head_back"] - places["brow"]))
    return RegionFaces(
        names=names,
        face_region=region.astype(np.int64),
        edges=edges,
        shoulder_edges=Edges.of_faces(template.faces[around_shoulders]),
        trunk_edges=Edges.of_faces(template.faces[region == names.index("torso")]),
        skull_edges=Edges.of_faces(
            template.faces[(region == names.index("head")) & (abs(round_head) < BEYOND)]
        ),
    )


def neck_clips(places: BodyPlaces) -> list[Points]:
    """Half spaces beyond the neck, (4,) each: three for every section, the rest for its lower half.

    A plane through the root of the neck runs on, out along the slope of the shoulders and down into the
    chest. The lower half stays inside an upright half ellipse from side to side over the notch.
    """
    half = 0.5 * abs(places["neck_side_left"][0] - places["neck_side_right"][0])
    notch = places["front_neck"]
    middle = 0.5 * (places["neck_side_left"][1] + places["neck_side_right"][1])
    clips = [np.array([sign, 0.0, 0.0, 1.12 * half]) for sign in (1.0, -1.0)]
    clips.append(np.array([0.0, 0.0, -1.0, 2.0 - notch[2]]))
    across = 1.06 * half
    ahead = middle - min(notch[1], 0.5 * (notch[1] + places["under_chin"][1])) + 4.0
    for angle in np.radians([25.0, 45.0, 65.0]):
        for sign in (1.0, -1.0):
            normal = np.array([sign * np.cos(angle) / across, -np.sin(angle) / ahead, 0.0])
            clips.append(np.append(normal, 1.0 + normal[1] * middle))
    return clips


def cut_regions(surface: Points, places: BodyPlaces, planes: Mapping[str, Planes]) -> Cuts:
    """Tape lines of the planes of every region on one standing body, region after region.

    The torso ends at the armholes, the neck where it turns into shoulders and chest.
    """
    stacks = [stack for region, asked in planes.items() for stack in _stacks(region, places, asked)]
    cuts = cut_stacks(surface, stacks)
    # The root's plane may only touch the skin at the notch, where the line belongs all the same.
    names = list(planes)
    last = sum(len(planes[name].origins) for name in names[: names.index("neck") + 1]) - 1
    root, notch = planes["neck"], load_template().landmarks["front_neck"]
    if abs((surface[notch] - root.origins[-1]) @ root.normals[-1]) < 1e-6:
        over = with_corner(surface, cuts[last], notch, root.zeros[-1], root.positives[-1])
        return cuts.with_line(last, over)
    return cuts


def _stacks(region: str, places: BodyPlaces, planes: Planes) -> list[Stack]:
    """The planes of a region with the edges they may cut, in their order."""
    faces = region_faces()
    edges = faces.edges[region]
    if region == "neck":
        clips = tuple(neck_clips(places))
        # The plane half way between counts to the upper half, however its height is rounded.
        low = planes.origins[:, 2] < 0.5 * (places["under_chin"][2] + places["front_neck"][2]) - 1e-6
        return [
            Stack(edges=edges, planes=planes.rows(~low), clips=clips[:3]),
            Stack(edges=edges, planes=planes.rows(low), clips=clips),
        ]
    if region == "torso":
        armpits, bust = (places.height(f"{name}_left", f"{name}_right") for name in ("armpit", "bust_point"))
        # A tape round the bust passes under the arms even where it lies higher than the armpits.
        high = planes.origins[:, 2] > max(armpits, bust) + 1e-6
        clips = tuple(armhole_plane(places, side) for side in ("left", "right"))
        return [
            Stack(edges=faces.shoulder_edges, planes=planes.rows(high), clips=clips),
            Stack(edges=edges, planes=planes.rows(~high)),
        ]
    return [Stack(edges=edges, planes=planes)]
