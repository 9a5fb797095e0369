"""The way of a strap over the standing body: pulled tight between the places that hold it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.body.levels import split_region
from layfigure.draft.over_cloth import spanned_body
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.polyline import arc_lengths, length
from layfigure.geometry.taut_line import Skin, TautLine, taut_line
from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]
Side = Literal["left", "right"]

SHARP = math.radians(60.0)
"""A strap that turns sideways more than this is cut there, and both ends hang in a ring."""

OUT = 0.7
"""Where a strap crosses the shoulder, as a share from the neck to the shoulder point. Nearer to the neck it
turns sideways by 40 degrees and more and slides inward; out here by 25 (our trial on the template)."""

NEAR = 6
LEVEL, ROUND = 60.0, 24
"""A loop that rises less than this holds itself all round [mm]: it is taken as held at so many places."""

BESIDE = 150.0
"""Of a strap, what rests on a shoulder or a hip, to either side of the place that holds it [mm]."""

_REACHES = {
    "torso": ("torso", "neck", "thigh_left", "thigh_right"),
    "neck": ("neck", "torso"),
    "head": ("head", "neck"),
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Held:
    """A place that holds a strap.

    name : what to call it. along : distance from the run's start [mm]. turn : sideways there, positive to
    the left seen from outside; wrap : over the body there, within 150 mm to either side [rad].
    """

    name: str
    along: float
    turn: float
    wrap: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StrapRun:
    """One strap from end to end.

    points, outward : (n, 3). gap : (n,) from the skin to its middle line [mm]. length : [mm].
    held : places between its ends that hold it. loop : its ends meet each other. rings : both its ends hang
    in a ring where it turns sharply.
    """

    name: str
    points: Points
    outward: Points
    gap: Points
    length: float
    held: tuple[Held, ...]
    loop: bool
    rings: bool


def skin_beside(form: Form, regions: Iterable[str], *, spanned: bool = False) -> Skin:
    """The part of the standing body that a strap over some regions can touch.

    spanned : with the trunk's hollows spanned by close cloth worn beneath.
    """
    return _skin_beside(form, frozenset(regions), spanned)


@lru_cache(maxsize=2)
def _skin_beside(form: Form, regions: frozenset[str], spanned: bool) -> Skin:
    beside: set[str] = set()
    for region in regions:
        definition, side = split_region(region)
        if side == "middle":
            beside.update(_REACHES[definition.name])
        else:
            limb = {"upper_arm", "forearm", "hand"}, {"thigh", "shank", "foot"}
            beside.update(f"{n}_{side}" for part in limb if definition.name in part for n in part)
            if definition.name in ("upper_arm", "thigh"):
                beside.add("torso")
    numbers = [k for k, name in enumerate(form.region_names) if name in beside]
    faces = form.standing.faces[np.isin(form.face_region, numbers)]
    body = spanned_body(form) if spanned else form.standing
    return Skin.of(TriangleMesh(body.vertices, faces))


def run_of_edge(name: str, placed: PlacedEdge, skin: Skin, clearance: float) -> StrapRun:
    """A strap along a placed edge. Its corners hold it, else only its ends, or the top and bottom of a loop;
    a level loop is held all round.

    clearance : from the skin to the strap's neutral line [mm].
    """
    line = placed.line
    closed, level = placed.edge.closed, False
    corners = [p for p, point in zip(placed.points, placed.edge.points, strict=True) if point.corner]
    if closed:
        level = len(corners) < 2 and float(np.ptp(line[:, 2])) < LEVEL
        ends = line[[int(np.argmax(line[:, 2])), int(np.argmin(line[:, 2]))]]
        places = np.array(corners if len(corners) >= 2 else ends)
        near = sorted({int(np.argmin(np.linalg.norm(line - place, axis=1))) for place in places})
        if level:
            line = _outside(line, clearance)
            near = np.searchsorted(arc_lengths(line), length(line) * np.arange(ROUND) / ROUND).tolist()
        line = np.roll(line[:-1] if np.allclose(line[0], line[-1]) else line, -near[0], axis=0)
        line = np.vstack([line, line[:1]])
        cuts = [k - near[0] for k in near] + [len(line) - 1]
    else:
        inner = {int(np.argmin(np.linalg.norm(line - place, axis=1))) for place in corners}
        cuts = sorted({0, len(line) - 1} | inner)
    parts = [line[a : b + 1] for a, b in pairwise(cuts)]
    names = [] if level else _names(line[cuts[:-1] if closed else cuts])
    return pulled_run(name, skin, parts, names, clearance=clearance, closed=closed, level=level)


def cross_body_run(name: str, form: Form, skin: Skin, over: Side, low: float, clearance: float) -> StrapRun:
    """Over one shoulder to the other side of the body and back.

    low : station on the torso of its lowest place.
    """
    marks, chart = form.landmarks, form.charts["torso"]
    neck, point = marks[f"neck_side_{over}"], marks[f"shoulder_point_{over}"]
    top = neck + OUT * (point - neck)
    across = 0.75 if over == "left" else 0.25
    side = chart.points([low], [across])[0]
    middle = 0.4 * low
    front, back = (chart.points([middle], [way])[0] for way in (0.0, 0.5))
    parts = [np.stack([top, front, side]), np.stack([side, back, top])]
    return pulled_run(name, skin, parts, ["shoulder", "hip"], clearance=clearance, closed=True)


def pulled_run(
    name: str,
    skin: Skin,
    parts: Sequence[Points],
    names: Sequence[str],
    *,
    clearance: float,
    closed: bool,
    level: bool = False,
) -> StrapRun:
    """Loose parts between holding places pulled tight and joined; a closed run begins at its sharpest turn,
    if that is sharp. level : a loop that holds itself all round; its face stands upright, it turns nowhere.
    """
    lines = [taut_line(skin, part, clearance=clearance) for part in parts]
    if level:
        lines = [replace(line, outward=_levelled(line.outward)) for line in lines]
    count = len(lines)
    held = []
    for k in range(0 if level else count if closed else count - 1):
        before, after = (lines[k - 1], lines[k]) if closed else (lines[k], lines[k + 1])
        held.append((names[k] if closed else names[k + 1], *_turn(before, after)))
    first = 0
    sharp = [k for k, (_, turn, _) in enumerate(held) if abs(turn) > SHARP]
    if closed and sharp:
        first = max(sharp, key=lambda k: abs(held[k][1]))
        lines, held = lines[first:] + lines[:first], held[first:] + held[:first]
    lengths = np.cumsum([line.length for line in lines])
    starts = np.concatenate([[0.0], lengths[:-1]]) if closed else lengths[:-1]
    joined = [
        np.concatenate([part if k == 0 else part[1:] for k, part in enumerate(parts_)])
        for parts_ in (
            [line.points for line in lines],
            [line.outward for line in lines],
            [line.gap for line in lines],
        )
    ]
    places = tuple(
        Held(name=n, along=float(at), turn=turn, wrap=wrap)
        for at, (n, turn, wrap) in zip(starts, held, strict=not level)
    )
    return StrapRun(
        name=name,
        points=joined[0],
        outward=joined[1],
        gap=joined[2],
        length=float(lengths[-1]),
        held=places[1:] if closed and sharp else places,
        loop=closed and not sharp,
        rings=closed and bool(sharp),
    )


def _outside(loop: Points, distance: float) -> Points:
    """A level loop moved outward, over the hollows that it spans too."""
    along = np.gradient(loop, axis=0)
    square = np.column_stack([along[:, 1], -along[:, 0], np.zeros(len(loop))])
    square /= np.maximum(np.linalg.norm(square, axis=1, keepdims=True), 1e-12)
    turns = float(np.sign(((loop - loop.mean(axis=0)) * square).sum()))
    moved: Points = loop + turns * distance * square
    return moved


def _levelled(outward: Points) -> Points:
    level = outward * (1.0, 1.0, 0.0)
    unit: Points = level / np.maximum(np.linalg.norm(level, axis=1, keepdims=True), 1e-12)
    return unit


def _turn(before: TautLine, after: TautLine) -> tuple[float, float]:
    """Sideways turn and wrap over the body where one line ends and the next begins [rad]."""
    # The mean over a hand's breadth: the skin's own normal jumps at every crease.
    normal = np.concatenate([before.outward[-NEAR:], after.outward[:NEAR]]).mean(axis=0)
    normal = normal / np.linalg.norm(normal)
    into, out = before.points[-1] - before.points[-2], after.points[1] - after.points[0]
    into, out = (v - (v @ normal) * normal for v in (into, out))
    turn = math.atan2(float(normal @ np.cross(into, out)), float(into @ out))
    far = [
        line.points[::step][
            min(len(line.points) - 1, int(np.searchsorted(arc_lengths(line.points[::step]), BESIDE)))
        ]
        for line, step in ((before, -1), (after, 1))
    ]
    here = after.points[0]
    a, b = here - far[0], far[1] - here
    bend = math.acos(float(np.clip(a @ b / (np.linalg.norm(a) * np.linalg.norm(b)), -1.0, 1.0)))
    return turn, bend


def _names(places: Points) -> list[str]:
    """Holding places called by height."""
    order = np.argsort(-places[:, 2])
    names = [f"place {k + 1}" for k in range(len(places))]
    names[int(order[0])], names[int(order[-1])] = "top", "bottom"
    return names
