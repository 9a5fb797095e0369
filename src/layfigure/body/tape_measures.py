"""Where the tape runs for every measure of the catalogue that can be read on a Form.

Definitions: ISO 8559-1:2017 clauses as quoted in ``TRADE`` 1.2 where it has one, else those of the 2012
survey of US Army personnel (NATICK/TR-15/007) and common practice. A tape bridges hollows on the trunk,
hand and foot; on limbs and neck it follows the skin.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache, partial

import numpy as np
from numpy.typing import NDArray

from layfigure.body.regions import region_faces
from layfigure.body.sections import Cut
from layfigure.body.tape import (
    Anchor,
    Reading,
    StandingBody,
    TapeLine,
    chain_reading,
    extent_reading,
    girth_reading,
    height_reading,
    line_reading,
    taut_cut,
)
from layfigure.body.tape_lines import (
    BUST,
    FRONT,
    LEFT,
    NAVEL,
    SEAT,
    SPANS,
    UNDER_BUST,
    UP,
    WAIST,
    span_up,
    tape_lines,
    trunk_line,
)
from layfigure.body.template import Template, load_template

Points = NDArray[np.float64]
Indices = NDArray[np.int64]
Reader = Callable[[StandingBody], Reading]

CROTCH_PRESS = 20.0
"""A book pressed up between the legs sits this far above the relaxed skin [mm]. From our own comparison: with
its crotch free, the template fitted to 28 people of the 2012 survey by all other measures hangs 26 mm (women)
and 46 mm (men) below their crotch height."""
NECK_BASE_CHAIN = 0.92
"""The survey's neck base against a tape through notch, neck sides and nape of the template: a chain lies
higher on the slope of the shoulders. Same comparison: 0.89 for women, 0.92 for men."""


def trunk_girth(body: StandingBody, level: str) -> Reading:
    """Girth of the trunk at a level."""
    return girth_reading(body, trunk_line(body, level))


def trunk_extent(body: StandingBody, level: str, direction: Points) -> Reading:
    """Extent of the trunk at a level along a direction, as calipers read it."""
    return extent_reading(body, trunk_line(body, level).cut, direction)


def tape_girth(body: StandingBody, group: str, some: slice = slice(None), *, least: bool = False) -> Reading:
    """Girth of a line of a group; of several the largest, or the least."""
    return girth_reading(body, girth_line(body, group, some, least=least))


def girth_line(body: StandingBody, group: str, some: slice = slice(None), *, least: bool = False) -> TapeLine:
    """The line of a group whose girth is read."""
    lines = tape_lines(body, group)[some]
    if len(lines) == 1:
        return lines[0]
    return (min if least else max)(lines, key=lambda line: line.length)


def tape_extent(body: StandingBody, group: str, direction: Points) -> Reading:
    """Extent of a group's first line along a direction."""
    return extent_reading(body, tape_lines(body, group)[0].cut, direction)


def hand_breadth(body: StandingBody, side: str) -> Reading:
    """Across the knuckles, from the little finger's to the index finger's."""
    across = body.places[f"index_knuckle_{side}"] - body.places[f"little_knuckle_{side}"]
    return tape_extent(body, f"hand_{side}", across / np.linalg.norm(across))


def neck_base_girth(body: StandingBody) -> Reading:
    """Over the nape bone, the sides of the neck and the notch: through the four places, over the skin."""
    parts = [over_skin(body, "round_neck", name) for name in SPANS["round_neck"]]
    return _sum(parts).scaled(NECK_BASE_CHAIN)


def _sum(parts: list[Reading]) -> Reading:
    total = parts[0]
    for part in parts[1:]:
        total = total + part
    return total


def over_skin(body: StandingBody, group: str, name: str) -> Reading:
    """From landmark to landmark over the skin in the plane of a span, taut over hollows."""
    return line_reading(body, over_skin_cut(body, group, name), closed=False)


def over_skin_cut(body: StandingBody, group: str, name: str) -> Cut:
    """The line of a span over the skin."""
    if (group, name) not in body.spans:
        body.spans[group, name] = _taut_span(body, group, name)
    return body.spans[group, name]


def _taut_span(body: StandingBody, group: str, name: str) -> Cut:
    span = SPANS[group][name]
    whole = tape_lines(body, group)[list(SPANS[group]).index(name)].cut
    a, b = body.places[span.start], body.places[span.end]
    part = taut_cut(whole.places(body.points), whole, span_up(body.places, span), a, b)
    ends = np.array([body.row(span.start)]), np.array([body.row(span.end)])
    return Cut(
        a=np.concatenate([ends[0], part.a, ends[1]]),
        b=np.concatenate([ends[0], part.b, ends[1]]),
        share=np.concatenate([[0.0], part.share, [0.0]]),
        shift=None
        if part.shift is None
        else np.concatenate([np.zeros((1, 3)), part.shift, np.zeros((1, 3))]),
    )


def across_shoulders(body: StandingBody) -> Reading:
    """From shoulder point to shoulder point over the nape."""
    return over_skin(body, "over_shoulders", "nape_left") + over_skin(body, "over_shoulders", "nape_right")


