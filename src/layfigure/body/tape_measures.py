"""Where the tape runs for every measure of the catalogue that can be read on a Form.

Definitions: ISO 8559-1:2017 clauses as quoted in ``TRADE`` 1.2 where it has one, else those of the 2012
survey of US Army personnel (NATICK/TR-15/007) and common practice. A tape bridges hollows on the trunk,
hand and foot; on limbs and neck it follows the skin.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache, partial
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from layfigure.body.regions import armhole_plane, region_faces
from layfigure.body.sections import Cut
from layfigure.body.tape import (
    Anchor,
    Reading,
    StandingBody,
    chain_reading,
    extent_reading,
    height_reading,
    line_reading,
    tape_cut,
    taut_cut,
)
from layfigure.body.template import Template, load_template

Points = NDArray[np.float64]
Indices = NDArray[np.int64]
Reader = Callable[[StandingBody], Reading]

UP, FRONT, LEFT = np.array([0.0, 0.0, 1.0]), np.array([0.0, -1.0, 0.0]), np.array([1.0, 0.0, 0.0])


CALF_SHARES = tuple(np.linspace(0.2, 0.45, 7))
ANKLE_SHARES = tuple(np.linspace(0.78, 0.95, 6))

CROTCH_PRESS = 20.0
"""A book pressed up between the legs sits this far above the relaxed skin [mm]. From our own comparison: with
its crotch free, the template fitted to 28 people of the 2012 survey by all other measures hangs 26 mm (women)
and 46 mm (men) below their crotch height."""
NECK_BASE_CHAIN = 0.92
"""The survey's neck base against a tape through notch, neck sides and nape of the template: a chain lies
higher on the slope of the shoulders. Same comparison: 0.89 for women, 0.92 for men."""


def both(stem: str, weight: float = 1.0) -> dict[str, float]:
    """The mean of a pair of landmarks as an anchor."""
    return {f"{stem}_left": 0.5 * weight, f"{stem}_right": 0.5 * weight}


BUST, UNDER_BUST, WAIST, NAVEL = both("bust_point"), both("under_bust"), {"waist_front": 1.0}, {"navel": 1.0}
SEAT, CROTCH = both("seat"), {"crotch": 1.0}
TOP_HIP = {"waist_front": 0.5} | both("seat", 0.5)
SHOULDERS = both("shoulder_point", 0.6) | both("armpit", 0.4)


def between(start: str, end: str, share: float) -> dict[str, float]:
    """An anchor on the way from one landmark to another."""
    return {start: 1.0 - share, end: share}


def _trunk_cut(body: StandingBody, anchor: Anchor) -> Cut:
    """Level cut of the trunk without the arms, as a tape lies round it."""
    return body.cut_once(("trunk", *anchor.items()), partial(_make_trunk_cut, body, anchor))


def _make_trunk_cut(body: StandingBody, anchor: Anchor) -> Cut:
    faces = region_faces()
    if body.anchor(anchor)[2][2] > body.places.height("armpit_left", "armpit_right"):
        clips = [armhole_plane(body.places, side) for side in ("left", "right")]
        return tape_cut(body, faces.shoulder_edges, [anchor], UP, hull=True, clips=clips, midline=True)[0]
    return tape_cut(body, faces.edges["torso"], [anchor], UP, hull=True, midline=True)[0]


def _trunk_girth(body: StandingBody, anchor: Anchor) -> Reading:
    return line_reading(body, _trunk_cut(body, anchor), closed=True, normal=UP, anchor=anchor)


def _narrowest(body: StandingBody) -> Reading:
    stations = np.linspace(0.0, 1.0, 7)
    anchors = [{**both("under_bust", 1 - s), "navel": s} for s in stations]
    cuts = tape_cut(body, region_faces().edges["torso"], anchors, UP, hull=True, midline=True)
    return _best(body, cuts, anchors, UP, least=True)


def _best(
    body: StandingBody, cuts: list[Cut], anchors: list[dict[str, float]], normal: Points, *, least: bool
) -> Reading:
    lengths = [
        np.linalg.norm(np.diff(p, axis=0, append=p[:1]), axis=1).sum()
        for p in (cut.places(body.points) for cut in cuts)
    ]
    k = int(np.argmin(lengths) if least else np.argmax(lengths))
    return line_reading(body, cuts[k], closed=True, normal=normal, anchor=anchors[k])


def _leg(
    body: StandingBody,
    side: str,
    region: str,
    start: str,
    end: str,
    shares: Sequence[float],
    *,
    least: bool = False,
) -> Reading:
    """Level girth of a leg at one share of the way, or the largest or least of several."""
    names = [start if start == "crotch" else f"{start}_{side}", f"{end}_{side}"]
    anchors = [between(names[0], names[1], s) for s in shares]
    # High on the thigh the tape bridges the fold of the seat; lower down it follows the skin.
    bridging = start == "crotch" and max(shares) < 0.3
    cuts = tape_cut(body, region_faces().edges[f"{region}_{side}"], anchors, UP, hull=bridging)
    return _best(body, cuts, anchors, UP, least=least)


def _arm(body: StandingBody, side: str, region: str, shares: Iterable[float]) -> Reading:
    start, end = (
        (f"shoulder_point_{side}", f"joint_elbow_{side}")
        if region == "upper_arm"
        else (f"joint_elbow_{side}", f"joint_wrist_{side}")
    )
    bone = body.places[end] - body.places[f"joint_{'shoulder' if region == 'upper_arm' else 'elbow'}_{side}"]
    normal = bone / np.linalg.norm(bone)
    anchors = [between(start, end, s) for s in shares]
    cuts = tape_cut(body, region_faces().edges[f"{region}_{side}"], anchors, normal, hull=False)
    return _best(body, cuts, anchors, normal, least=False)


def _hand_cut(body: StandingBody, side: str) -> tuple[Cut, Anchor, Points]:
    anchor = {f"index_knuckle_{side}": 0.5, f"little_knuckle_{side}": 0.5}
    across = body.places[f"index_knuckle_{side}"] - body.places[f"little_knuckle_{side}"]
    along = body.places[f"joint_finger_tip_{side}"] - body.places[f"joint_wrist_{side}"]
    normal = along - (along @ across) / (across @ across) * across
    normal = normal / np.linalg.norm(normal)
    edges = region_faces().edges[f"hand_{side}"]
    cut = body.cut_once(("hand", side), lambda: tape_cut(body, edges, [anchor], normal, hull=True)[0])
    return cut, anchor, normal


def _hand_girth(body: StandingBody, side: str) -> Reading:
    cut, anchor, normal = _hand_cut(body, side)
    return line_reading(body, cut, closed=True, normal=normal, anchor=anchor)


def _hand_breadth(body: StandingBody, side: str) -> Reading:
    across = body.places[f"index_knuckle_{side}"] - body.places[f"little_knuckle_{side}"]
    return extent_reading(body, _hand_cut(body, side)[0], across / np.linalg.norm(across))


def _foot_cut(body: StandingBody, side: str) -> tuple[Cut, Anchor, Points]:
    inner, outer = f"ball_inner_{side}", f"ball_outer_{side}"
    # Heel to big toe runs 18° askew to the normal of the ball; turning with the foot is the steadier way.
    ahead = (body.places[f"toe_tip_{side}"] - body.places[f"heel_{side}"]) * (1.0, 1.0, 0.0)
    normal = ahead + 0.31 * np.cross(ahead, UP) * (-1.0 if side == "left" else 1.0)
    anchor = {inner: 0.5, outer: 0.5}
    normal = normal / np.linalg.norm(normal)
    edges = region_faces().edges[f"foot_{side}"]
    cut = body.cut_once(("foot", side), lambda: tape_cut(body, edges, [anchor], normal, hull=True)[0])
    return cut, anchor, normal


def _foot_girth(body: StandingBody, side: str) -> Reading:
    cut, anchor, normal = _foot_cut(body, side)
    return line_reading(body, cut, closed=True, normal=normal, anchor=anchor)


def _foot_breadth(body: StandingBody, side: str) -> Reading:
    return extent_reading(body, _foot_cut(body, side)[0], LEFT)


def _heel_girth(body: StandingBody, side: str) -> Reading:
    """Round the heel and the front of the ankle."""
    anchor = {f"instep_{side}": 1.0}
    # The tape lies under the point of the heel, not over it.
    slope = body.places[f"instep_{side}"] - (body.places[f"heel_{side}"] - 12.0 * UP)
    normal = np.cross(slope, LEFT)
    normal = normal / np.linalg.norm(normal)
    cut = tape_cut(body, region_faces().edges[f"foot_{side}"], [anchor], normal, hull=True)[0]
    return line_reading(body, cut, closed=True, normal=normal, anchor=anchor)


def _neck(body: StandingBody, anchor: Anchor, slope: Points, *, wide: float) -> Reading:
    """Girth of the neck in a plane that holds the left-right direction and ``slope``."""
    normal = np.cross(slope, LEFT)
    normal = normal / np.linalg.norm(normal)
    half = wide * 0.5 * abs(body.places["neck_side_left"][0] - body.places["neck_side_right"][0])
    clips = [np.array([sign, 0.0, 0.0, half]) for sign in (1.0, -1.0)]
    cut = tape_cut(body, region_faces().edges["neck"], [anchor], normal, hull=True, clips=clips, midline=True)
    return line_reading(body, cut[0], closed=True, normal=normal, anchor=anchor)


def _neck_girth(body: StandingBody) -> Reading:
    places = body.places
    high, low = places["skull_base"] - places["under_chin"], places["nape"] - places["front_neck"]
    return _neck(body, {"under_chin": 0.5, "front_neck": 0.5}, 0.5 * (high + low), wide=1.12)


def _neck_base_girth(body: StandingBody) -> Reading:
    """Over the nape bone, the sides of the neck and the notch: through the four places, over the skin."""
    names = ("front_neck", "neck_side_left", "nape", "neck_side_right", "front_neck")
    total: Reading | None = None
    for start, end in pairwise(names):
        outward = body.places[start] + body.places[end] - 2.0 * body.places["joint_neck"]
        part = _over_skin(body, start, end, outward * (1.0, 1.0, 0.0), region_faces().edges["neck"])
        total = part if total is None else total + part
    assert total is not None
    return total.scaled(NECK_BASE_CHAIN)


def _over_skin(body: StandingBody, start: str, end: str, up: Points, edges: Indices) -> Reading:
    """From landmark to landmark over the skin in the plane of ``up``, taut over hollows."""
    a, b = body.places[start], body.places[end]
    normal = np.cross(b - a, up)
    normal = normal / np.linalg.norm(normal)
    anchor = {start: 1.0}
    whole = tape_cut(body, edges, [anchor], normal, hull=False)[0]
    part = taut_cut(whole.places(body.points), whole, up, a, b)
    ends = np.array([body.row(start)]), np.array([body.row(end)])
    line = Cut(
        a=np.concatenate([ends[0], part.a, ends[1]]),
        b=np.concatenate([ends[0], part.b, ends[1]]),
        share=np.concatenate([[0.0], part.share, [0.0]]),
    )
    return line_reading(body, line, closed=False)


def _shoulder_length(body: StandingBody, side: str) -> Reading:
    edges = region_faces().shoulder_edges
    return _over_skin(body, f"neck_side_{side}", f"shoulder_point_{side}", UP, edges)


def _across_shoulders(body: StandingBody) -> Reading:
    edges = region_faces().shoulder_edges
    up = UP - FRONT
    left = _over_skin(body, "shoulder_point_left", "nape", up, edges)
    return left + _over_skin(body, "nape", "shoulder_point_right", up, edges)


def _across_back(body: StandingBody) -> Reading:
    """Across the back from arm fold to arm fold."""
    return _over_skin(body, "back_fold_left", "back_fold_right", -FRONT, region_faces().shoulder_edges)


def _shoulder_cut(body: StandingBody) -> Cut:
    edges = region_faces().shoulder_edges
    return body.cut_once(
        "shoulders", lambda: tape_cut(body, edges, [SHOULDERS], UP, hull=True, midline=True)[0]
    )


def _shoulder_girth(body: StandingBody) -> Reading:
    return line_reading(body, _shoulder_cut(body), closed=True, normal=UP, anchor=SHOULDERS)


def _shoulder_extent(body: StandingBody) -> Reading:
    return extent_reading(body, _shoulder_cut(body), LEFT)


def _trunk_extent(body: StandingBody, anchor: Anchor, direction: Points) -> Reading:
    return extent_reading(body, _trunk_cut(body, anchor), direction)


def _head_cut(body: StandingBody) -> Cut:
    anchor = {"brow": 1.0}
    normal = np.cross(LEFT, body.places["head_back"] - body.places["brow"])
    edges = region_faces().edges["head"]
    return body.cut_once("head", lambda: tape_cut(body, edges, [anchor], normal, hull=True, midline=True)[0])


def _head_girth(body: StandingBody) -> Reading:
    normal = np.cross(LEFT, body.places["head_back"] - body.places["brow"])
    normal = normal / np.linalg.norm(normal)
    return line_reading(body, _head_cut(body), closed=True, normal=normal, anchor={"brow": 1.0})


def _head_breadth(body: StandingBody) -> Reading:
    return extent_reading(body, _head_cut(body), LEFT)


@lru_cache(maxsize=1)
def midline_chains() -> tuple[Indices, Indices]:
    """Vertices down the middle of the front (notch to crotch) and of the back (nape to crotch)."""
    template = load_template()
    surface = template.mean[: template.vertex_count]
    edges = region_faces().edges["torso"]
    on = np.abs(surface[:, 0]) < 0.2
    edges = edges[on[edges].all(axis=1)]
    neighbours: dict[int, list[int]] = {}
    for a, b in edges.tolist():
        neighbours.setdefault(a, []).append(b)
        neighbours.setdefault(b, []).append(a)
    crotch = template.landmarks["crotch"]
    chains = []
    for start, ahead in (("front_neck", -1.0), ("nape", 1.0)):
        chain = [template.landmarks[start]]
        seen = set(chain)
        while chain[-1] != crotch:
            here = surface[chain[-1]]
            nearest = [n for n in neighbours[chain[-1]] if n not in seen]
            # Downward first; at the bottom, toward the crotch from the front or from the back.
            step = min(
                nearest, key=lambda n: surface[n][2] - here[2] - 0.3 * ahead * (here[1] - surface[n][1])
            )
            chain.append(step)
            seen.add(step)
        chains.append(np.array(chain, dtype=np.int64))
    return chains[0], chains[1]


def _down_to(body: StandingBody, chain: Indices, anchor: Anchor) -> Cut:
    """A chain of vertices from its start down to the level of an anchor."""
    level = body.anchor(anchor)[2][2]
    z = body.points[chain, 2]
    last = int(np.flatnonzero(z <= level)[0])
    share = float((z[last - 1] - level) / (z[last - 1] - z[last]))
    return Cut(
        a=np.append(chain[:last], chain[last - 1]),
        b=np.append(chain[:last], chain[last]),
        share=np.append(np.zeros(last), share),
    )


def _nape_to(body: StandingBody, anchor: Anchor) -> Reading:
    cut = _down_to(body, midline_chains()[1], anchor)
    return line_reading(body, cut, closed=False, normal=UP, anchor=anchor)


def _crotch_length(body: StandingBody, anchor: Anchor) -> Reading:
    """From the level in front through the crotch to the level behind, along the skin of the middle."""
    front, back = midline_chains()
    ends = [_down_to(body, chain, anchor) for chain in (front, back)]
    low_front, low_back = front[len(ends[0].a) - 1 :], back[len(ends[1].a) - 1 :]
    a = np.concatenate([ends[0].a[-1:], low_front, low_back[::-1][1:], ends[1].a[-1:]])
    b = np.concatenate([ends[0].b[-1:], low_front, low_back[::-1][1:], ends[1].b[-1:]])
    share = np.concatenate(
        [ends[0].share[-1:], np.zeros(len(low_front) + len(low_back) - 1), ends[1].share[-1:]]
    )
    line = Cut(a=a, b=b, share=share)
    return line_reading(body, line, closed=False, normal=UP, anchor=anchor)


def _trunk_loop(body: StandingBody) -> Reading:
    """Mean of both sides: a loop in the plane through the middle of a shoulder, the crotch and front-back."""
    total: Reading | None = None
    for side in ("left", "right"):
        top = {f"neck_side_{side}": 0.5, f"shoulder_point_{side}": 0.5}
        middle = {name: 0.5 * w for name, w in top.items()} | {"crotch": 0.5}
        slope = body.anchor(top)[2] - body.places["crotch"]
        normal = np.cross(slope, FRONT)
        normal = normal / np.linalg.norm(normal)
        edges = region_faces().trunk_edges
        # The plane runs on into the other thigh below the crotch; the tape does not.
        clip = np.array([0.0, 0.0, -1.0, 3.0 - body.places["crotch"][2]])
        cut = tape_cut(body, edges, [middle], normal, hull=True, clips=[clip])[0]
        part = line_reading(body, cut, closed=True, normal=normal, anchor=middle).scaled(0.5)
        total = part if total is None else total + part
    assert total is not None
    return total


def _front_waist(body: StandingBody) -> Reading:
    """Neck side over the bust point, then straight down to the level of the waist; mean of both sides."""
    total: Reading | None = None
    for side in ("left", "right"):
        over = _over_skin(
            body, f"neck_side_{side}", f"bust_point_{side}", FRONT, region_faces().edges["torso"]
        )
        drop = height_reading(body, {f"bust_point_{side}": 1.0}) + height_reading(body, WAIST).scaled(-1.0)
        part = (over + drop).scaled(0.5)
        total = part if total is None else total + part
    assert total is not None
    return total


def _upper_arm_length(body: StandingBody, side: str) -> Reading:
    """From the level of the shoulder point, along the bone."""
    shoulder, elbow = body.row(f"shoulder_point_{side}"), body.row(f"joint_elbow_{side}")
    bone = body.places[f"joint_elbow_{side}"] - body.places[f"joint_shoulder_{side}"]
    bone = bone / np.linalg.norm(bone)
    value = float((body.points[elbow] - body.points[shoulder]) @ bone)
    return Reading(value=value, rows=np.array([shoulder, elbow]), slopes=np.stack([-bone, bone]))


def _arm_length(body: StandingBody, side: str) -> Reading:
    return _upper_arm_length(body, side) + chain_reading(body, [f"joint_elbow_{side}", f"joint_wrist_{side}"])


def _nape_to_wrist(body: StandingBody, side: str) -> Reading:
    half = _over_skin(body, "nape", f"shoulder_point_{side}", UP - FRONT, region_faces().shoulder_edges)
    return half + _arm_length(body, side)


def _foot_length(body: StandingBody, side: str) -> Reading:
    heel, toe = body.row(f"heel_{side}"), body.row(f"toe_tip_{side}")
    value = float(body.points[heel, 1] - body.points[toe, 1])
    return Reading(value=value, rows=np.array([heel, toe]), slopes=np.stack([-FRONT, FRONT]))


def _crotch_height(body: StandingBody) -> Reading:
    skin = height_reading(body, CROTCH)
    return Reading(value=skin.value + CROTCH_PRESS, rows=skin.rows, slopes=skin.slopes)


READERS: dict[str, Reader] = {
    "stature": partial(height_reading, anchor={"crown": 1.0}),
    "nape_height": partial(height_reading, anchor={"nape": 1.0}),
    "front_neck_height": partial(height_reading, anchor={"front_neck": 1.0}),
    "bust_height": partial(height_reading, anchor=BUST),
    "under_bust_height": partial(height_reading, anchor=UNDER_BUST),
    "waist_height": partial(height_reading, anchor=WAIST),
    "waist_navel_height": partial(height_reading, anchor=NAVEL),
    "hip_height": partial(height_reading, anchor=SEAT),
    "crotch_height": _crotch_height,
    "head_girth": _head_girth,
    "neck_girth": _neck_girth,
    "neck_base_girth": _neck_base_girth,
    "shoulder_girth": _shoulder_girth,
    "bust_girth": partial(_trunk_girth, anchor=BUST),
    "under_bust_girth": partial(_trunk_girth, anchor=UNDER_BUST),
    "waist_girth": partial(_trunk_girth, anchor=WAIST),
    "waist_navel_girth": partial(_trunk_girth, anchor=NAVEL),
    "waist_narrowest_girth": _narrowest,
    "top_hip_girth": partial(_trunk_girth, anchor=TOP_HIP),
    "hip_girth": partial(_trunk_girth, anchor=SEAT),
    "trunk_loop": _trunk_loop,
    "across_shoulder_width": _across_shoulders,
    "across_back_width": _across_back,
    "nape_to_waist": partial(_nape_to, anchor=WAIST),
    "nape_to_waist_navel": partial(_nape_to, anchor=NAVEL),
    "front_waist_length": _front_waist,
    "crotch_length": partial(_crotch_length, anchor=WAIST),
    "crotch_length_navel": partial(_crotch_length, anchor=NAVEL),
    "face_length": partial(chain_reading, names=("nose_root", "chin")),
    "head_breadth": _head_breadth,
    "head_length": partial(chain_reading, names=("brow", "head_back")),
    "shoulder_breadth": partial(chain_reading, names=("shoulder_point_left", "shoulder_point_right")),
    "shoulder_breadth_over_arms": _shoulder_extent,
    "bust_breadth": partial(_trunk_extent, anchor=BUST, direction=LEFT),
    "bust_depth": partial(_trunk_extent, anchor=BUST, direction=FRONT),
    "waist_navel_breadth": partial(_trunk_extent, anchor=NAVEL, direction=LEFT),
    "waist_navel_depth": partial(_trunk_extent, anchor=NAVEL, direction=FRONT),
    "hip_breadth": partial(_trunk_extent, anchor=SEAT, direction=LEFT),
    "hip_depth": partial(_trunk_extent, anchor=SEAT, direction=FRONT),
}
"""How each measure is read, by its stored name."""

for _side in ("left", "right"):
    READERS |= {
        f"shoulder_height_{_side}": partial(height_reading, anchor={f"shoulder_point_{_side}": 1.0}),
        f"armpit_height_{_side}": partial(height_reading, anchor={f"armpit_{_side}": 1.0}),
        f"knee_height_{_side}": partial(height_reading, anchor={f"kneecap_{_side}": 1.0}),
        f"ankle_height_{_side}": partial(height_reading, anchor={f"ankle_bone_{_side}": 1.0}),
        f"upper_arm_girth_{_side}": partial(_arm, side=_side, region="upper_arm", shares=(0.5,)),
        f"elbow_girth_{_side}": partial(_arm, side=_side, region="forearm", shares=(0.0,)),
        f"forearm_girth_{_side}": partial(
            _arm, side=_side, region="forearm", shares=(0.14, 0.2, 0.26, 0.32, 0.38)
        ),
        f"wrist_girth_{_side}": partial(_arm, side=_side, region="forearm", shares=(0.97,)),
        f"hand_girth_{_side}": partial(_hand_girth, side=_side),
        f"thigh_girth_{_side}": partial(
            _leg, side=_side, region="thigh", start="crotch", end="kneecap", shares=(0.09, 0.12, 0.15)
        ),
        f"mid_thigh_girth_{_side}": partial(
            _leg, side=_side, region="thigh", start="crotch", end="kneecap", shares=(0.5,)
        ),
        f"lower_thigh_girth_{_side}": partial(
            _leg, side=_side, region="thigh", start="crotch", end="kneecap", shares=(0.85,)
        ),
        f"knee_girth_{_side}": partial(
            _leg, side=_side, region="thigh", start="crotch", end="kneecap", shares=(1.0,)
        ),
        f"calf_girth_{_side}": partial(
            _leg, side=_side, region="shank", start="kneecap", end="ankle", shares=CALF_SHARES
        ),
        f"ankle_girth_{_side}": partial(
            _leg, side=_side, region="shank", start="kneecap", end="ankle", shares=ANKLE_SHARES,
            least=True,
        ),
        f"heel_girth_{_side}": partial(_heel_girth, side=_side),
        f"foot_girth_{_side}": partial(_foot_girth, side=_side),
        f"shoulder_length_{_side}": partial(_shoulder_length, side=_side),
        f"arm_length_{_side}": partial(_arm_length, side=_side),
        f"upper_arm_length_{_side}": partial(_upper_arm_length, side=_side),
        f"forearm_length_{_side}": partial(
            chain_reading, names=(f"joint_elbow_{_side}", f"joint_wrist_{_side}")
        ),
        f"nape_to_wrist_{_side}": partial(_nape_to_wrist, side=_side),
        f"hand_length_{_side}": partial(
            chain_reading, names=(f"joint_wrist_{_side}", f"joint_knuckle_{_side}", f"fingertip_{_side}")
        ),
        f"foot_length_{_side}": partial(_foot_length, side=_side),
        f"hand_breadth_{_side}": partial(_hand_breadth, side=_side),
        f"foot_breadth_{_side}": partial(_foot_breadth, side=_side),
    }  # fmt: skip


def read_points(template: Template, standing: Points, names: Iterable[str] | None = None) -> dict[str, float]:
    """What the tape reads on standing points (p, 3) [mm], by stored measure name; all by default."""
    body = StandingBody(template, standing)
    return {name: READERS[name](body).value for name in (READERS if names is None else names)}
