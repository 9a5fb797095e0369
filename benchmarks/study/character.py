"""Characters far from human averages: an open body, stylised hard, posed and made a little crooked.

Every bone carries its own map (along the bone, across it, with smooth bumps that no figure knows), and
the maps are blended over the skin. Nothing here is shared with the solver that is being judged.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from benchmarks.study.bodies import BONES, SIDES, Body
from numpy.typing import NDArray

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """How a character differs from the body it is made from. Shares are factors, angles degrees.

    torso_heights : factors for crotch-hip, hip-waist, waist-under bust, under bust-bust, bust-nape.
    torso_widths, torso_depths : factors at crotch, hip, waist, under bust, bust, shoulders.
    bone_lengths, bone_widths, bone_depths : factors by bone, sided; a missing one is 1.
    bumps : size of the smooth random swelling of every bone, as a share of its radius.
    arm_fall : degrees the arms come down from the T pose. elbow_bend, leg_spread, stride : degrees.
    """

    torso_heights: tuple[float, float, float, float, float] = (1, 1, 1, 1, 1)
    torso_widths: tuple[float, float, float, float, float, float] = (1, 1, 1, 1, 1, 1)
    torso_depths: tuple[float, float, float, float, float, float] = (1, 1, 1, 1, 1, 1)
    bone_lengths: dict[str, float] = field(default_factory=dict)
    bone_widths: dict[str, float] = field(default_factory=dict)
    bone_depths: dict[str, float] = field(default_factory=dict)
    head: float = 1.0
    bumps: float = 0.05
    arm_fall: dict[str, float] = field(default_factory=lambda: {"left": 50.0, "right": 50.0})
    arm_forward: dict[str, float] = field(default_factory=lambda: {"left": 0.0, "right": 0.0})
    elbow_bend: dict[str, float] = field(default_factory=lambda: {"left": 0.0, "right": 0.0})
    leg_spread: dict[str, float] = field(default_factory=lambda: {"left": 0.0, "right": 0.0})
    leg_forward: dict[str, float] = field(default_factory=lambda: {"left": 0.0, "right": 0.0})
    seed: int = 0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Character:
    """A posed character.

    vertices, faces : the surface [mm]. region : (n,) index into BONES.
    joints : (3,) centres after stylising. levels : heights of torso levels and crown, brow, chin.
    front : zero direction of every bone (unit, roughly square to it), after posing. thumb : by side, unit
        direction from the wrist toward the thumb. midline : the middle of the trunk at a height [mm].
    """

    name: str
    vertices: Points
    faces: Indices
    region: Indices
    joints: dict[str, Points]
    levels: dict[str, float]
    front: dict[str, Points]
    thumb: dict[str, Points]
    midline: Callable[[float], float]

    @property
    def stature(self) -> float:
        """Height from the soles to the crown [mm]."""
        return float(np.ptp(self.vertices[:, 2]))


def random_style(rng: np.random.Generator, *, asymmetry: float = 0.03) -> Style:
    """A character of 6 to 10 heads with strong, unequal exaggeration."""
    legs = rng.uniform(0.72, 1.45)
    arms = np.clip(legs * rng.uniform(0.85, 1.15), 0.75, 1.35)
    trunk = rng.uniform(0.85, 1.15)
    heavy = rng.uniform(0.8, 1.25)
    kind = rng.integers(4)
    shoulders, waist, hips = [
        (rng.uniform(1.25, 1.6), rng.uniform(0.85, 1.05), rng.uniform(0.8, 1.0)),
        (rng.uniform(0.9, 1.05), rng.uniform(0.62, 0.78), rng.uniform(1.05, 1.25)),
        (rng.uniform(1.1, 1.3), rng.uniform(0.7, 0.85), rng.uniform(0.9, 1.1)),
        (rng.uniform(0.85, 1.15), rng.uniform(0.9, 1.2), rng.uniform(0.9, 1.2)),
    ][kind]
    under = 0.5 * (waist + shoulders) * rng.uniform(0.92, 1.0)
    bust = np.clip(shoulders * rng.uniform(0.85, 1.0), 0.85, 1.4)
    widths = heavy * np.array([hips, hips, waist, under, bust, shoulders])
    depths = heavy * np.array([hips, hips, waist, under, bust, 0.5 * (bust + 1)]) ** 0.8
    depths *= rng.normal(1.0, 0.06, 6)
    lengths: dict[str, float] = {}
    across: dict[str, float] = {}
    deep: dict[str, float] = {}
    for limb in ("upper_arm", "forearm", "hand", "thigh", "shank", "foot"):
        long = arms if limb in ("upper_arm", "forearm") else legs if limb in ("thigh", "shank") else 1.0
        long *= rng.uniform(0.9, 1.12)
        thick = heavy * rng.uniform(0.8, 1.3)
        deep_share = rng.normal(1.0, 0.08)
        for side in SIDES:
            uneven = rng.normal(1.0, asymmetry, 3)
            lengths[f"{limb}_{side}"] = float(long * (1 + 0.5 * (uneven[0] - 1)))
            across[f"{limb}_{side}"] = float(thick * uneven[1])
            deep[f"{limb}_{side}"] = float(thick * deep_share * uneven[2])
    lengths["neck"], across["neck"] = float(rng.uniform(0.8, 1.5)), float(rng.uniform(0.8, 1.2) * heavy**0.5)
    deep["neck"] = across["neck"]
    fall, forward = rng.uniform(42, 66), rng.normal(0, 4)
    spread = rng.uniform(-1, 6)
    return Style(
        torso_heights=tuple(trunk * rng.normal(1.0, 0.1, 5)),
        torso_widths=tuple(widths),
        torso_depths=tuple(depths),
        bone_lengths=lengths,
        bone_widths=across,
        bone_depths=deep,
        head=float(rng.uniform(0.75, 1.2)),
        bumps=float(rng.uniform(0.03, 0.09)),
        arm_fall={side: float(fall + rng.normal(0, 4)) for side in SIDES},
        arm_forward={side: float(forward + rng.normal(0, 3)) for side in SIDES},
        elbow_bend={side: float(abs(rng.normal(0, 6))) for side in SIDES},
        leg_spread={side: float(spread + rng.normal(0, 1.5)) for side in SIDES},
        leg_forward={side: float(rng.normal(0, 2.5)) for side in SIDES},
        seed=int(rng.integers(2**31)),
    )


def make_character(body: Body, style: Style, name: str = "character") -> Character:
    """The body in this style, standing on the floor."""
    rng = np.random.default_rng(style.seed)
    torso = _TorsoMap(body, style, rng)
    maps: dict[str, _BoneMap | _TorsoMap | _HeadMap] = {"torso": torso}
    joints: dict[str, Points] = {}
    down = np.array([0.0, 0.0, -1.0])
    up = -down

    def bone(name: str, start: str, end: str, parent: Points, direction: Points, front: Points) -> Points:
        maps[name] = _BoneMap(
            body.joints[start], body.joints[end], parent, direction, front, style, name, rng
        )
        joints[end] = maps[name](body.joints[end][None])[0]
        return joints[end]

    joints["neck"] = torso(body.joints["neck"][None])[0]
    tilt = np.array([rng.normal(0, 0.02), rng.normal(0, 0.03), 1.0])
    bone("neck", "neck", "head", joints["neck"], _turned(body, "neck", "head", tilt - up), _FRONT)
    maps["head"] = _HeadMap(body.joints["head"], joints["head"], style.head)
    for side, sign in (("left", 1.0), ("right", -1.0)):
        joints[f"shoulder_{side}"] = torso(body.joints[f"shoulder_{side}"][None])[0]
        fall, ahead = np.radians(style.arm_fall[side]), np.radians(style.arm_forward[side])
        arm = np.array([sign * np.cos(fall), -np.sin(ahead) * np.sin(fall), -np.sin(fall) * np.cos(ahead)])
        bend = np.radians(style.elbow_bend[side])
        ahead_of_arm = _square(_FRONT, arm)
        lower = np.cos(bend) * arm + np.sin(bend) * ahead_of_arm
        elbow = bone(
            f"upper_arm_{side}", f"shoulder_{side}", f"elbow_{side}", joints[f"shoulder_{side}"], arm, _FRONT
        )
        front_of_lower = _square(_FRONT, lower)
        wrist = bone(f"forearm_{side}", f"elbow_{side}", f"wrist_{side}", elbow, lower, front_of_lower)
        bone(f"hand_{side}", f"wrist_{side}", f"fingertip_{side}", wrist, lower, front_of_lower)
        joints[f"knuckles_{side}"] = maps[f"hand_{side}"](body.joints[f"knuckles_{side}"][None])[0]
        joints[f"shoulder_point_{side}"] = maps[f"upper_arm_{side}"](
            body.joints[f"shoulder_point_{side}"][None]
        )[0]
        spread, stride = np.radians(style.leg_spread[side]), np.radians(style.leg_forward[side])
        lean = np.array([sign * np.sin(spread), -np.sin(stride), 0.0])
        joints[f"hip_{side}"] = torso(body.joints[f"hip_{side}"][None])[0]
        knee = bone(
            f"thigh_{side}", f"hip_{side}", f"knee_{side}", joints[f"hip_{side}"],
            _turned(body, f"hip_{side}", f"knee_{side}", lean), _FRONT,
        )  # fmt: skip
        ankle = bone(
            f"shank_{side}", f"knee_{side}", f"ankle_{side}", knee,
            _turned(body, f"knee_{side}", f"ankle_{side}", 0.7 * lean), _FRONT,
        )  # fmt: skip
        bone(
            f"foot_{side}", f"ankle_{side}", f"toe_tip_{side}", ankle,
            _turned(body, f"ankle_{side}", f"toe_tip_{side}", 0.0 * down), up,
        )  # fmt: skip
    weights = skin_weights(body.faces, body.region, len(body.vertices), body.softening)
    vertices = np.zeros_like(body.vertices)
    for index, name_of_bone in enumerate(BONES):
        used = weights[:, index] > 0
        moved = maps[name_of_bone](body.vertices[used])
        vertices[used] += weights[used, index, None] * moved
    floor = float(vertices[:, 2].min())
    vertices[:, 2] -= floor
    lift = np.array([0.0, 0.0, floor])
    heights = np.array([[0.0, 0.0, body.levels[level]] for level in _TORSO_LEVELS])
    levels = {
        level: float(height) - floor
        for level, height in zip(_TORSO_LEVELS, torso.height(heights[:, 2]), strict=True)
    }
    for level in ("crown", "brow", "chin"):
        levels[level] = float(maps["head"](np.array([[0.0, 0.0, body.levels[level]]]))[0, 2]) - floor
    return Character(
        name=name,
        vertices=vertices,
        faces=body.faces,
        region=body.region,
        joints={joint: place - lift for joint, place in joints.items()},
        levels=levels,
        front={name: entry.front if isinstance(entry, _BoneMap) else _FRONT for name, entry in maps.items()},
        thumb={side: _thumb(body, maps, side) for side in SIDES},
        midline=lambda height: torso.midline(height + floor),
    )


def _thumb(body: Body, maps: dict[str, _BoneMap | _TorsoMap | _HeadMap], side: str) -> Points:
    hand = maps[f"hand_{side}"]
    wrist, thumb = (hand(body.joints[f"{joint}_{side}"][None])[0] for joint in ("wrist", "thumb"))
    unit: Points = (thumb - wrist) / np.linalg.norm(thumb - wrist)
    return unit


_FRONT = np.array([0.0, -1.0, 0.0])
_TORSO_LEVELS = ("crotch", "hip", "waist", "under_bust", "bust", "nape")


def skin_weights(faces: Indices, region: Indices, count: int, steps: int) -> Points:
    """Hard regions made soft by walking over the skin, (count, number of bones), rows sum to 1."""
    from scipy.sparse import coo_matrix, diags

    edges = faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    both = np.vstack([edges, edges[:, ::-1]])
    adjacency = coo_matrix((np.ones(len(both)), (both[:, 0], both[:, 1])), shape=(count, count)).tocsr()
    adjacency.data[:] = 1.0
    walk = diags(1.0 / np.asarray(adjacency.sum(axis=1)).ravel()) @ adjacency
    weights = np.zeros((count, len(BONES)))
    weights[np.arange(count), region] = 1.0
    for _ in range(steps):
        weights = 0.5 * weights + 0.5 * (walk @ weights)
    weights[weights < 1e-3] = 0.0
    smooth: Points = weights / weights.sum(axis=1, keepdims=True)
    return smooth


def _square(vector: Points, axis: Points) -> Points:
    """The part of a vector square to an axis, unit length."""
    rest = vector - (vector @ axis) * axis
    unit: Points = rest / np.linalg.norm(rest)
    return unit


def _turned(body: Body, start: str, end: str, lean: Points) -> Points:
    """The bone's own direction, leaning by a small vector."""
    direction = body.joints[end] - body.joints[start]
    direction = direction / np.linalg.norm(direction) + lean
    unit: Points = direction / np.linalg.norm(direction)
    return unit