@lru_cache(maxsize=1)
def midline_chains() -> tuple[Indices, Indices]:
    """Vertices down the middle of the front (notch to crotch) and of the back (nape to crotch)."""
    template = load_template()
    surface = template.mean[: template.vertex_count]
    on = np.abs(surface[:, 0]) < 0.2
    edges = region_faces().edges["torso"].pairs
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


def down_to(body: StandingBody, chain: Indices, anchor: Anchor) -> Cut:
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


def nape_to(body: StandingBody, anchor: Anchor) -> Reading:
    """From the nape down the middle of the back to a level."""
    cut = down_to(body, midline_chains()[1], anchor)
    return line_reading(body, cut, closed=False, normal=UP, anchor=anchor)


def crotch_length(body: StandingBody, anchor: Anchor) -> Reading:
    """From the level in front through the crotch to the level behind, along the skin of the middle."""
    return line_reading(body, crotch_cut(body, anchor), closed=False, normal=UP, anchor=anchor)


def crotch_cut(body: StandingBody, anchor: Anchor) -> Cut:
    """The line of a crotch length."""
    front, back = midline_chains()
    ends = [down_to(body, chain, anchor) for chain in (front, back)]
    low_front, low_back = front[len(ends[0].a) - 1 :], back[len(ends[1].a) - 1 :]
    a = np.concatenate([ends[0].a[-1:], low_front, low_back[::-1][1:], ends[1].a[-1:]])
    b = np.concatenate([ends[0].b[-1:], low_front, low_back[::-1][1:], ends[1].b[-1:]])
    share = np.concatenate(
        [ends[0].share[-1:], np.zeros(len(low_front) + len(low_back) - 1), ends[1].share[-1:]]
    )
    return Cut(a=a, b=b, share=share)


def trunk_loop(body: StandingBody) -> Reading:
    """Mean of both sides."""
    return _sum([girth_reading(body, line).scaled(0.5) for line in tape_lines(body, "trunk_loop")])


def front_waist(body: StandingBody) -> Reading:
    """Neck side over the bust point, then straight down to the level of the waist; mean of both sides."""
    parts = []
    for side in ("left", "right"):
        over = over_skin(body, "over_bust", side)
        drop = height_reading(body, {f"bust_point_{side}": 1.0}) + height_reading(body, WAIST).scaled(-1.0)
        parts.append((over + drop).scaled(0.5))
    return _sum(parts)


def upper_arm_length(body: StandingBody, side: str) -> Reading:
    """From the level of the shoulder point, along the bone."""
    shoulder, elbow = body.row(f"shoulder_point_{side}"), body.row(f"joint_elbow_{side}")
    bone = body.places[f"joint_elbow_{side}"] - body.places[f"joint_shoulder_{side}"]
    bone = bone / np.linalg.norm(bone)
    value = float((body.points[elbow] - body.points[shoulder]) @ bone)
    return Reading(value, lambda: (np.array([shoulder, elbow]), np.stack([-bone, bone])))


def arm_length(body: StandingBody, side: str) -> Reading:
    """From the shoulder point by the elbow to the wrist."""
    return upper_arm_length(body, side) + chain_reading(body, [f"joint_elbow_{side}", f"joint_wrist_{side}"])


def nape_to_wrist(body: StandingBody, side: str) -> Reading:
    """From the nape over the shoulder point and down the arm."""
    return over_skin(body, "over_shoulders", f"nape_{side}") + arm_length(body, side)


def foot_length(body: StandingBody, side: str) -> Reading:
    """Heel to the tip of the longest toe."""
    heel, toe = body.row(f"heel_{side}"), body.row(f"toe_tip_{side}")
    value = float(body.points[heel, 1] - body.points[toe, 1])
    return Reading(value, lambda: (np.array([heel, toe]), np.stack([-FRONT, FRONT])))


def crotch_height(body: StandingBody) -> Reading:
    """To a book pressed up between the legs."""
    skin = height_reading(body, {"crotch": 1.0})
    return Reading(skin.value + CROTCH_PRESS, skin.slopes)


