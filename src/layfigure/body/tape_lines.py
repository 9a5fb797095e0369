"""Where every tape lies on a standing body: the plane of each, and the lines they cut, all at once.

One pass over the skin serves every measure, since a body is hardly ever read for one alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.crossings import Edges, Planes, Stack
from layfigure.body.regions import region_faces
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tapes:
    """Planes through anchors that cut the same edges. normals : (k, 3) or (3,), of any length."""

    edges: Edges
    anchors: Sequence[Anchor]
    normals: Points
    hull: bool
    clips: tuple[Points, ...] = ()
    midline: bool = False
    floor: float | None = None


def tape_lines(body: StandingBody, name: str) -> list[TapeLine]:
    """The lines of a group of tapes, such as ``calf_left``; all are cut when one is asked for, but of a
    sparing body.
    """
    if name not in body.lines:
        asked = {name: _tapes_with(body, name)[name]} if body.sparing else _all_tapes(body)
        stacks = _stacks(body, list(asked.values()))
        for group, tapes, stack, cuts in zip(
            asked, asked.values(), stacks, cut_stacks(body.surface, stacks), strict=True
        ):
            body.lines[group] = [
                TapeLine(cut=cut, normal=normal, anchor=anchor)
                for cut, normal, anchor in zip(cuts, stack.planes.normals, tapes.anchors, strict=True)
            ]
    return body.lines[name]


def trunk_line(body: StandingBody, level: str) -> TapeLine:
    """Level line of the trunk without the arms; a tape passes under them even where the bust is higher."""
    return tape_lines(body, "trunk")[list(TRUNK).index(level)]


def span_up(body: StandingBody, span: Span) -> Points:
    """The direction in which a span's skin rises."""
    if span.up is not None:
        return span.up
    outward: Points = body.places[span.start] + body.places[span.end] - 2.0 * body.places["joint_neck"]
    return outward * (1.0, 1.0, 0.0)


def _stacks(body: StandingBody, asked: Sequence[Tapes]) -> list[Stack]:
    """The planes of groups of tapes, worked out together."""
    rows, weights = _anchor_block(
        body.template, tuple(tuple(anchor.items()) for tapes in asked for anchor in tapes.anchors)
    )
    origins = np.einsum("ka,kad->kd", weights, body.points.take(rows, axis=0))
    ends = np.cumsum([len(tapes.anchors) for tapes in asked])
    normals = np.concatenate([np.broadcast_to(t.normals, (len(t.anchors), 3)) for t in asked])
    normals = normals / np.sqrt(np.square(normals).sum(axis=1, keepdims=True))
    seed = np.where(np.abs(normals[:, 1:2]) < 0.9, np.array([[0.0, -1.0, 0.0]]), np.array([[0.0, 0.0, 1.0]]))
    zeros = seed - np.sum(seed * normals, axis=1, keepdims=True) * normals
    zeros /= np.sqrt(np.square(zeros).sum(axis=1, keepdims=True))
    positives = _cross(normals, zeros)
    stacks = []
    for tapes, end in zip(asked, ends, strict=True):
        own = slice(end - len(tapes.anchors), end)
        planes = Planes(
            origins=origins[own],
            normals=normals[own],
            zeros=zeros[own],
            positives=positives[own],
            hull=tapes.hull,
            midline=tapes.midline,
        )
        stacks.append(Stack(edges=tapes.edges, planes=planes, clips=tapes.clips, floor=tapes.floor))
    return stacks


@lru_cache(maxsize=4)
def _anchor_block(
    template: Template, anchors: tuple[tuple[tuple[str, float], ...], ...]
) -> tuple[NDArray[np.int64], Points]:
    """Rows and weights of anchors, (k, a) each; short ones are filled up with weights of 0."""
    most = max(len(anchor) for anchor in anchors)
    rows, weights = np.zeros((len(anchors), most), dtype=np.int64), np.zeros((len(anchors), most))
    for k, anchor in enumerate(anchors):
        rows[k, : len(anchor)], weights[k, : len(anchor)] = anchor_rows(template, anchor)
    return rows, weights


def _cross(a: Points, b: Points) -> Points:
    """Cross products of rows, (k, 3); for the few rows of a cut, several times as fast as ``np.cross``."""
    return a[..., [1, 2, 0]] * b[..., [2, 0, 1]] - a[..., [2, 0, 1]] * b[..., [1, 2, 0]]


def _all_tapes(body: StandingBody) -> dict[str, Tapes]:
    return {name: tapes for some in _tapes(body) for name, tapes in some.items()}


def _tapes_with(body: StandingBody, name: str) -> dict[str, Tapes]:
    """The part of all tapes that a group is in."""
    return next(some for some in _tapes(body) if name in some)


def _tapes(body: StandingBody) -> Iterator[dict[str, Tapes]]:
    """All tapes, part by part."""
    yield _trunk_tapes(body)
    yield _head_tapes(body)
    for side in ("left", "right"):
        yield _limb_tapes(body, side)
        yield _end_tapes(body, side)