def _bumps(rng: np.random.Generator, size: float) -> tuple[Points, Points, Points]:
    """Random smooth swelling: amplitudes, waves along the bone, phases."""
    waves = np.array([[1.0, 0], [2.0, 0], [3.0, 0], [1.0, 1], [2.0, 1], [1.0, 2], [2.0, 2], [1.5, 3]])
    amplitude = rng.normal(0, size, len(waves)) / (1.0 + 0.5 * waves.sum(axis=1)) * 1.6
    return amplitude, waves, rng.uniform(0, 2 * np.pi, (len(waves), 2))


def _swelling(bumps: tuple[Points, Points, Points], along: Points, angle: Points) -> Points:
    """Factor on the radius at shares along the bone and angles round it."""
    amplitude, waves, phases = bumps
    factor = np.ones_like(along)
    for size, (lengthwise, round_), (p, q) in zip(amplitude, waves, phases, strict=True):
        factor += size * np.sin(np.pi * lengthwise * along + p) * np.cos(round_ * angle + q)
    return factor


class _TorsoMap:
    """Heights, widths and depths of the trunk, smooth in height."""

    front = _FRONT

    def __init__(self, body: Body, style: Style, rng: np.random.Generator) -> None:
        from scipy.interpolate import PchipInterpolator

        old = np.array([body.levels[level] for level in _TORSO_LEVELS])
        new = np.concatenate([[0.0], np.cumsum(np.diff(old) * np.asarray(style.torso_heights))]) + old[0]
        outer_old = np.concatenate([[old[0] - 300], old, [old[-1] + 300]])
        outer_new = np.concatenate([[new[0] - 300], new, [new[-1] + 300]])
        self.height = PchipInterpolator(outer_old, outer_new)
        shoulder = body.joints["shoulder_left"][2]
        at = np.array([*old[:-1], shoulder])
        self._across = PchipInterpolator(at, style.torso_widths)
        self._deep = PchipInterpolator(at, style.torso_depths)
        self._range = (at[0], at[-1])
        self._bumps = _bumps(rng, style.bumps)
        self._sway = rng.normal(0, 8, 2)
        self._centre = float(np.median(body.vertices[body.region == 0, 1]))
        self._span = (old[0], old[-1])

    def midline(self, new_height: float) -> float:
        """Where the middle of the body runs at a height after stylising [mm]."""
        old = np.linspace(self._span[0], self._span[1], 200)
        height = float(np.interp(new_height, self.height(old), old))
        return float(self(np.array([[0.0, self._centre, height]]))[0, 0])

    def __call__(self, places: Points) -> Points:
        x, y, z = places.T
        inside = np.clip(z, *self._range)
        along = (z - self._span[0]) / (self._span[1] - self._span[0])
        angle = np.arctan2(x, -(y - self._centre))
        factor = _swelling(self._bumps, np.clip(along, 0, 1), angle)
        bend = np.sin(np.pi * np.clip(along, 0, 1))
        return np.stack(
            [
                x * self._across(inside) * factor + self._sway[0] * bend,
                self._centre + (y - self._centre) * self._deep(inside) * factor + self._sway[1] * bend,
                self.height(z),
            ],
            axis=1,
        )