READERS: dict[str, Reader] = {
    "stature": partial(height_reading, anchor={"crown": 1.0}),
    "nape_height": partial(height_reading, anchor={"nape": 1.0}),
    "front_neck_height": partial(height_reading, anchor={"front_neck": 1.0}),
    "bust_height": partial(height_reading, anchor=BUST),
    "under_bust_height": partial(height_reading, anchor=UNDER_BUST),
    "waist_height": partial(height_reading, anchor=WAIST),
    "waist_navel_height": partial(height_reading, anchor=NAVEL),
    "hip_height": partial(height_reading, anchor=SEAT),
    "crotch_height": crotch_height,
    "head_girth": partial(tape_girth, group="head"),
    "neck_girth": partial(tape_girth, group="neck"),
    "neck_base_girth": neck_base_girth,
    "shoulder_girth": partial(tape_girth, group="shoulders"),
    "bust_girth": partial(trunk_girth, level="bust"),
    "under_bust_girth": partial(trunk_girth, level="under_bust"),
    "waist_girth": partial(trunk_girth, level="waist"),
    "waist_navel_girth": partial(trunk_girth, level="navel"),
    "waist_narrowest_girth": partial(tape_girth, group="narrow", least=True),
    "top_hip_girth": partial(trunk_girth, level="top_hip"),
    "hip_girth": partial(trunk_girth, level="seat"),
    "trunk_loop": trunk_loop,
    "across_shoulder_width": across_shoulders,
    "across_back_width": partial(over_skin, group="over_shoulders", name="back"),
    "nape_to_waist": partial(nape_to, anchor=WAIST),
    "nape_to_waist_navel": partial(nape_to, anchor=NAVEL),
    "front_waist_length": front_waist,
    "crotch_length": partial(crotch_length, anchor=WAIST),
    "crotch_length_navel": partial(crotch_length, anchor=NAVEL),
    "face_length": partial(chain_reading, names=("nose_root", "chin")),
    "head_breadth": partial(tape_extent, group="head", direction=LEFT),
    "head_length": partial(chain_reading, names=("brow", "head_back")),
    "shoulder_breadth": partial(chain_reading, names=("shoulder_point_left", "shoulder_point_right")),
    "shoulder_breadth_over_arms": partial(tape_extent, group="shoulders", direction=LEFT),
    "bust_breadth": partial(trunk_extent, level="bust", direction=LEFT),
    "bust_depth": partial(trunk_extent, level="bust", direction=FRONT),
    "waist_navel_breadth": partial(trunk_extent, level="navel", direction=LEFT),
    "waist_navel_depth": partial(trunk_extent, level="navel", direction=FRONT),
    "hip_breadth": partial(trunk_extent, level="seat", direction=LEFT),
    "hip_depth": partial(trunk_extent, level="seat", direction=FRONT),
}
"""How each measure is read, by its stored name."""

for _side in ("left", "right"):
    READERS |= {
        f"shoulder_height_{_side}": partial(height_reading, anchor={f"shoulder_point_{_side}": 1.0}),
        f"armpit_height_{_side}": partial(height_reading, anchor={f"armpit_{_side}": 1.0}),
        f"knee_height_{_side}": partial(height_reading, anchor={f"kneecap_{_side}": 1.0}),
        f"ankle_height_{_side}": partial(height_reading, anchor={f"ankle_bone_{_side}": 1.0}),
        f"upper_arm_girth_{_side}": partial(tape_girth, group=f"upper_arm_{_side}"),
        f"elbow_girth_{_side}": partial(tape_girth, group=f"forearm_{_side}", some=slice(0, 1)),
        f"wrist_girth_{_side}": partial(tape_girth, group=f"forearm_{_side}", some=slice(1, 2)),
        f"forearm_girth_{_side}": partial(tape_girth, group=f"forearm_{_side}", some=slice(2, None)),
        f"hand_girth_{_side}": partial(tape_girth, group=f"hand_{_side}"),
        f"thigh_girth_{_side}": partial(tape_girth, group=f"thigh_{_side}"),
        f"mid_thigh_girth_{_side}": partial(tape_girth, group=f"down_to_knee_{_side}", some=slice(0, 1)),
        f"lower_thigh_girth_{_side}": partial(tape_girth, group=f"down_to_knee_{_side}", some=slice(1, 2)),
        f"knee_girth_{_side}": partial(tape_girth, group=f"down_to_knee_{_side}", some=slice(2, 3)),
        f"calf_girth_{_side}": partial(tape_girth, group=f"calf_{_side}"),
        f"ankle_girth_{_side}": partial(tape_girth, group=f"ankle_{_side}", least=True),
        f"heel_girth_{_side}": partial(tape_girth, group=f"heel_{_side}"),
        f"foot_girth_{_side}": partial(tape_girth, group=f"ball_{_side}"),
        f"shoulder_length_{_side}": partial(over_skin, group="over_shoulders", name=f"shoulder_{_side}"),
        f"arm_length_{_side}": partial(arm_length, side=_side),
        f"upper_arm_length_{_side}": partial(upper_arm_length, side=_side),
        f"forearm_length_{_side}": partial(
            chain_reading, names=(f"joint_elbow_{_side}", f"joint_wrist_{_side}")
        ),
        f"nape_to_wrist_{_side}": partial(nape_to_wrist, side=_side),
        f"hand_length_{_side}": partial(
            chain_reading, names=(f"joint_wrist_{_side}", f"joint_knuckle_{_side}", f"fingertip_{_side}")
        ),
        f"foot_length_{_side}": partial(foot_length, side=_side),
        f"hand_breadth_{_side}": partial(hand_breadth, side=_side),
        f"foot_breadth_{_side}": partial(tape_extent, group=f"ball_{_side}", direction=LEFT),
    }  # fmt: skip


def read_points(template: Template, standing: Points, names: Iterable[str] | None = None) -> dict[str, float]:
    """What the tape reads on standing points (p, 3) [mm], by stored measure name; all by default."""
    body = StandingBody(template, standing)
    return {name: READERS[name](body).value for name in (READERS if names is None else names)}