def _trunk_tapes(body: StandingBody) -> dict[str, Tapes]:
    faces, places = region_faces(), body.places
    torso = faces.edges["torso"]
    narrow = [{**both("under_bust", 1 - s), "navel": s} for s in NARROW_SHARES]
    found = {
        "trunk": Tapes(edges=torso, anchors=list(TRUNK.values()), normals=UP, hull=True, midline=True),
        "narrow": Tapes(edges=torso, anchors=narrow, normals=UP, hull=True, midline=True),
        "shoulders": Tapes(
            edges=faces.shoulder_edges, anchors=[SHOULDERS], normals=UP, hull=True, midline=True
        ),
    }
    # A loop in the plane through the middle of a shoulder, the crotch and front-back.
    tops = [{f"neck_side_{side}": 0.5, f"shoulder_point_{side}": 0.5} for side in ("left", "right")]
    slopes = np.stack([body.anchor(top)[2] - places["crotch"] for top in tops])
    found["trunk_loop"] = Tapes(
        edges=faces.trunk_edges,
        anchors=[{name: 0.5 * w for name, w in top.items()} | {"crotch": 0.5} for top in tops],
        normals=_cross(slopes, np.broadcast_to(FRONT, slopes.shape)),
        hull=True,
        # The plane runs on into the other thigh below the crotch; the tape does not.
        floor=float(places["crotch"][2]) - 3.0,
    )
    skin = {"over_shoulders": faces.shoulder_edges, "over_bust": torso, "round_neck": faces.edges["neck"]}
    for group, spans in SPANS.items():
        across = np.stack([places[span.end] - places[span.start] for span in spans.values()])
        found[group] = Tapes(
            edges=skin[group],
            anchors=[{span.start: 1.0} for span in spans.values()],
            normals=_cross(across, np.stack([span_up(body, span) for span in spans.values()])),
            hull=False,
        )
    return found


def _head_tapes(body: StandingBody) -> dict[str, Tapes]:
    places, edges = body.places, region_faces().edges
    # The neck is read in a plane that holds the left-right direction and its mean slope.
    high, low = places["skull_base"] - places["under_chin"], places["nape"] - places["front_neck"]
    half = 1.12 * 0.5 * abs(places["neck_side_left"][0] - places["neck_side_right"][0])
    return {
        "head": Tapes(
            edges=edges["head"],
            anchors=[{"brow": 1.0}],
            normals=_cross(LEFT, places["head_back"] - places["brow"]),
            hull=True,
            midline=True,
        ),
        "neck": Tapes(
            edges=edges["neck"],
            anchors=[{"under_chin": 0.5, "front_neck": 0.5}],
            normals=_cross(0.5 * (high + low), LEFT),
            hull=True,
            clips=tuple(np.array([sign, 0.0, 0.0, half]) for sign in (1.0, -1.0)),
            midline=True,
        ),
    }


def _limb_tapes(body: StandingBody, side: str) -> dict[str, Tapes]:
    places, edges = body.places, region_faces().edges
    found = {}
    for name, (region, start, end, shares) in LEG.items():
        first = start if start == "crotch" else f"{start}_{side}"
        found[f"{name}_{side}"] = Tapes(
            edges=edges[f"{region}_{side}"],
            anchors=[between(first, f"{end}_{side}", share) for share in shares],
            normals=UP,
            # High on the thigh the tape bridges the fold of the seat; lower down it follows the skin.
            hull=name == "thigh",
        )
    shoulder, elbow, wrist = f"shoulder_point_{side}", f"joint_elbow_{side}", f"joint_wrist_{side}"
    ends = {
        "upper_arm": (shoulder, elbow, places[elbow] - places[f"joint_shoulder_{side}"]),
        "forearm": (elbow, wrist, places[wrist] - places[elbow]),
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


def _end_tapes(body: StandingBody, side: str) -> dict[str, Tapes]:
    """Hand, ball of the foot and heel."""
    places, edges = body.places, region_faces().edges
    across = places[f"index_knuckle_{side}"] - places[f"little_knuckle_{side}"]
    along = places[f"joint_finger_tip_{side}"] - places[f"joint_wrist_{side}"]
    # Heel to big toe runs 18° askew to the normal of the ball; turning with the foot is the steadier way.
    ahead = (places[f"toe_tip_{side}"] - places[f"heel_{side}"]) * (1.0, 1.0, 0.0)
    # The tape lies under the point of the heel, not over it.
    slope = places[f"instep_{side}"] - (places[f"heel_{side}"] - 12.0 * UP)
    return {
        f"hand_{side}": Tapes(
            edges=edges[f"hand_{side}"],
            anchors=[{f"index_knuckle_{side}": 0.5, f"little_knuckle_{side}": 0.5}],
            normals=along - (along @ across) / (across @ across) * across,
            hull=True,
        ),
        f"ball_{side}": Tapes(
            edges=edges[f"foot_{side}"],
            anchors=[{f"ball_inner_{side}": 0.5, f"ball_outer_{side}": 0.5}],
            normals=ahead + 0.31 * _cross(ahead, UP) * (-1.0 if side == "left" else 1.0),
            hull=True,
        ),
        # Round the heel and the front of the ankle.
        f"heel_{side}": Tapes(
            edges=edges[f"foot_{side}"],
            anchors=[{f"instep_{side}": 1.0}],
            normals=_cross(slope, LEFT),
            hull=True,
        ),
    }