class _HeadMap:
    """A head scaled about its joint."""

    def __init__(self, old: Points, new: Points, scale: float) -> None:
        self._old, self._new, self._scale = old, new, scale
        self.front = _FRONT

    def __call__(self, places: Points) -> Points:
        moved: Points = self._new + (places - self._old) * self._scale
        return moved


class _BoneMap:
    """A limb: longer, thicker, swollen, and turned to its new direction."""

    def __init__(
        self,
        start: Points,
        end: Points,
        new_start: Points,
        direction: Points,
        front: Points,
        style: Style,
        name: str,
        rng: np.random.Generator,
    ) -> None:
        self._start, self._new_start = start, new_start
        self._length = float(np.linalg.norm(end - start))
        axis = (end - start) / self._length
        self._old_frame = _frame(axis, front)
        self._new_frame = _frame(direction, front)
        self.front = self._new_frame[1]
        self._long = style.bone_lengths.get(name, 1.0)
        self._across = style.bone_widths.get(name, 1.0)
        self._deep = style.bone_depths.get(name, 1.0)
        small = 0.3 if name.startswith(("hand", "foot")) else 1.0
        self._bumps = _bumps(rng, style.bumps * small)

    def __call__(self, places: Points) -> Points:
        local = (places - self._start) @ self._old_frame.T
        along = np.clip(local[:, 0] / self._length, 0, 1)
        factor = _swelling(self._bumps, along, np.arctan2(local[:, 2], local[:, 1]))
        # The ends keep a milder share of the thickness, so that joints stay joints.
        share = 0.5 + 0.5 * np.sin(np.pi * np.clip(along, 0.1, 0.9))
        deep, across = 1 + (self._deep - 1) * share, 1 + (self._across - 1) * share
        local = local * np.stack([np.full_like(deep, self._long), deep * factor, across * factor], axis=1)
        moved: Points = self._new_start + local @ self._new_frame
        return moved


def _frame(axis: Points, front: Points) -> Points:
    """Rows: along the bone, toward its front, and the third that makes it right-handed."""
    ahead = _square(front, axis)
    return np.stack([axis, ahead, np.cross(axis, ahead)])
