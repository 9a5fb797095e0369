"""Where the tape of one measure runs on a body, as lines to draw.

They are the lines that ``body.tape_measures`` reads, so that a picture shows what is measured.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from layfigure.body import tape_measures as read
from layfigure.body.form import Form
from layfigure.body.sections import Cut
from layfigure.body.tape import Anchor, StandingBody, chain_reading, height_reading
from layfigure.body.tape_lines import SPANS, WAIST, tape_lines, trunk_line
from layfigure.body.template import load_template

Points = NDArray[np.float64]

WALL = 25.0
"""A height is drawn so far in front of what stands out most beside it [mm]."""


@dataclass(frozen=True, slots=True, eq=False)
class TapeRoute:
    """One stretch of tape. points : (k, 3) on the standing body [mm]. closed : it runs back to its start."""

    points: Points
    closed: bool


def standing_body(form: Form, joints: Points) -> StandingBody:
    """The body of a Form as it stands. joints : (j, 3) of the template's, standing."""
    points = np.concatenate([form.standing.vertices, joints])
    return StandingBody(load_template(), points, sparing=True)


def tape_route(body: StandingBody, name: str) -> list[TapeRoute]:
    """Where the tape of a stored measure runs; nothing for one that is not read on a standing body."""
    reader: Any = read.READERS.get(name)
    if reader is None:
        return []
    function, told = (reader.func, dict(reader.keywords)) if isinstance(reader, partial) else (reader, {})
    return _ROUTES[function](body, **told)


def _around(body: StandingBody, cut: Cut) -> TapeRoute:
    return TapeRoute(cut.places(body.points), True)


def _along(body: StandingBody, cut: Cut) -> TapeRoute:
    return TapeRoute(cut.places(body.points), False)


def _across(body: StandingBody, cut: Cut, direction: Points) -> list[TapeRoute]:
    """Straight between the two points that calipers touch, at the level of their middle."""
    places = cut.places(body.points)
    along = places @ direction
    start, end = places[along.argmin()], places[along.argmax()]
    middle = 0.5 * (start + end)
    half = 0.5 * (along.max() - along.min()) * direction
    return [TapeRoute(np.stack([middle - half, middle + half]), False)]


def _chain(body: StandingBody, names: tuple[str, ...]) -> list[TapeRoute]:
    return [TapeRoute(body.points[[body.row(name) for name in names]], False)]


def _height(body: StandingBody, anchor: Anchor, lift: float = 0.0) -> list[TapeRoute]:
    """From the floor up to the level, before the body, and across to the place itself."""
    place = body.anchor(anchor)[2] + (0.0, 0.0, lift)
    beside = np.abs(body.surface[:, 0] - place[0]) < 60.0
    below = body.surface[:, 2] <= place[2] + 1.0
    front = float(body.surface[beside & below, 1].min(initial=place[1])) - WALL
    top = np.array([place[0], front, place[2]])
    floor = np.array([place[0], front, float(body.surface[:, 2].min())])
    return [TapeRoute(np.stack([floor, top, place]), False)]


def _over_shoulders(body: StandingBody) -> list[TapeRoute]:
    return [_along(body, read.over_skin_cut(body, "over_shoulders", n)) for n in ("nape_left", "nape_right")]


def _front_waist(body: StandingBody) -> list[TapeRoute]:
    found = []
    level = float(body.anchor(WAIST)[2][2])
    for side in ("left", "right"):
        over = read.over_skin_cut(body, "over_bust", side).places(body.points)
        drop = over[-1] * (1.0, 1.0, 0.0) + (0.0, 0.0, level)
        found.append(TapeRoute(np.concatenate([over, drop[None]]), False))
    return found


def _arm(body: StandingBody, side: str, *, hand: bool = True) -> list[TapeRoute]:
    """Down the outside of the arm, from the shoulder point by the elbow to the wrist."""
    names = [f"shoulder_point_{side}", f"joint_elbow_{side}", f"joint_wrist_{side}"]
    return _chain(body, tuple(names if hand else names[:2]))


def _foot(body: StandingBody, side: str) -> list[TapeRoute]:
    heel, toe = (body.places[f"{name}_{side}"] for name in ("heel", "toe_tip"))
    ends = np.array([[heel[0], heel[1], 2.0], [heel[0], toe[1], 2.0]])
    return [TapeRoute(ends, False)]


def _down_the_back(body: StandingBody, anchor: Anchor) -> list[TapeRoute]:
    return [_along(body, read.down_to(body, read.midline_chains()[1], anchor))]


def _hand_breadth(body: StandingBody, side: str) -> list[TapeRoute]:
    across = body.places[f"index_knuckle_{side}"] - body.places[f"little_knuckle_{side}"]
    cut = tape_lines(body, f"hand_{side}")[0].cut
    return _across(body, cut, across / np.linalg.norm(across))


_ROUTES: Mapping[Callable[..., Any], Callable[..., list[TapeRoute]]] = {
    read.trunk_girth: lambda body, level: [_around(body, trunk_line(body, level).cut)],
    read.tape_girth: lambda body, group, **some: [_around(body, read.girth_line(body, group, **some).cut)],
    read.trunk_loop: lambda body: [_around(body, line.cut) for line in tape_lines(body, "trunk_loop")],
    read.neck_base_girth: lambda body: [
        _along(body, read.over_skin_cut(body, "round_neck", name)) for name in SPANS["round_neck"]
    ],
    read.over_skin: lambda body, group, name: [_along(body, read.over_skin_cut(body, group, name))],
    read.across_shoulders: _over_shoulders,
    read.nape_to: _down_the_back,
    read.crotch_length: lambda body, anchor: [_along(body, read.crotch_cut(body, anchor))],
    read.front_waist: _front_waist,
    read.upper_arm_length: partial(_arm, hand=False),
    read.arm_length: _arm,
    read.nape_to_wrist: lambda body, side: [
        _along(body, read.over_skin_cut(body, "over_shoulders", f"nape_{side}")),
        *_arm(body, side),
    ],
    read.foot_length: _foot,
    read.crotch_height: lambda body: _height(body, {"crotch": 1.0}, read.CROTCH_PRESS),
    height_reading: _height,
    chain_reading: _chain,
    read.tape_extent: lambda body, group, direction: _across(body, tape_lines(body, group)[0].cut, direction),
    read.trunk_extent: lambda body, level, direction: _across(body, trunk_line(body, level).cut, direction),
    read.hand_breadth: _hand_breadth,
}
"""How each way of reading is drawn."""
