"""One half of a bodice laid flat about the point its darts are aimed at.

Its corners lie where tapes on the eased body put them (``corner_tapes``); round the point they leave a
gap: what
the body's roundness takes, and so the darts. This is a surface cut where it is most curved and laid flat.
Seams
that two pieces share are the same tape, so mates are equal by construction.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.woven_parts.bodice_points import HalfPoints
from layfigure.draft.woven_parts.corner_tapes import CORNERS, CornerTapes, corner_tapes, flat_corners
from layfigure.draft.woven_parts.curve import curve_between, equally_long
from layfigure.draft.woven_parts.dart_plan import DartPlan, plan_darts
from layfigure.draft.woven_parts.eased_trunk import EasedTrunk
from layfigure.geometry.fan import fan_places
from layfigure.geometry.polyline import length

Points = NDArray[np.float64]

NO_DARTS = DartPlan(waist=(0.0, 0.0), side=0.0, shoulder=0.0, left_over=0.0)
TIP_SHORT = 20.0
"""A dart ends this far before the point it is aimed at [mm] (common practice, 15 to 30)."""
SECOND_SHORT = 0.45
"""A second dart to the waist ends this share of its length before that point."""
SIDE_SHARE, SHOULDER_SHARE = 0.35, 0.55
"""Where a side dart starts down the side seam, and a shoulder dart in from the armhole, as shares."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Dart:
    """A dart to be folded out. first, second : (2,) its ends, in the outline's order. tip : (2,) where it
    ends.

    toward_first : its fold is laid toward the first: waist and shoulder darts toward the centre, side
    darts down.
    """

    name: str
    first: Points
    second: Points
    tip: Points
    toward_first: bool


@dataclass(frozen=True, slots=True)
class Cut:
    """Where a princess seam parts a half in two: what follows lies on the other panel."""


Run = tuple[str, Points] | Dart | Cut


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HalfFlat:
    """A flat half, its centre line upright at x = 0 and its side at the right, the centre of its waist at
    y = 0.

    runs : what bounds it, counter-clockwise from there: names and curves (n, 2) [mm], and darts between
    them.
    Runs of one edge with darts between are numbered: ``waist_1``, ``waist_2``. tip : what darts are aimed
    at.
    gap : angle that the body's roundness takes out [rad]. darts : how it is shared out. armhole_notch :
    length
    up the armhole from the underarm to its narrowest place. corners : names and places.
    strain : greatest share by which a tape on the body differs from the flat cloth, edges and darts
    sewn. bust : breadth at the level of the bust, darts folded [mm]. princess : instead of darts, the
    seam over
    the tip from waist to shoulder, on the panel at the centre and on the one at the side, laid apart.
    """

    runs: tuple[Run, ...]
    gap: float
    darts: DartPlan
    armhole_notch: float
    corners: dict[str, Points]
    strain: float
    bust: float
    princess: tuple[Points, Points] | None = None

    def named(self, name: str) -> list[Points]:
        """Curves of an edge's runs in order."""
        runs = [run for run in self.runs if isinstance(run, tuple)]
        return [curve for own, curve in runs if own.rstrip("_0123456789") == name]

    def run_lengths(self, name: str) -> list[float]:
        """Length of every run of an edge [mm]."""
        return [length(curve) for curve in self.named(name)]

    def edge_length(self, name: str) -> float:
        """Length of an edge with its darts folded [mm]."""
        return sum(self.run_lengths(name))


def lay_half(trunk: EasedTrunk, points: HalfPoints, part: str, *, princess: bool = False) -> HalfFlat:
    """Lay the ``front`` or ``back`` half flat. princess : with a seam over the tip instead of darts."""
    tapes = corner_tapes(trunk, points)
    chords = np.array(points.waist_runs)
    start: Points | None = None
    # How far down the side seam the bust lies.
    drop = points.underarm.at[2] - points.bust_height
    down = float(np.clip(drop / (points.underarm.at[2] - points.side_waist.at[2]), 0.0, 1.0))
    for _ in range(4):
        start = flat_corners(tapes, chords, start)
        flat = _laid(start, tapes, part, down, princess=princess)
        # The waist edge is a little curved: its chords are shortened until the curves have the lengths.
        runs = flat.run_lengths("waist")
        wanted = _by_run(np.array(points.waist_runs), len(runs))
        chords *= np.repeat(wanted / np.array(runs), _sharing(len(runs)))
    return flat


