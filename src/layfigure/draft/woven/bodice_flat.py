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

from layfigure.draft.woven.bodice_points import HalfPoints
from layfigure.draft.woven.corner_fit import CORNERS
from layfigure.draft.woven.corner_tapes import (
    NO_CLOTH,
    CornerTapes,
    FlatCorners,
    corner_tapes,
    flat_corners,
    solved,
    wedge_end,
)
from layfigure.draft.woven.dart_plan import DartPlan, plan_darts
from layfigure.draft.woven.eased_trunk import EasedTrunk
from layfigure.draft.woven.half_outline import (
    Dart,
    Run,
    armhole_curves,
    neck_curve,
    princess_runs,
    straight_runs,
    waist_runs,
)
from layfigure.draft.woven.spoke_fan import SpokeFan
from layfigure.geometry.polyline import arc_lengths, length

Points = NDArray[np.float64]

MOST_ROUNDS = 12
WAIST_MET = 1e-4
"""Runs of the waist edge are brought so near to their lengths [mm]."""

NO_DARTS = DartPlan(waist=(0.0, 0.0), side=0.0, shoulder=0.0, left_over=0.0)
TIP_SHORT = 20.0
"""A dart ends this far before the point it is aimed at [mm] (common practice, 15 to 30)."""
SECOND_SHORT = 0.45
"""A second dart to the waist ends this share of its length before that point."""
LEAST_UP = 0.04
"""A level this near to the waist edge, as a share of the side, is the waist edge."""
LEAST_DART = 8.0
"""Less than this at the shoulder of a back is eased in, not sewn as a dart [mm] (common practice)."""
SIDE_SHARE, SHOULDER_SHARE = 0.35, 0.55
"""Where a side dart starts down the side seam, and a shoulder dart in from the armhole, as shares."""


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
    laid : its corners before darts were opened. misses : by what share the flat cloth
    differs from every tape on the body, edges and darts sewn.
    shoulder_eased : how much longer the shoulder of a back is than that of a front, worked in when
    sewn [mm]. bust : breadth at the level of the bust, darts folded [mm]. princess : instead of darts, the
    seam over
    the tip from waist to shoulder, on the panel at the centre and on the one at the side, laid apart.
    side_corners : of that panel. levels : bust, and waist and hips above the waist edge, by name as shares up
    the side from the waist edge to the underarm. abreast : height on the centre line of the place that is
    level with the tip on the body [mm].
    """

    runs: tuple[Run, ...]
    gap: float
    darts: DartPlan
    armhole_notch: float
    corners: dict[str, Points]
    laid: FlatCorners
    misses: dict[str, float]
    shoulder_eased: float
    bust: float
    princess: tuple[Points, Points] | None = None
    side_corners: dict[str, Points] | None = None
    levels: tuple[tuple[str, float], ...] = ()
    abreast: float = 0.0

    def named(self, name: str) -> list[Points]:
        """Curves of an edge's runs in order."""
        runs = [run for run in self.runs if isinstance(run, tuple)]
        return [curve for own, curve in runs if own.rstrip("_0123456789") == name]

    def run_lengths(self, name: str) -> list[float]:
        """Length of every run of an edge [mm]."""
        return [length(curve) for curve in self.named(name)]

    @property
    def worst_tape(self) -> str:
        """The tape that the cloth below it differs from most."""
        over_cloth = [name for name in self.misses if name != " to ".join(NO_CLOTH)]
        return max(over_cloth, key=lambda name: abs(self.misses[name]))

    @property
    def strain(self) -> float:
        """Greatest share by which cloth differs from a tape over it."""
        return abs(self.misses[self.worst_tape])

    def edge_length(self, name: str) -> float:
        """Length of an edge with its darts folded [mm]."""
        return sum(self.run_lengths(name))


def lay_half(
    trunk: EasedTrunk,
    points: HalfPoints,
    part: str,
    *,
    princess: bool = False,
    like: HalfFlat | None = None,
) -> HalfFlat:
    """Lay the ``front`` or ``back`` half flat. princess : with a seam over the tip instead of darts. like :
    one laid before that is nearly the same, to begin with.
    """
    tapes = corner_tapes(trunk, points)
    chords = np.array(points.waist_runs)
    start = None if like is None else like.laid
    # How far down the side seam the bust lies.
    drop = points.underarm.at[2] - points.bust_height
    down = float(np.clip(drop / (points.underarm.at[2] - points.side_waist.at[2]), 0.0, 1.0))
    laid = flat_corners(tapes, chords, part, start)
    darts = _darts(laid.gap, part, points.waist_runs[1], princess=princess)
    gap = None
    if darts.left_over:
        # What no dart takes is left to the cloth all round, as little to each tape as can be.
        gap = laid.gap - darts.left_over
        laid = flat_corners(tapes, chords, part, laid, gap=gap)
    for _ in range(MOST_ROUNDS):
        darts = _darts(laid.gap, part, points.waist_runs[1], princess=princess)
        flat = _laid(laid, tapes, part, down, darts, princess=princess)
        # The waist edge is a little curved: its chords are shortened until the curves have the lengths.
        runs = flat.run_lengths("waist")
        wanted = _by_run(np.array(points.waist_runs), len(runs))
        if float(np.abs(wanted - runs).max()) < WAIST_MET:
            break
        chords *= np.repeat(wanted / np.array(runs), _sharing(len(runs)))
        laid = solved(tapes, chords, laid, wedge=laid.wedge if laid.held else None, gap=gap)
    return replace(
        flat,
        levels=(("bust", 1.0 - down), *_levels_inside(trunk, points)),
        abreast=flat.edge_length("centre") * _up_the_centre(trunk, points),
    )


