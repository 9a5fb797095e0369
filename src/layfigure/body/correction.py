"""Smooth displacement fields that make a body exact: what is left after shapes is spread over whole segments.

Each field moves many points a little: a girth grows by a share of the distance from the axis, fading to
nothing at the neighbouring levels; a length is stretched evenly between two levels, carrying what lies
beyond; shoulders, nape and armpits shift as smooth bumps. Fields are laid on one body (drafting pose) from
profiles fixed on the template, so their sum stays linear in the amounts.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from layfigure.body.levels import Side
from layfigure.body.pose import standing_pose
from layfigure.body.regions import BodyPlaces
from layfigure.body.template import Template, load_template

Points = NDArray[np.float64]

GIRTH_SPREAD = 0.06
"""Likely share by which a field scales a radius, one standard deviation."""
STRETCH_SPREAD = 0.05
"""Likely share by which a field stretches a segment."""
SHIFT_SPREAD = 12.0
"""Likely shift of a bump [mm]."""
MIDDLE = 0.1
"""Points nearer to the middle than this lie on neither side [mm]."""
AS_NEAR = 1e-6
"""Distances that differ by less than this are the same [mm]."""

SIDES: tuple[Side, Side] = ("left", "right")
OUTWARD: dict[Side, float] = {"left": 1.0, "right": -1.0}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Profile:
    """One field, before it is laid on a body.

    weight : (p,) share of the movement at every point. kind : ``x``, ``y`` or ``radial`` scale about the
    axis of ``axis``, or ``shift`` along ``direction`` (a unit vector, or the bone of ``axis``).
    spread : likely amount, one standard deviation.
    """

    name: str
    weight: Points
    kind: str
    spread: float
    axis: str = ""
    direction: tuple[float, float, float] = (0.0, 0.0, 0.0)


def _hat(value: Points, low: float, peak: float, high: float) -> Points:
    """Smooth bump, 1 at the peak and 0 at and beyond both ends."""
    share = np.where(
        value < peak,
        (value - low) / max(peak - low, 1e-9),
        (high - value) / max(high - peak, 1e-9),
    )
    share = np.clip(share, 0.0, 1.0)
    result: Points = share * share * (3.0 - 2.0 * share)
    return result


def _hats(value: Points, knots: list[float]) -> list[Points]:
    """Bumps at every knot but the outer two, which only say where the first and last fade."""
    return [_hat(value, knots[i - 1], knots[i], knots[i + 1]) for i in range(1, len(knots) - 1)]


def _along(points: Points, start: Points, end: Points) -> Points:
    bone = end - start
    result: Points = (points - start) @ bone / (bone @ bone)
    return result


@lru_cache(maxsize=1)
def profiles() -> tuple[Profile, ...]:
    """Every field of the shipped template."""
    template = load_template()
    mean = template.mean
    standing = standing_pose(template).apply(mean)
    places, raw = BodyPlaces(template, standing), BodyPlaces(template, mean)
    share = {name: template.weights[:, k] for k, name in enumerate(template.bones)}
    z = standing[:, 2]
    level = {
        name: places.height(*(f"{name}_{s}" for s in SIDES)) if f"{name}_left" in template.landmarks
        else places.height(name)
        for name in ("ankle", "kneecap", "crotch", "seat", "navel", "waist_front", "under_bust", "bust_point",
                     "armpit", "shoulder_point", "nape", "chin", "brow", "crown", "front_neck", "skull_base")
    }  # fmt: skip
    arm = {s: share[f"upper_arm_{s}"] + share[f"forearm_{s}"] + share[f"hand_{s}"] for s in SIDES}
    leg = {s: share[f"thigh_{s}"] + share[f"shank_{s}"] + share[f"foot_{s}"] for s in SIDES}
    arms = arm["left"] + arm["right"]
    trunk = share["trunk"] + share["collar_left"] + share["collar_right"] + share["neck"]
    # Thighs reach high up the hip by their skin weights: above the crotch they belong to the trunk's girth.
    above = _hat(z, level["crotch"] - 120.0, level["crotch"] + 30.0, 1e6)
    body = np.clip(trunk + above * (leg["left"] + leg["right"]), 0.0, 1.0) * (1.0 - arms)
    # Arms go with the shoulders: to every ramp they stand at the height of the shoulder.
    height = (1.0 - arms) * z + arms * level["shoulder_point"]
    found: list[Profile] = []

    # Wide bumps carry girths smoothly; two narrower ones of less amount tell close levels apart, so that a
    # bust or a navel alone leaves no ledge beside it.
    knots = ["crotch", "seat", "navel", "bust_point", "armpit", "shoulder_point"]
    heights = [level["crotch"] - 110.0, *(level[k] for k in knots), level["nape"] + 20.0]
    bumps = [
        # A chest filled at the armpits, close above the bust, or a seat flattened at the crotch is a ledge.
        (name, hat, 0.4 if name in ("armpit", "crotch") else 1.0)
        for name, hat in zip(knots, _hats(height, heights), strict=True)
    ]
    waist, under = 0.5 * (level["navel"] + level["bust_point"]), level["under_bust"]
    bumps.append(("waist", _hat(height, level["navel"], waist, level["bust_point"]), 0.5))
    bumps.append(("under_bust", _hat(height, under - 110.0, under, under + 75.0), 0.4))
    for name, hat, amount in bumps:
        found.extend(
            Profile(
                name=f"{name}_{kind}",
                weight=hat * body,
                kind=kind,
                spread=amount * GIRTH_SPREAD,
                axis="trunk",
            )
            for kind in ("x", "y")
        )
        # A shift backward or forward carries the arms at the shoulders.
        found.append(
            Profile(name=f"{name}_shift", weight=hat * np.clip(body + arms, 0, 1), kind="shift",
                    spread=0.5 * amount * SHIFT_SPREAD, direction=(0.0, 1.0, 0.0))
        )  # fmt: skip

    steps = ["ankle", "kneecap", "crotch", "seat", "navel", "waist_front", "under_bust", "bust_point",
             "armpit", "shoulder_point", "nape", "chin", "crown"]  # fmt: skip
    bottoms = [0.0, *(level[k] for k in steps[:-1])]
    for name, low in zip(steps, bottoms, strict=True):
        high = level[name]
        ramp = np.clip((height - low) / (high - low), 0.0, 1.0)
        found.append(Profile(name=f"to_{name}", weight=ramp, kind="shift", direction=(0.0, 0.0, 1.0),
                             spread=STRETCH_SPREAD * (high - low) + 1.0))  # fmt: skip

    def bump(name: str, width: float, direction: tuple[float, float, float], carrier: Points) -> None:
        away = np.linalg.norm(mean - raw[name], axis=1)
        weight = np.exp(-0.5 * (away / width) ** 2) * carrier
        found.append(Profile(name=f"{name}_bump", weight=weight, kind="shift", direction=direction,
                             spread=SHIFT_SPREAD))  # fmt: skip

    whole = np.ones(len(mean))
    bump("front_neck", 70.0, (0.0, 0.0, 1.0), 1.0 - arms)
    bump("nape", 70.0, (0.0, 0.0, 1.0), 1.0 - arms)
    bump("crotch", 80.0, (0.0, 0.0, 1.0), whole)
    # A tape through the crotch lies more or less deep in the middle, whatever the girths beside it are.
    back = np.clip((standing[:, 1] - places["crotch"][1]) / 40.0, 0.0, 1.0)
    for name, side, width, high in (
        ("cleft", back, 30.0, level["seat"] + 90.0),
        ("groin", 1.0 - back, 45.0, level["navel"] - 20.0),
    ):
        along = _hat(z, level["crotch"] - 60.0, level["crotch"] + 45.0, high)
        weight = along * side * np.exp(-0.5 * (standing[:, 0] / width) ** 2) * (1.0 - arms)
        found.append(Profile(name=name, weight=weight, kind="shift", direction=(0.0, 1.0, 0.0),
                             spread=SHIFT_SPREAD))  # fmt: skip
    for side, sign in OUTWARD.items():
        bump(f"armpit_{side}", 45.0, (0.0, 0.0, 1.0), whole)
        # Where arm and back meet, so that a narrow back does not narrow the shoulders and fill the chest.
        bump(f"back_fold_{side}", 50.0, (sign, 0.0, 0.0), whole)
        bump(f"neck_side_{side}", 45.0, (sign, 0.0, 0.0), 1.0 - arms)
        # Shoulders widen and rise with the whole arm hanging from them.
        collar = np.clip(sign * mean[:, 0] / (sign * raw[f"shoulder_point_{side}"][0]), 0.0, 1.0)
        hold = collar * (1.0 - arms) * _hat(z, level["bust_point"], level["shoulder_point"], level["chin"])
        carried = np.where(mean[:, 0] * sign > MIDDLE, np.clip(hold + arm[side], 0.0, 1.0), 0.0)
        for name, direction in (("out", (sign, 0.0, 0.0)), ("up", (0.0, 0.0, 1.0))):
            found.append(Profile(name=f"shoulder_{name}_{side}", weight=carried, kind="shift",
                                 direction=direction, spread=SHIFT_SPREAD))  # fmt: skip
        found.extend(_limb_profiles(side, mean, standing, raw, level, share, arm[side], leg[side]))

    neck = _along(mean, raw["front_neck"] * (0, 1, 1), raw["under_chin"] * (0, 1, 1))
    neck_part = np.clip(
        share["neck"] + 0.4 * (share["trunk"] + share["collar_left"] + share["collar_right"]), 0, 1
    )
    for name, hat in zip(("neck_base", "neck"), _hats(neck, [-0.9, 0.0, 0.6, 1.5]), strict=True):
        found.extend(
            Profile(
                name=f"{name}_{kind}", weight=hat * neck_part, kind=kind, axis="neck", spread=GIRTH_SPREAD
            )
            for kind in ("x", "y")
        )
    skull = share["head"] * np.clip((z - level["chin"]) / (level["brow"] - level["chin"]), 0.0, 1.0)
    found.extend(
        Profile(name=f"head_{kind}", weight=skull, kind=kind, axis="head", spread=GIRTH_SPREAD)
        for kind in ("x", "y")
    )
    bump("chin", 35.0, (0.0, 0.0, 1.0), share["head"])
    return tuple(found)


def _limb_profiles(
    side: Side,
    mean: Points,
    standing: Points,
    raw: BodyPlaces,
    level: dict[str, float],
    share: dict[str, Points],
    arm: Points,
    leg: Points,
) -> list[Profile]:
    """Girths and lengths of one arm and one leg."""
    found: list[Profile] = []
    shoulder, elbow, wrist = (raw[f"joint_{j}_{side}"] for j in ("shoulder", "elbow", "wrist"))
    knuckle, tip = raw[f"joint_knuckle_{side}"], raw[f"fingertip_{side}"]
    upper, fore = _along(mean, shoulder, elbow), _along(mean, elbow, wrist)
    hand = _along(mean, wrist, knuckle)
    fore_part, hand_part = share[f"forearm_{side}"], share[f"hand_{side}"]
    # One running coordinate along the arm: 0 shoulder, 1 elbow, 2 wrist, 3 knuckles, 4 fingertip.
    reach = 3.0 + _along(mean, knuckle, tip)
    whole = np.where(
        hand_part > 0.5,
        np.where(hand < 1.0, 2.0 + np.maximum(hand, 0.0), np.maximum(reach, 3.0)),
        np.where(fore_part > 0.5, 1.0 + np.clip(fore, 0.0, 1.2), np.clip(upper, -0.3, 1.0)),
    )
    for name, hat in zip(
        ("shoulder", "upper_arm", "elbow", "forearm", "wrist", "hand"),
        _hats(whole, [-0.35, 0.1, 0.55, 1.0, 1.27, 1.95, 2.85, 4.2]),
        strict=True,
    ):
        axis = "arm" if name != "hand" else "hand"
        found.append(Profile(name=f"{name}_{side}", weight=hat * arm, kind="radial", axis=f"{axis}_{side}",
                             spread=GIRTH_SPREAD))  # fmt: skip
    for name, ramp, start, end in (
        (
            "upper_arm",
            np.clip(upper, 0, 1) * share[f"upper_arm_{side}"] + fore_part + hand_part,
            shoulder,
            elbow,
        ),
        ("forearm", np.clip(fore, 0, 1) * fore_part + hand_part, elbow, wrist),
        ("palm", np.clip(hand, 0, 1) * hand_part, wrist, knuckle),
        ("fingers", np.clip(reach - 3.0, 0, 1) * hand_part, knuckle, tip),
    ):
        bone = (end - start) / np.linalg.norm(end - start)
        found.append(Profile(name=f"{name}_length_{side}", weight=ramp, kind="shift",
                             direction=(float(bone[0]), float(bone[1]), float(bone[2])),
                             spread=STRETCH_SPREAD * float(np.linalg.norm(end - start))))  # fmt: skip
    z = standing[:, 2]
    crotch, knee, ankle = level["crotch"], level["kneecap"], level["ankle"]
    places = [crotch + 110.0, crotch - 0.08 * (crotch - knee), crotch - 0.5 * (crotch - knee),
              crotch - 0.85 * (crotch - knee), knee - 15.0, knee - 0.33 * (knee - ankle),
              knee - 0.9 * (knee - ankle), ankle - 70.0]  # fmt: skip
    for name, hat in zip(
        ("thigh", "mid_thigh", "lower_thigh", "knee", "calf", "ankle"),
        _hats(-z, [-p for p in places]),
        strict=True,
    ):
        found.append(Profile(name=f"{name}_{side}", weight=hat * leg, kind="radial", axis=f"leg_{side}",
                             spread=GIRTH_SPREAD))  # fmt: skip
    for name, hat in zip(("knee", "ankle"), _hats(-z, [-crotch, -knee, -ankle, 0.0]), strict=True):
        found.append(Profile(name=f"{name}_height_{side}", weight=hat * leg, kind="shift",
                             direction=(0.0, 0.0, 1.0), spread=0.5 * SHIFT_SPREAD))  # fmt: skip
    foot = share[f"foot_{side}"]
    found.extend(
        Profile(name=f"foot_{kind}_{side}", weight=foot, kind=kind, axis=f"foot_{side}", spread=GIRTH_SPREAD)
        for kind in ("x", "y", "z")
    )
    heel = np.clip(
        _along(mean, raw[f"joint_ankle_{side}"] * (1, 1, 0), raw[f"heel_{side}"] * (1, 1, 0)), 0, 1
    )
    found.append(Profile(name=f"heel_{side}", weight=foot * heel, kind="shift", direction=(0.0, 1.0, 0.0),
                         spread=SHIFT_SPREAD))  # fmt: skip
    return found


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Part:
    """The fields that share an axis, on the points they reach.

    fields : (f,) which of all. rows : (r,) the points. place : (p,) where each point is among them, -1 for
    none. weights : (f, r). turns : (f, 3) how far each field moves a point along x, y, z for an offset of 1.
    bones : (r,) for a limb, the bone of its chain that every point lies nearest to on the template.
    """

    axis: str
    fields: NDArray[np.int64]
    rows: NDArray[np.int64]
    place: NDArray[np.int64]
    weights: Points
    turns: Points
    bones: NDArray[np.int64]

    def scales(self, amounts: Points) -> Points:
        """How far the points move along x, y, z for an offset of 1 and amounts (f,) of all fields, (3, r)."""
        moved: Points = (amounts[self.fields, None] * self.turns).T @ self.weights
        return moved


@lru_cache(maxsize=1)
def _parts() -> tuple[_Part, ...]:
    found = []
    every = profiles()
    template = load_template()
    places = BodyPlaces(template, template.mean)
    # Those without an axis reach every point: their movement is what the others are added to.
    for axis in dict.fromkeys(["", *(profile.axis for profile in every)]):
        fields = np.array([k for k, profile in enumerate(every) if profile.axis == axis])
        weights = np.stack([every[k].weight for k in fields])
        rows = np.flatnonzero(weights.any(axis=0)) if axis else np.arange(weights.shape[1])
        place = np.full(weights.shape[1], -1)
        place[rows] = np.arange(len(rows))
        found.append(
            _Part(
                axis=axis,
                fields=fields,
                rows=rows,
                place=place,
                weights=np.ascontiguousarray(weights[:, rows]),
                turns=np.array([_turns(every[k]) for k in fields]),
                bones=_nearest_bones(template.mean[rows], _chain(axis, places)),
            )
        )
    return tuple(found)


def _turns(profile: Profile) -> tuple[float, float, float]:
    if profile.kind == "shift":
        return profile.direction
    x, y, z = (float(profile.kind in ("radial", axis)) for axis in "xyz")
    return x, y, z


class LaidFields:
    """All fields laid on one body in the drafting pose.

    spreads : (f,) likely amount of each.
    """

    def __init__(self, template: Template, points: Points) -> None:
        self.spreads: Points = np.array([profile.spread for profile in profiles()])
        places = BodyPlaces(template, points)
        shifted, *turned = _parts()
        self._shifted = shifted
        # Coordinate by coordinate: a row of memory for each.
        self._turned = [
            (part, np.ascontiguousarray(_axis_offset(part, points[part.rows], places).T)) for part in turned
        ]

    def moves(self, amounts: Points) -> Points:
        """How far every point moves with given amounts (f,): (p, 3) [mm]."""
        moved = self._shifted.scales(amounts)
        for part, offset in self._turned:
            own = part.scales(amounts) * offset
            for total, change in zip(moved, own, strict=True):
                total[part.rows] += change
        return np.ascontiguousarray(moved.T)

    def at(self, rows: NDArray[np.int64]) -> Points:
        """How far some points move with an amount of 1 of each field, (f, r, 3) [mm]."""
        result = np.zeros((len(self.spreads), len(rows), 3))
        shifted = self._shifted
        result[shifted.fields] = shifted.weights[:, rows, None] * shifted.turns[:, None, :]
        for part, offset in self._turned:
            place = part.place[rows]
            reached = np.flatnonzero(place >= 0)
            place = place[reached]
            block = part.weights[:, place, None] * (part.turns[:, None, :] * offset.T[place])
            result[np.ix_(part.fields, reached)] = block
        return result


_CHAINS = {
    "arm": ("joint_shoulder", "joint_elbow", "joint_wrist", "fingertip"),
    "hand": ("joint_wrist", "joint_knuckle", "fingertip"),
    "leg": ("joint_hip", "joint_knee", "joint_ankle"),
}
"""Joints of every limb, from the trunk outward."""


def _chain(axis: str, places: BodyPlaces) -> list[Points]:
    """Where the joints of a limb are; none for what is no limb."""
    stem, _, side = axis.rpartition("_")
    return [places[f"{name}_{side}"] for name in _CHAINS.get(stem, ())]


def _axis_offset(part: _Part, points: Points, places: BodyPlaces) -> Points:
    """Offset of points (r, 3) from the axis of a part, square to it."""
    axis = part.axis
    stem, _, side = axis.rpartition("_")
    result = points.copy()
    if axis == "trunk":
        front = np.array([places[n] for n in ("crotch", "navel", "waist_front", "front_neck", "under_chin")])
        back = np.array([0.5 * (places["seat_left"] + places["seat_right"]), places["joint_spine"],
                         places["joint_chest"], places["nape"]])  # fmt: skip
        z = points[:, 2]
        result[:, 1] -= 0.5 * (np.interp(z, front[:, 2], front[:, 1]) + np.interp(z, back[:, 2], back[:, 1]))
        return result
    if axis == "neck":
        low, high = places["joint_neck"], places["joint_head"]
        slope = (high[1] - low[1]) / (high[2] - low[2])
        result[:, 1] -= low[1] + np.clip(points[:, 2] - low[2], -60.0, 120.0) * slope
        return result
    if axis == "head":
        return points - 0.5 * (places["brow"] + places["head_back"])
    if stem == "foot":
        return points - places[f"joint_ankle_{side}"] * (1.0, 1.0, 0.0)
    joints = np.stack(_chain(axis, places))
    # Nearest on the template: a point half way between two bones must not change over between bodies.
    start, bone = joints[part.bones], np.diff(joints, axis=0)[part.bones]
    return _square_to(points, start, bone)


def _square_to(points: Points, start: Points, bone: Points) -> Points:
    """Offset from the nearest places of bones, (r, 3)."""
    along = np.einsum("pd,pd->p", points - start, bone) / np.einsum("pd,pd->p", bone, bone)
    result: Points = points - (start + np.clip(along, 0.0, 1.0)[:, None] * bone)
    return result


def _nearest_bones(points: Points, joints: list[Points]) -> NDArray[np.int64]:
    """The nearest of a chain of bones, by its number; 0 without a chain.

    What lies outside a bent joint is as near to both its bones, at their common end, and counts to the first.
    """
    away = [
        np.linalg.norm(
            _square_to(points, np.tile(start, (len(points), 1)), np.tile(end - start, (len(points), 1))),
            axis=1,
        )
        for start, end in pairwise(joints)
    ]
    if not away:
        return np.zeros(len(points), dtype=np.int64)
    nearest: NDArray[np.int64] = np.argmax(np.stack(away) < np.min(away, axis=0) + AS_NEAR, axis=0)
    return nearest