def _sharing(runs: int) -> list[int]:
    """How many of the three stretches of a waist edge make each of its runs."""
    return {1: [3], 2: [1, 2], 3: [1, 1, 1]}[runs]


def _by_run(stretches: Points, runs: int) -> Points:
    ends = np.cumsum(_sharing(runs))
    sums: Points = np.array([part.sum() for part in np.split(stretches, ends[:-1])])
    return sums


def _laid(corners: Points, tapes: CornerTapes, part: str, down: float, *, princess: bool) -> HalfFlat:
    spokes = np.linalg.norm(corners, axis=1)
    bearing = np.unwrap(np.arctan2(corners[:, 1], corners[:, 0]))
    angles = np.diff(bearing)
    gap = float(2.0 * np.pi - angles.sum())
    darts = NO_DARTS if princess else plan_darts(gap, part)
    # What is not sewn as darts opens or closes the armhole, whose length nothing has to match yet.
    angles[CORNERS.index("underarm")] += darts.left_over
    fan = _Fan(list(CORNERS), spokes, angles)
    fan.open("two_a", "two_b", darts.waist[1])
    fan.divide("side_waist", "underarm", 1.0 - SIDE_SHARE, "side_a")
    fan.open("side_a", "side_b", darts.side)
    fan.divide("shoulder", "neck", SHOULDER_SHARE, "shoulder_a")
    fan.open("shoulder_a", "shoulder_b", darts.shoulder)
    at = fan.places("centre_waist", "centre_neck")
    mouths = (
        ("waist", "one", darts.waist[0], TIP_SHORT, True),
        ("waist_second", "two", darts.waist[1], SECOND_SHORT, True),
        ("side", "side", darts.side, TIP_SHORT, True),
        ("shoulder", "shoulder", darts.shoulder, TIP_SHORT, False),
    )
    sewn = {
        stem: Dart(
            name=name,
            first=at[f"{stem}_a"],
            second=at[f"{stem}_b"],
            tip=_short_of(at["tip"], 0.5 * (at[f"{stem}_a"] + at[f"{stem}_b"]), short),
            toward_first=first,
        )
        for name, stem, angle, short, first in mouths
        if angle > 0.0
    }
    seam = None
    if princess:
        runs, seam = _princess_runs(at)
    else:
        lower, upper = _armhole(at)
        runs = [
            *_waist(at, sewn),
            *_straight("side", at, ("side_waist", "side_a", "side_b", "underarm"), sewn.get("side")),
            ("armhole", np.vstack([lower, upper[1:]])),
            *_straight(
                "shoulder", at, ("shoulder", "shoulder_a", "shoulder_b", "neck"), sewn.get("shoulder")
            ),
            ("neck", _neck(at)),
            ("centre", np.array([at["centre_neck"], at["centre_waist"]])),
        ]
    return HalfFlat(
        runs=tuple(runs),
        gap=gap,
        darts=darts,
        armhole_notch=length(_armhole(at)[0]),
        corners=at,
        strain=tapes.strain(corners),
        bust=_breadth_at_bust(at, part, down),
        princess=seam,
    )


class _Fan:
    """Spokes by name, counter-clockwise, with the angle from each to the next."""

    def __init__(self, names: list[str], spokes: Points, angles: Points) -> None:
        self.names, self.spokes, self.angles = list(names), list(spokes), list(angles)

    def open(self, name: str, twin: str, angle: float) -> None:
        """Put a second spoke like one behind it, an angle further on."""
        k = self.names.index(name)
        self.names.insert(k + 1, twin)
        self.spokes.insert(k + 1, self.spokes[k])
        self.angles.insert(k, angle)

    def divide(self, first: str, second: str, share: float, name: str) -> None:
        """Put a spoke between two neighbours, to a place at a share of the straight rim between them."""
        k = self.names.index(first)
        r, s, angle = self.spokes[k], self.spokes[self.names.index(second)], self.angles[k]
        place = (1.0 - share) * np.array([r, 0.0]) + share * s * np.array([np.cos(angle), np.sin(angle)])
        turn = float(np.arctan2(place[1], place[0]))
        self.names.insert(k + 1, name)
        self.spokes.insert(k + 1, float(np.hypot(*place)))
        self.angles[k : k + 1] = [turn, angle - turn]

    def places(self, origin: str, above: str) -> dict[str, Points]:
        """Every place, with one at the origin and another straight above it; the tip as ``tip``."""
        places = fan_places(np.array(self.spokes), np.array(self.angles))
        at = dict(zip(self.names, places, strict=True)) | {"tip": np.zeros(2)}
        up = at[above] - at[origin]
        turn = np.array([[up[1], -up[0]], [up[0], up[1]]]) / np.linalg.norm(up)
        return {name: turn @ (place - at[origin]) for name, place in at.items()}


