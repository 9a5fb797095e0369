"""Where every tape lies on a standing body: the plane of each, and the lines they cut, all at once.

One pass over the skin serves every measure, since a body is hardly ever read for one alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial

import numpy as np
from numpy.typing import NDArray

from layfigure.body.crossings import Edges, Planes, Stack
from layfigure.body.regions import BodyPlaces, region_faces
from layfigure.body.sections import cut_stacks
from layfigure.body.tape import Anchor, StandingBody, TapeLine, anchor_rows
from layfigure.body.template import Template

Points = NDArray[np.float64]

UP, FRONT, LEFT = np.array([0.0, 0.0, 1.0]), np.array([0.0, -1.0, 0.0]), np.array([1.0, 0.0, 0.0])


def both(stem: str, weight: float = 1.0) -> dict[str, float]:
    """The mean of a pair of landmarks as an anchor."""
    return {f"{stem}_left": 0.5 * weight, f"{stem}_right": 0.5 * weight}


def between(start: str, end: str, share: float) -> dict[str, float]:
    """An anchor on the way from one landmark to another."""
    return {start: 1.0 - share, end: share}


WAIST, NAVEL, SEAT, BUST, UNDER_BUST = (
    {"waist_front": 1.0},
    {"navel": 1.0},
    both("seat"),
    both("bust_point"),
    both("under_bust"),
)
TRUNK: Mapping[str, Anchor] = {
    "bust": BUST,
    "under_bust": UNDER_BUST,
    "waist": WAIST,
    "navel": NAVEL,
    "top_hip": {"waist_front": 0.5} | both("seat", 0.5),
    "seat": SEAT,
}
"""Levels at which the trunk is read."""
NARROW_SHARES = np.linspace(0.0, 1.0, 7)
"""From under the bust to the navel the tape looks for the narrowest place."""
SHOULDERS = both("shoulder_point", 0.6) | both("armpit", 0.4)

LEG: Mapping[str, tuple[str, str, str, tuple[float, ...]]] = {
    "thigh": ("thigh", "crotch", "kneecap", (0.09, 0.12, 0.15)),
    "down_to_knee": ("thigh", "crotch", "kneecap", (0.5, 0.85, 1.0)),
    "calf": ("shank", "kneecap", "ankle", tuple(np.linspace(0.2, 0.45, 7))),
    "ankle": ("shank", "kneecap", "ankle", tuple(np.linspace(0.78, 0.95, 6))),
}
"""Level tapes of a leg: whose edges, from where, to where, at which shares of the way."""
ARM: Mapping[str, tuple[str, tuple[float, ...]]] = {
    "upper_arm": ("upper_arm", (0.5,)),
    "forearm": ("forearm", (0.0, 0.97, 0.14, 0.2, 0.26, 0.32, 0.38)),
}
"""Tapes square to a bone of the arm: whose, at which shares of the way along it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Span:
    """A tape from landmark to landmark over the skin, in the plane of ``up``; None is away from the neck."""

    start: str
    end: str
    up: Points | None


_ROOT = ("front_neck", "neck_side_left", "nape", "neck_side_right", "front_neck")
SPANS: Mapping[str, Mapping[str, Span]] = {
    "over_shoulders": {
        "shoulder_left": Span(start="neck_side_left", end="shoulder_point_left", up=UP),
        "shoulder_right": Span(start="neck_side_right", end="shoulder_point_right", up=UP),
        "nape_left": Span(start="shoulder_point_left", end="nape", up=UP - FRONT),
        "nape_right": Span(start="nape", end="shoulder_point_right", up=UP - FRONT),
        "back": Span(start="back_fold_left", end="back_fold_right", up=-FRONT),
    },
    "over_bust": {
        side: Span(start=f"neck_side_{side}", end=f"bust_point_{side}", up=FRONT)
        for side in ("left", "right")
    },
    "round_neck": {str(k): Span(start=_ROOT[k], end=_ROOT[k + 1], up=None) for k in range(len(_ROOT) - 1)},
}