def _up_the_centre(trunk: EasedTrunk, points: HalfPoints) -> float:
    """Share of the centre line, from the waist up, at which it is level with the tip."""
    up = trunk.way(points.centre_waist, points.centre_neck)
    return float(np.interp(points.tip.at[2], up[:, 2], arc_lengths(up))) / length(up)


def _levels_inside(trunk: EasedTrunk, points: HalfPoints) -> list[tuple[str, float]]:
    """Waist and hips where they lie above the waist edge."""
    low, high = float(points.side_waist.at[2]), float(points.underarm.at[2])
    shares = {name: (trunk.form.level_heights[name] - low) / (high - low) for name in ("waist", "hip")}
    return [(name, share) for name, share in shares.items() if LEAST_UP < share < 1.0]


def _sharing(runs: int) -> list[int]:
    """How many of the three stretches of a waist edge make each of its runs."""
    return {1: [3], 2: [1, 2], 3: [1, 1, 1]}[runs]


def _by_run(stretches: Points, runs: int) -> Points:
    ends = np.cumsum(_sharing(runs))
    sums: Points = np.array([part.sum() for part in np.split(stretches, ends[:-1])])
    return sums


def _darts(gap: float, part: str, between: float, *, princess: bool) -> DartPlan:
    """How a gap is shared out. between : cloth between two darts to the waist [mm]."""
    if princess:
        return replace(NO_DARTS, left_over=min(gap, 0.0))
    return plan_darts(gap, part, between=between)


def _laid(
    laid: FlatCorners, tapes: CornerTapes, part: str, down: float, darts: DartPlan, *, princess: bool
) -> HalfFlat:
    corners = laid.places
    spokes = np.linalg.norm(corners, axis=1)
    angles = np.diff(np.unwrap(np.arctan2(corners[:, 1], corners[:, 0])))
    fan = SpokeFan(list(CORNERS), spokes, angles)
    fan.open("two_a", "two_b", darts.waist[1])
    fan.divide("side_waist", "underarm", 1.0 - SIDE_SHARE, "side_a")
    fan.open("side_a", "side_b", darts.side)
    fan.divide("shoulder", "neck", SHOULDER_SHARE, "shoulder_a")
    fan.open("shoulder_a", "shoulder_b", darts.shoulder)
    at = fan.places("centre_waist", "centre_neck")
    blade, shoulder_eased = _wedge(at, laid.wedge, princess=princess) if laid.wedge else (None, 0.0)
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
    if blade is not None:
        sewn["shoulder"] = Dart(
            name="shoulder", first=at["shoulder_a"], second=at["shoulder_b"], tip=blade, toward_first=False
        )
    seam = apart = None
    if princess:
        runs, seam, apart = princess_runs(at, blade)
    else:
        lower, upper = armhole_curves(at)
        runs = [
            *waist_runs(at, sewn),
            *straight_runs("side", at, ("side_waist", "side_a", "side_b", "underarm"), sewn.get("side")),
            ("armhole", np.vstack([lower, upper[1:]])),
            *straight_runs(
                "shoulder", at, ("shoulder", "shoulder_a", "shoulder_b", "neck"), sewn.get("shoulder")
            ),
            ("neck", neck_curve(at)),
            ("centre", np.array([at["centre_neck"], at["centre_waist"]])),
        ]
    return HalfFlat(
        runs=tuple(runs),
        gap=laid.gap,
        darts=darts,
        armhole_notch=length(armhole_curves(at)[0]),
        corners=at,
        laid=laid,
        misses=tapes.by_name(tapes.misses(corners, laid.wedge)),
        shoulder_eased=shoulder_eased,
        bust=_breadth_at_bust(at, part, down),
        princess=seam,
        side_corners=apart,
    )


def _wedge(at: dict[str, Points], angle: float, *, princess: bool) -> tuple[Points | None, float]:
    """Where the dart ends that takes up the wedge of a shoulder, and how much of the seam is eased in instead
    [mm]. Puts the two ends of the wedge into ``at``.
    """
    end = wedge_end(at)
    c, s = np.cos(angle), np.sin(angle)
    shut = np.array([[c, s], [-s, c]])
    neck = shut @ (at["neck"] - end) + end
    mouth = at["shoulder"] + SHOULDER_SHARE * (neck - at["shoulder"])
    open_mouth = shut.T @ (mouth - end) + end
    if not princess and float(np.linalg.norm(open_mouth - mouth)) < LEAST_DART:
        whole = float(np.linalg.norm(at["neck"] - at["shoulder"]))
        return None, whole - float(np.linalg.norm(neck - at["shoulder"]))
    at["shoulder_a"], at["shoulder_b"] = mouth, open_mouth
    return end, 0.0


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