def _breadth_at_bust(at: dict[str, Points], part: str, down: float) -> float:
    """From the centre line to the side seam at the level of the bust, darts folded [mm]."""
    if part == "front":
        # Through the tip, level to the centre and square to the side seam above its dart.
        seam = at["underarm"] - at["side_b"]
        off = at["underarm"] - at["tip"]
        return float(at["tip"][0] + abs(seam[0] * off[1] - seam[1] * off[0]) / np.linalg.norm(seam))
    level = at["underarm"][1] + down * (at["side_waist"][1] - at["underarm"][1])
    share = float(np.clip((level - at["one_a"][1]) / (at["tip"][1] - at["one_a"][1]), 0.0, 1.0))
    near, far = (leg + share * (at["tip"] - leg) for leg in (at["one_a"], at["one_b"]))
    side = at["underarm"] + down * (at["side_waist"] - at["underarm"])
    return float(near[0] + np.linalg.norm(side - far))


def _short_of(tip: Points, mouth: Points, short: float) -> Points:
    """The end of a dart that is aimed at ``tip``: short of it by a length [mm], or by a share below 1."""
    way = mouth - tip
    reach = float(np.linalg.norm(way))
    end: Points = tip + way * (short if short < 1.0 else min(short / reach, 0.4))
    return end


def _princess_runs(at: dict[str, Points]) -> tuple[list[Run], tuple[Points, Points]]:
    """Runs of a half parted over the tip, and the seam on both panels, equally long at the tip and at its
    ends.
    """
    feet, tops = (at["one_a"], at["one_b"]), (at["shoulder_a"], at["shoulder_b"])
    lower, upper = [], []
    for foot, top in zip(feet, tops, strict=True):
        over = _unit(at["tip"] - foot) + _unit(top - at["tip"])
        lower.append((foot, at["tip"] - foot, at["tip"], over))
        upper.append((at["tip"], over, top, top - at["tip"]))
    halves = [equally_long(*lower), equally_long(*upper)]
    centre, side = (np.vstack([halves[0][k], halves[1][k][1:]]) for k in (0, 1))
    # The panel at the side is laid with its seam upright.
    chord = side[-1] - side[0]
    apart = {
        name: at[name] for name in ("one_b", "side_waist", "underarm", "armhole", "shoulder", "shoulder_a")
    }
    apart = {name: _upright(place - side[0], chord) for name, place in apart.items()}
    side = _upright(side - side[0], chord)
    down, up = _armhole(apart)
    outward = _square(side[1] - side[0])
    waist_1 = curve_between(
        at["centre_waist"], np.array([1.0, 0.0]), at["one_a"], _square(centre[1] - centre[0]), 0.35, 0.35
    )
    square_side = _square(apart["underarm"] - apart["side_waist"])
    waist_2 = curve_between(apart["one_b"], outward, apart["side_waist"], square_side, 0.35, 0.35)
    runs: list[Run] = [
        ("waist_1", waist_1),
        Cut(),
        ("waist_2", waist_2),
        ("side", np.array([apart["side_waist"], apart["underarm"]])),
        ("armhole", np.vstack([down, up[1:]])),
        ("shoulder_1", np.array([apart["shoulder"], side[-1]])),
        Cut(),
        ("shoulder_2", np.array([centre[-1], at["neck"]])),
        ("neck", _neck(at)),
        ("centre", np.array([at["centre_neck"], at["centre_waist"]])),
    ]
    return runs, (centre, side)