Direction = Callable[[BodyPlaces], Points]
"""A direction on a body, (3,), of any length."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tapes:
    """Planes through anchors that cut the same edges: the same on every body but for how they stand on it.

    normals : on a body, (k, 3) or (3,), of any length. clips, floor : on a body, as ``Stack`` has them.
    """

    edges: Edges
    anchors: Sequence[Anchor]
    normals: Direction
    hull: bool
    midline: bool = False
    clips: Callable[[BodyPlaces], tuple[Points, ...]] = lambda _: ()
    floor: Callable[[BodyPlaces], float | None] = lambda _: None


def tape_lines(body: StandingBody, name: str) -> list[TapeLine]:
    """The lines of a group of tapes, such as ``calf_left``; all are cut when one is asked for, but of a
    sparing body.
    """
    if name not in body.lines:
        asked = (name,) if body.sparing else tuple(_tapes())
        stacks = _stacks(body, asked)
        cuts, row = cut_stacks(body.surface, stacks), 0
        for group, stack in zip(asked, stacks, strict=True):
            after = row + len(stack.planes.normals)
            body.lines[group] = [
                TapeLine(cuts=cuts, row=k, normal=normal, anchor=anchor)
                for k, normal, anchor in zip(
                    range(row, after), stack.planes.normals, _tapes()[group].anchors, strict=True
                )
            ]
            row = after
    return body.lines[name]


def trunk_line(body: StandingBody, level: str) -> TapeLine:
    """Level line of the trunk without the arms; a tape passes under them even where the bust is higher."""
    return tape_lines(body, "trunk")[list(TRUNK).index(level)]


def span_up(places: BodyPlaces, span: Span) -> Points:
    """The direction in which a span's skin rises."""
    if span.up is not None:
        return span.up
    outward: Points = places[span.start] + places[span.end] - 2.0 * places["joint_neck"]
    return outward * (1.0, 1.0, 0.0)


def _stacks(body: StandingBody, asked: tuple[str, ...]) -> list[Stack]:
    """The planes of groups of tapes, worked out together."""
    rows, weights = _anchor_block(body.template, asked)
    groups = [_tapes()[name] for name in asked]
    origins = np.einsum("ka,kad->kd", weights, body.points.take(rows, axis=0))
    sizes = [len(tapes.anchors) for tapes in groups]
    normals = np.empty((len(origins), 3))
    last = np.cumsum(sizes).tolist()
    own = [slice(end - size, end) for end, size in zip(last, sizes, strict=True)]
    for tapes, planes in zip(groups, own, strict=True):
        normals[planes] = tapes.normals(body.places)
    normals /= np.sqrt(np.square(normals).sum(axis=1, keepdims=True))
    origins += body.beside * normals
    seed = np.where(np.abs(normals[:, 1:2]) < 0.9, FRONT, UP)
    zeros = seed - np.sum(seed * normals, axis=1, keepdims=True) * normals
    zeros /= np.sqrt(np.square(zeros).sum(axis=1, keepdims=True))
    positives = _cross(normals, zeros)
    return [
        Stack(
            edges=tapes.edges,
            planes=Planes(
                origins=origins[planes],
                normals=normals[planes],
                zeros=zeros[planes],
                positives=positives[planes],
                hull=tapes.hull,
                midline=tapes.midline,
            ),
            clips=tapes.clips(body.places),
            floor=tapes.floor(body.places),
        )
        for tapes, planes in zip(groups, own, strict=True)
    ]


