"""What bounds a flat bodice half: curves through its corners, darts between, or a princess seam over its
tip.

Every curve meets the seams at its ends squarely, so that sewn edges run on smoothly.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.woven.curve import Ends, curve_between, equally_long
from layfigure.geometry.polyline import length

Points = NDArray[np.float64]


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


def princess_runs(
    at: dict[str, Points], blade: Points | None = None
) -> tuple[list[Run], tuple[Points, Points], dict[str, Points]]:
    """Runs of a half parted over the tip, the seam on both panels, equally long at the tip and at its ends,
    and where corners lie on the panel at the side. blade : where the seam opens toward the shoulder, (2,), if
    it does so above the tip.
    """
    # Counter-clockwise, of the two ends of a wedge at the shoulder the first lies at the side.
    stops = [
        [foot, at["tip"], *([] if blade is None else [blade]), top]
        for foot, top in ((at["one_a"], at["shoulder_b"]), (at["one_b"], at["shoulder_a"]))
    ]
    parts = [equally_long(*pair) for pair in zip(*(_stretches(own) for own in stops), strict=True)]
    centre, side = (np.vstack([parts[0][k], *(part[k][1:] for part in parts[1:])]) for k in (0, 1))
    # The panel at the side is laid with its seam upright.
    chord = side[-1] - side[0]
    apart = {
        name: at[name] for name in ("one_b", "side_waist", "underarm", "armhole", "shoulder", "shoulder_a")
    }
    apart = {name: _upright(place - side[0], chord) for name, place in apart.items()}
    side = _upright(side - side[0], chord)
    down, up = armhole_curves(apart)
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
        ("neck", neck_curve(at)),
        ("centre", np.array([at["centre_neck"], at["centre_waist"]])),
    ]
    return runs, (centre, side), apart


def _stretches(stops: list[Points]) -> list[Ends]:
    """From stop to stop, with directions that run on at those between."""
    ways = [_unit(b - a) for a, b in itertools.pairwise(stops)]
    turns = [ways[0], *(a + b for a, b in itertools.pairwise(ways)), ways[-1]]
    return [(stops[k], turns[k], stops[k + 1], turns[k + 1]) for k in range(len(ways))]


def _unit(way: Points) -> Points:
    unit: Points = way / np.linalg.norm(way)
    return unit


def _upright(places: Points, chord: Points) -> Points:
    """Places turned so that a chord stands upright."""
    along = chord / np.linalg.norm(chord)
    turned: Points = places @ np.array([[along[1], along[0]], [-along[0], along[1]]])
    return turned


def waist_runs(at: dict[str, Points], sewn: dict[str, Dart]) -> list[Run]:
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


def straight_runs(
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


def armhole_curves(at: dict[str, Points]) -> tuple[Points, Points]:
    """The armhole from the underarm to its narrowest place and on to the shoulder, square to both seams."""
    inward = -_square(at["underarm"] - at["side_waist"])
    up = -_square(at["shoulder"] - at["shoulder_a"])
    rise = at["shoulder"] - at["underarm"]
    middle = np.array([0.0, 1.0]) + 0.15 * rise / np.linalg.norm(rise)
    lower = curve_between(at["underarm"], inward, at["armhole"], middle, 0.5, 0.5)
    upper = curve_between(at["armhole"], middle, at["shoulder"], up, 0.35, 0.35)
    return lower, upper


def neck_curve(at: dict[str, Points]) -> Points:
    """From the shoulder to the centre, square to both."""
    down = _square(at["shoulder_b"] - at["neck"])
    reach = at["centre_neck"] - at["neck"]
    chord = float(np.linalg.norm(reach))
    first, second = 0.55 * abs(float(reach[1])) / chord, 0.6 * abs(float(reach[0])) / chord
    return curve_between(at["neck"], down, at["centre_neck"], np.array([-1.0, 0.0]), first, second)