def _unit(way: Points) -> Points:
    unit: Points = way / np.linalg.norm(way)
    return unit


def _upright(places: Points, chord: Points) -> Points:
    """Places turned so that a chord stands upright."""
    along = chord / np.linalg.norm(chord)
    turned: Points = places @ np.array([[along[1], along[0]], [-along[0], along[1]]])
    return turned


def _waist(at: dict[str, Points], sewn: dict[str, Dart]) -> list[Run]:
    """Runs of the waist edge and the darts between: square to the centre, to the side and to every dart."""
    side = at["underarm"] - at["side_waist"]
    darts = [sewn[stem] for stem in ("one", "two") if stem in sewn]
    stops: list[tuple[Points, Points, Points, Points]] = []
    start, leaving = at["centre_waist"], np.array([1.0, 0.0])
    for dart in darts:
        stops.append((start, leaving, dart.first, _square(dart.tip - dart.first)))
        start, leaving = dart.second, _square(dart.tip - dart.second)
    stops.append((start, leaving, at["side_waist"], _square(side)))
    runs: list[Run] = []
    for k, stop in enumerate(stops):
        runs.append((f"waist_{k + 1}" if darts else "waist", curve_between(*stop, 0.35, 0.35)))
        if k < len(darts):
            runs.append(darts[k])
    return runs


def _square(upward: Points) -> Points:
    """To the right of a direction, (2,)."""
    return np.array([upward[1], -upward[0]])


def _straight(
    name: str, at: dict[str, Points], corners: tuple[str, str, str, str], dart: Dart | None
) -> list[Run]:
    """A straight seam, or its two runs beside a dart, bent a little so that it is straight when the dart
    is sewn.

    A dart that ends short of the point it is aimed at turns by more than it opens.
    """
    first, mouth, again, last = (at[corner] for corner in corners)
    if dart is None:
        return [(name, np.array([first, last]))]
    before, after = mouth - first, last - again
    sewn = _turn_between(dart.second - dart.tip, dart.first - dart.tip)
    bend = 0.5 * (_turn_between(after, before) - sewn)
    one = _kept(curve_between(first, before, mouth, _turned(before, -bend), 0.35, 0.35))
    two = _kept(curve_between(last, -after, again, -_turned(after, bend), 0.35, 0.35))[::-1]
    dart = replace(dart, first=one[-1], second=two[0])
    return [(f"{name}_1", one), dart, (f"{name}_2", two)]


def _turn_between(start: Points, end: Points) -> float:
    """Angle from one direction to another [rad]."""
    return float(np.arctan2(start[0] * end[1] - start[1] * end[0], start @ end))


def _turned(way: Points, angle: float) -> Points:
    c, s = np.cos(angle), np.sin(angle)
    return np.array([c * way[0] - s * way[1], s * way[0] + c * way[1]])


def _kept(curve: Points) -> Points:
    """A bent curve drawn in toward its start until it is as long as it was straight."""
    straight = float(np.linalg.norm(curve[-1] - curve[0]))
    drawn: Points = curve[0] + (curve - curve[0]) * (straight / length(curve))
    return drawn


def _armhole(at: dict[str, Points]) -> tuple[Points, Points]:
    """The armhole from the underarm to its narrowest place and on to the shoulder, square to both seams."""
    inward = -_square(at["underarm"] - at["side_waist"])
    up = -_square(at["shoulder"] - at["shoulder_a"])
    rise = at["shoulder"] - at["underarm"]
    middle = np.array([0.0, 1.0]) + 0.15 * rise / np.linalg.norm(rise)
    lower = curve_between(at["underarm"], inward, at["armhole"], middle, 0.5, 0.5)
    upper = curve_between(at["armhole"], middle, at["shoulder"], up, 0.35, 0.35)
    return lower, upper


def _neck(at: dict[str, Points]) -> Points:
    """From the shoulder to the centre, square to both."""
    down = _square(at["shoulder_b"] - at["neck"])
    reach = at["centre_neck"] - at["neck"]
    chord = float(np.linalg.norm(reach))
    first, second = 0.55 * abs(float(reach[1])) / chord, 0.6 * abs(float(reach[0])) / chord
    return curve_between(at["neck"], down, at["centre_neck"], np.array([-1.0, 0.0]), first, second)