@lru_cache(maxsize=64)
def _anchor_block(template: Template, asked: tuple[str, ...]) -> tuple[NDArray[np.int64], Points]:
    """Rows and weights of the anchors of groups of tapes, (k, a) each; short ones are filled up with weights
    of 0.
    """
    anchors = [anchor for name in asked for anchor in _tapes()[name].anchors]
    most = max(len(anchor) for anchor in anchors)
    rows, weights = np.zeros((len(anchors), most), dtype=np.int64), np.zeros((len(anchors), most))
    for k, anchor in enumerate(anchors):
        rows[k, : len(anchor)], weights[k, : len(anchor)] = anchor_rows(template, tuple(anchor.items()))
    return rows, weights


def _cross(a: Points, b: Points) -> Points:
    """Cross products of rows, (k, 3); for the few rows of a cut, several times as fast as ``np.cross``."""
    return a[..., [1, 2, 0]] * b[..., [2, 0, 1]] - a[..., [2, 0, 1]] * b[..., [1, 2, 0]]


@lru_cache(maxsize=1)
def _tapes() -> Mapping[str, Tapes]:
    """Every group of tapes, by its name."""
    found = _trunk_tapes() | _span_tapes() | _head_tapes()
    for side in ("left", "right"):
        found |= _limb_tapes(side) | _end_tapes(side)
    return found


def _level(_: BodyPlaces) -> Points:
    return UP


def _trunk_tapes() -> dict[str, Tapes]:
    faces = region_faces()
    torso = faces.edges["torso"]
    narrow = [{**both("under_bust", 1 - s), "navel": s} for s in NARROW_SHARES]
    # A loop in the plane through the middle of a shoulder, the crotch and front-back.
    tops = [{f"neck_side_{side}": 0.5, f"shoulder_point_{side}": 0.5} for side in ("left", "right")]
    return {
        "trunk": Tapes(edges=torso, anchors=list(TRUNK.values()), normals=_level, hull=True, midline=True),
        "narrow": Tapes(edges=torso, anchors=narrow, normals=_level, hull=True, midline=True),
        "shoulders": Tapes(
            edges=faces.shoulder_edges, anchors=[SHOULDERS], normals=_level, hull=True, midline=True
        ),
        "trunk_loop": Tapes(
            edges=faces.trunk_edges,
            anchors=[{name: 0.5 * w for name, w in top.items()} | {"crotch": 0.5} for top in tops],
            normals=_loop_normals,
            hull=True,
            # The plane runs on into the other thigh below the crotch; the tape does not.
            floor=lambda places: float(places["crotch"][2]) - 3.0,
        ),
    }


def _loop_normals(places: BodyPlaces) -> Points:
    tops = [
        0.5 * (places[f"neck_side_{side}"] + places[f"shoulder_point_{side}"]) for side in ("left", "right")
    ]
    return _cross(np.stack(tops) - places["crotch"], FRONT)


def _span_tapes() -> dict[str, Tapes]:
    faces = region_faces()
    skin = {
        "over_shoulders": faces.shoulder_edges,
        "over_bust": faces.edges["torso"],
        "round_neck": faces.edges["neck"],
    }
    return {
        group: Tapes(
            edges=skin[group],
            anchors=[{span.start: 1.0} for span in spans.values()],
            normals=partial(_span_normals, spans=tuple(spans.values())),
            hull=False,
        )
        for group, spans in SPANS.items()
    }


def _span_normals(places: BodyPlaces, spans: tuple[Span, ...]) -> Points:
    across = np.stack([places[span.end] - places[span.start] for span in spans])
    return _cross(across, np.stack([span_up(places, span) for span in spans]))


def _head_tapes() -> dict[str, Tapes]:
    faces = region_faces()
    return {
        "head": Tapes(
            edges=faces.skull_edges,
            anchors=[{"brow": 1.0}],
            normals=lambda places: _cross(LEFT, places["head_back"] - places["brow"]),
            hull=True,
            midline=True,
        ),
        "neck": Tapes(
            edges=faces.edges["neck"],
            anchors=[{"under_chin": 0.5, "front_neck": 0.5}],
            normals=_neck_normal,
            hull=True,
            midline=True,
            clips=_beside_the_neck,
        ),
    }


