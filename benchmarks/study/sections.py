"""Truth by cutting the character's own surface: chart coordinates by the definitions in ``body.levels``.

Torso sections are horizontal and taped over their hollows (convex hull). Arm sections are square to the
bone and turn at the elbow; leg sections are level where the leg stands. Both are taped along the skin.
Around starts where a ray from the middle of the section toward the zero direction leaves it: the front,
on the arm a direction that turns from the biceps to the thumb.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from benchmarks.study.bodies import BONES
from benchmarks.study.character import Character
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.body.levels import REGIONS, split_region

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

SAMPLES = 120
CHARTED = (
    "torso",
    *(f"{limb}_{side}" for side in ("left", "right") for limb in ("upper_arm", "forearm", "thigh", "shank")),
)

STANDING_LEG = 3.5
"""Degrees by which a standing leg leans outward; its sections are level in that pose."""

_NEIGHBOURS = {
    "upper_arm": ("upper_arm", "forearm", "torso"),
    "forearm": ("upper_arm", "forearm", "hand"),
    "hand": ("forearm", "hand"),
    "thigh": ("thigh", "shank", "torso"),
    "shank": ("thigh", "shank", "foot"),
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrueChart:
    """The truth on one region.

    chart : the tape line of every section. skin : (k, n, 3) the skin under the tape, the same on limbs.
    """

    chart: RegionChart
    skin: Points

    def skin_points(self, station: Points, around: Points) -> Points:
        """Places on the skin, (m, 3) [mm], where a drawn line lies."""
        chart = self.chart
        on_skin = RegionChart(
            region=chart.region, level_names=chart.level_names, stations=chart.stations, sections=self.skin
        )
        return on_skin.points(station, around)


def true_charts(character: Character, regions: tuple[str, ...] = CHARTED) -> dict[str, TrueChart]:
    """Charts of a character, from sections of its mesh."""
    return {
        region: _torso_chart(character) if region == "torso" else _limb_chart(character, region)
        for region in regions
    }


def cut_loops(vertices: Points, faces: Indices, origin: Points, normal: Points) -> list[tuple[Points, bool]]:
    """Lines where a plane cuts a surface: polylines (m, 3), each with whether it closes."""
    height = (vertices - origin) @ normal
    height = np.where(np.abs(height) < 1e-7, 1e-7, height)
    above = height[faces] > 0
    crossed = faces[above.any(axis=1) & ~above.all(axis=1)]
    sides = np.stack([crossed, np.roll(crossed, -1, axis=1)], axis=2)
    cut = (height[sides[..., 0]] > 0) != (height[sides[..., 1]] > 0)
    pairs = np.sort(sides[cut].reshape(-1, 2, 2), axis=2).reshape(-1, 2)
    keys, ends = np.unique(pairs, axis=0, return_inverse=True)
    first, second = keys[:, 0], keys[:, 1]
    share = height[first] / (height[first] - height[second])
    places = vertices[first] + share[:, None] * (vertices[second] - vertices[first])
    segments = ends.reshape(-1, 2)
    meets: list[list[int]] = [[] for _ in range(len(keys))]
    for a, b in segments.tolist():
        meets[a].append(b)
        meets[b].append(a)
    loops: list[tuple[Points, bool]] = []
    seen = np.zeros(len(keys), dtype=bool)
    # Open lines start at their ends; whatever is left afterwards closes.
    for start in sorted(range(len(keys)), key=lambda node: len(meets[node])):
        if seen[start] or not meets[start]:
            continue
        line, here = [start], start
        seen[start] = True
        while True:
            following = [node for node in meets[here] if not seen[node]]
            if not following:
                break
            here = following[0]
            seen[here] = True
            line.append(here)
        loops.append((places[line], len(meets[start]) == 2))
    return loops


def _faces_of(character: Character, names: tuple[str, ...], *, every: bool = False) -> Indices:
    allowed = np.isin(character.region[character.faces], [BONES.index(name) for name in names])
    return character.faces[allowed.all(axis=1) if every else allowed.any(axis=1)]


def _torso_chart(character: Character) -> TrueChart:
    from scipy.spatial import ConvexHull

    names = REGIONS["torso"].levels
    heights = np.array([character.levels[level] for level in names])
    stations = np.linspace(0.35, 5.0, 80)
    # Arms are left out; the tape bridges the armholes. Thigh tops belong to the lowest sections.
    faces = _faces_of(character, ("torso", "thigh_left", "thigh_right"))
    tape, skin = [], []
    front, left = np.array([0.0, -1.0, 0.0]), np.array([1.0, 0.0, 0.0])
    for station in stations:
        height = float(np.interp(station, np.arange(len(names)), heights))
        lines = cut_loops(character.vertices, faces, np.array([0, 0, height]), np.array([0.0, 0.0, 1.0]))
        points = np.vstack([line for line, _ in lines])
        hull = points[ConvexHull(points[:, :2]).vertices]
        section = _from_front(hull, front, left, midline=character.midline(height))
        tape.append(section)
        skin.append(_drop_to_skin(section, lines, hull.mean(axis=0)))
    chart = RegionChart(region="torso", level_names=names, stations=stations, sections=np.stack(tape))
    return TrueChart(chart=chart, skin=np.stack(skin))


def _drop_to_skin(section: Points, lines: list[tuple[Points, bool]], centre: Points) -> Points:
    """Where rays from the tape toward the middle first meet the skin; the tape itself over an armhole."""
    inward = centre[None, :2] - section[:, :2]
    starts = np.vstack([np.vstack([line[:-1], line[-1:]]) if closed else line[:-1] for line, closed in lines])
    ends = np.vstack([np.vstack([line[1:], line[:1]]) if closed else line[1:] for line, closed in lines])
    d = (ends - starts)[None, :, :2]
    gap = starts[None, :, :2] - section[:, None, :2]
    determinant = inward[:, None, 0] * d[..., 1] - inward[:, None, 1] * d[..., 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        t = (gap[..., 0] * d[..., 1] - gap[..., 1] * d[..., 0]) / determinant
        s = (gap[..., 0] * inward[:, None, 1] - gap[..., 1] * inward[:, None, 0]) / determinant
    hit = (t >= -1e-6) & (t < 0.6) & (s >= -1e-9) & (s <= 1 + 1e-9)
    depth = np.where(hit, t, np.inf).min(axis=1)
    depth = np.where(np.isfinite(depth), depth, 0.0)
    skin = section.copy()
    skin[:, :2] += np.clip(depth, 0, None)[:, None] * inward
    return skin


def limb_planes(character: Character, region: str, stations: Points) -> tuple[Points, Points, Points]:
    """Origins on the bone, unit normals (toward the hand or foot) and zero directions, (k, 3) each."""
    definition, side = split_region(region)
    joints = character.joints
    t = np.asarray(stations, dtype=np.float64)[:, None]
    if definition.name in ("upper_arm", "forearm", "hand"):
        shoulder, elbow, wrist = (joints[f"{joint}_{side}"] for joint in ("shoulder", "elbow", "wrist"))
        upper, lower = _unit(elbow - shoulder), _unit(wrist - elbow)
        # Station 0 of the upper arm lies where the shoulder point projects on the bone.
        top = shoulder + ((joints[f"shoulder_point_{side}"] - shoulder) @ upper) * upper
        low, high = {
            "upper_arm": (top, elbow), "forearm": (elbow, wrist), "hand": (wrist, joints[f"knuckles_{side}"])
        }[definition.name]  # fmt: skip
        whole = t + {"upper_arm": 0.0, "forearm": 1.0, "hand": 2.0}[definition.name]
        # Planes turn from one bone's to the other's within a quarter of a segment of the elbow.
        turn = np.clip((whole - 0.75) / 0.5, 0.0, 1.0)
        turn = turn * turn * (3.0 - 2.0 * turn)
        normals = (1 - turn) * upper + turn * lower
        twist = np.clip(whole / 2.0, 0.0, 1.0)
        biceps, thumb = _square(character.front[f"upper_arm_{side}"], upper), character.thumb[side]
        zeros = (1 - twist) * biceps + twist * _square(thumb, lower)
        return low + t * (high - low), normals / np.linalg.norm(normals, axis=1, keepdims=True), zeros
    hip, knee, ankle = (joints[f"{joint}_{side}"] for joint in ("hip", "knee", "ankle"))
    # A leg is read level where it stands; the planes follow the leg into the pose of the picture.
    sign = 1.0 if side == "left" else -1.0
    stands = np.array([sign * np.sin(np.radians(STANDING_LEG)), 0.0, -np.cos(np.radians(STANDING_LEG))])
    normal = _turn(stands, _unit(ankle - hip)) @ np.array([0.0, 0.0, -1.0])
    if definition.name == "thigh":
        crotch = np.array([0.0, hip[1], character.levels["crotch"]])
        low, high = hip + ((crotch - hip) @ normal) / ((knee - hip) @ normal) * (knee - hip), knee
    else:
        low, high = knee, ankle
    origins = low + t * (high - low)
    front = np.broadcast_to(character.front[region], origins.shape)
    return origins, np.broadcast_to(normal, origins.shape), front


def _turn(source: Points, target: Points) -> Points:
    """Smallest rotation from one unit vector to another, (3, 3)."""
    axis = np.cross(source, target)
    skew = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    rotation: Points = np.eye(3) + skew + skew @ skew / (1.0 + float(source @ target))
    return rotation


def _limb_chart(character: Character, region: str) -> TrueChart:
    definition, side = split_region(region)
    names = definition.levels[:2] if definition.name != "hand" else definition.levels
    lowest = {"upper_arm": 0.3, "thigh": 0.03}.get(definition.name, 0.0)
    stations = np.linspace(lowest, 1.0, 48)
    origins, normals, zeros = limb_planes(character, region, stations)
    near = tuple(name if name == "torso" else f"{name}_{side}" for name in _NEIGHBOURS[definition.name])
    faces = _faces_of(character, near)
    outward = np.array([1.0 if side == "left" else -1.0, 0.0, 0.0])
    kept, sections = [], []
    for station, origin, normal, zero in zip(stations, origins, normals, zeros, strict=True):
        best, distance = None, np.inf
        for line, closed in cut_loops(character.vertices, faces, origin, normal):
            away = float(np.linalg.norm(line.mean(axis=0) - origin))
            if closed and len(line) > 8 and away < distance:
                best, distance = line, away
        if best is None:
            continue
        kept.append(station)
        sections.append(_from_front(best, _square(zero, normal), _square(outward, normal)))
    girths = [np.linalg.norm(s - np.roll(s, 1, axis=0), axis=1).sum() for s in sections]
    # A section that runs on into the trunk is no section of the limb: keep the run below it.
    jump = [k for k in range(1, len(girths)) if girths[k] < 0.93 * girths[k - 1]]
    first = max((k for k in jump if k < 15), default=0)
    chart = RegionChart(
        region=region,
        level_names=names,
        stations=np.array(kept[first:]),
        sections=np.stack(sections[first:]),
    )
    return TrueChart(chart=chart, skin=chart.sections)


def _from_front(loop: Points, front: Points, outward: Points, midline: float | None = None) -> Points:
    """A section resampled at equal girth from the front, running outward, (SAMPLES, 3)."""
    square_to_front = outward - (outward @ front) * front
    flat = np.stack([loop @ front, loop @ _unit(square_to_front)], axis=1)
    steps = np.linalg.norm(np.roll(loop, -1, axis=0) - loop, axis=1)[:, None]
    centre = (0.5 * (flat + np.roll(flat, -1, axis=0)) * steps).sum(axis=0) / steps.sum()
    if midline is not None:
        # The trunk's front line is the middle of the body, not of a lopsided section.
        centre[1] = midline
    x, y = flat.T
    if (x * np.roll(y, -1) - np.roll(x, -1) * y).sum() < 0:
        loop, flat = loop[::-1], flat[::-1]
    local = flat - centre
    following = np.roll(local, -1, axis=0)
    crossing = (local[:, 1] <= 0) & (following[:, 1] > 0)
    share = np.where(crossing, -local[:, 1] / np.where(crossing, following[:, 1] - local[:, 1], 1.0), 0.0)
    ahead = np.where(crossing, local[:, 0] + share * (following[:, 0] - local[:, 0]), -np.inf)
    index = int(ahead.argmax())
    start = loop[index] + share[index] * (np.roll(loop, -1, axis=0)[index] - loop[index])
    turned = np.vstack([start, np.roll(loop, -index - 1, axis=0)])
    closed = np.vstack([turned, turned[:1]])
    arc = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))])
    wanted = np.arange(SAMPLES) / SAMPLES * arc[-1]
    return np.stack([np.interp(wanted, arc, closed[:, k]) for k in range(3)], axis=1)


def _unit(vector: Points) -> Points:
    unit: Points = vector / np.linalg.norm(vector)
    return unit


def _square(vector: Points, axis: Points) -> Points:
    return _unit(vector - (vector @ axis) * axis)