def _neck_normal(places: BodyPlaces) -> Points:
    """The neck is read in a plane that holds the left-right direction and its mean slope."""
    high, low = places["skull_base"] - places["under_chin"], places["nape"] - places["front_neck"]
    return _cross(0.5 * (high + low), LEFT)


def _beside_the_neck(places: BodyPlaces) -> tuple[Points, ...]:
    half = 1.12 * 0.5 * abs(places["neck_side_left"][0] - places["neck_side_right"][0])
    return tuple(np.array([sign, 0.0, 0.0, half]) for sign in (1.0, -1.0))


def _limb_tapes(side: str) -> dict[str, Tapes]:
    edges = region_faces().edges
    found = {}
    for name, (region, start, end, shares) in LEG.items():
        first = start if start == "crotch" else f"{start}_{side}"
        found[f"{name}_{side}"] = Tapes(
            edges=edges[f"{region}_{side}"],
            anchors=[between(first, f"{end}_{side}", share) for share in shares],
            normals=_level,
            # High on the thigh the tape bridges the fold of the seat; lower down it follows the skin.
            hull=name == "thigh",
        )
    shoulder, elbow, wrist = f"shoulder_point_{side}", f"joint_elbow_{side}", f"joint_wrist_{side}"
    ends = {
        "upper_arm": (shoulder, elbow, partial(_way, start=f"joint_shoulder_{side}", end=elbow)),
        "forearm": (elbow, wrist, partial(_way, start=elbow, end=wrist)),
    }
    for name, (region, shares) in ARM.items():
        start, end, bone = ends[region]
        found[f"{name}_{side}"] = Tapes(
            edges=edges[f"{region}_{side}"],
            anchors=[between(start, end, share) for share in shares],
            normals=bone,
            hull=False,
        )
    return found


def _way(places: BodyPlaces, start: str, end: str) -> Points:
    way: Points = places[end] - places[start]
    return way


def _end_tapes(side: str) -> dict[str, Tapes]:
    """Hand, ball of the foot and heel."""
    edges = region_faces().edges
    return {
        f"hand_{side}": Tapes(
            edges=edges[f"hand_{side}"],
            anchors=[{f"index_knuckle_{side}": 0.5, f"little_knuckle_{side}": 0.5}],
            normals=partial(_along_hand, side=side),
            hull=True,
        ),
        f"ball_{side}": Tapes(
            edges=edges[f"foot_{side}"],
            anchors=[{f"ball_inner_{side}": 0.5, f"ball_outer_{side}": 0.5}],
            normals=partial(_along_foot, side=side),
            hull=True,
        ),
        # Round the heel and the front of the ankle.
        f"heel_{side}": Tapes(
            edges=edges[f"foot_{side}"],
            anchors=[{f"instep_{side}": 1.0}],
            normals=partial(_through_heel, side=side),
            hull=True,
        ),
    }


def _along_hand(places: BodyPlaces, side: str) -> Points:
    across = _way(places, f"little_knuckle_{side}", f"index_knuckle_{side}")
    along = _way(places, f"joint_wrist_{side}", f"joint_finger_tip_{side}")
    square: Points = along - (along @ across) / (across @ across) * across
    return square


def _along_foot(places: BodyPlaces, side: str) -> Points:
    # Heel to big toe runs 18° askew to the normal of the ball; turning with the foot is the steadier way.
    ahead = _way(places, f"heel_{side}", f"toe_tip_{side}") * (1.0, 1.0, 0.0)
    return ahead + 0.31 * _cross(ahead, UP) * (-1.0 if side == "left" else 1.0)


def _through_heel(places: BodyPlaces, side: str) -> Points:
    # The tape lies under the point of the heel, not over it.
    return _cross(_way(places, f"heel_{side}", f"instep_{side}") + 12.0 * UP, LEFT)
