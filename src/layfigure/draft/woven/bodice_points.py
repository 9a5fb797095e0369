"""Where the corners of a bodice lie on the eased trunk, for one side of the body."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.woven.eased_trunk import EasedTrunk, Spot
from layfigure.geometry.polyline import arc_lengths, points_at

Points = NDArray[np.float64]

NECK_DROP = {"front": 12.0, "back": 6.0}
"""How far below the pit of the neck and the nape a plain round neckline lies [mm] (common practice)."""
NECK_OUT = 0.08
"""How far out on the shoulder it starts, as a share of the shoulder (common practice)."""
ARMHOLE_MIDDLE = 0.42
"""Height of the narrowest place between the armholes, as a share from armpit to shoulder."""
ARMHOLE_IN = 8.0
"""How far inside the fold of the arm the armhole runs there [mm] (common practice)."""
LEAST_BESIDE = 40.0
"""Least of the waist edge between its first dart and the side seam [mm]: where a waist is much narrower than
the bust, a dart straight below the bust point would meet the seam."""
BLADE_OUT, BLADE_UP = 0.52, 10.0
"""The shoulder blade stands out at this share of the way out to the shoulder, this far above the armpit
[mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HalfPoints:
    """One quarter of a bodice: a front or a back half.

    tip : what darts are aimed at, bust point or shoulder blade. The others lie in order round it.
    dart_waists :
    where one dart, or a second one nearer to the side, meets the waist. waist_runs : (3,) lengths along the
    waist edge with its ease, centre to dart to second dart to side [mm]. bust_height : above the floor.
    """

    tip: Spot
    centre_neck: Spot
    neck: Spot
    shoulder: Spot
    armhole: Spot
    underarm: Spot
    side_waist: Spot
    dart_waists: tuple[Spot, Spot]
    centre_waist: Spot
    waist_runs: tuple[float, float, float]
    bust_height: float


def half_points(
    trunk: EasedTrunk,
    waist: Points,
    part: str,
    side: str,
    *,
    drop: float,
    waist_length: float,
    dart_in: float,
    back_room: float = 0.0,
) -> HalfPoints:
    """Corners of the ``front`` or ``back`` on one side.

    waist : (m, 3) the waist edge on the body, closed, from the centre front toward the wearer's left [mm].
    drop : of the armhole below the armpit. waist_length : of the whole waist edge when finished. dart_in
    : how much
    nearer to the centre than what it is aimed at a dart meets the waist, as a share. back_room : how much
    farther out the armhole of a back runs, for arms that reach forward.
    """
    form = trunk.form
    sign = 1.0 if side == "left" else -1.0
    is_front = part == "front"
    shoulder = trunk.landmark(f"shoulder_point_{side}")
    armpit = form.landmarks[f"armpit_{side}"]
    neck = neck_spot(trunk, side)
    centre_neck = centre_neck_spot(trunk, part)
    if is_front:
        # At its own height: skin by the bust point may slope, and the way out of it lead up or down.
        tip = trunk.near(form.landmarks[f"bust_point_{side}"], front=True)
    else:
        out = BLADE_OUT * float(shoulder.at[0])
        tip = trunk.near(np.array([out, 0.0, armpit[2] + BLADE_UP]), front=False)
    share = ARMHOLE_MIDDLE
    fold = (1.0 - share) * armpit + share * form.landmarks[f"shoulder_point_{side}"]
    armhole = trunk.near(fold - (sign * ARMHOLE_IN, 0.0, 0.0), front=is_front)
    if back_room and not is_front:
        # Farther out along the skin, which turns away to the side there.
        level = float(armhole.out[1] / np.hypot(armhole.out[0], armhole.out[1]))
        farther = np.array([sign * back_room * level, 0.0, 0.0])
        armhole = trunk.near(armhole.at + farther, front=False)
    underarm = side_spot(trunk, side, float(armpit[2]) - drop)
    ring = _Waist(trunk, waist, waist_length)
    at_dart = ring.share_at(tip.at[0] * (1.0 - dart_in), front=is_front)
    centre = 0.0 if is_front else 0.5
    at_side = 0.25 if side == "left" else 0.75
    if is_front and side == "right":
        centre = 1.0
    beside = max(abs(at_side - at_dart), LEAST_BESIDE / waist_length)
    at_dart = at_side + float(np.copysign(beside, centre - at_side))
    second = 0.5 * (at_dart + at_side)
    return HalfPoints(
        tip=tip,
        centre_neck=centre_neck,
        neck=neck,
        shoulder=shoulder,
        armhole=armhole,
        underarm=underarm,
        side_waist=ring.spot(at_side),
        dart_waists=(ring.spot(at_dart), ring.spot(second)),
        centre_waist=ring.spot(centre),
        waist_runs=(
            abs(at_dart - centre) * waist_length,
            abs(second - at_dart) * waist_length,
            abs(at_side - second) * waist_length,
        ),
        bust_height=float(np.mean([form.landmarks[f"bust_point_{s}"][2] for s in ("left", "right")])),
    )


def neck_spot(trunk: EasedTrunk, side: str) -> Spot:
    """Where the neckline meets the shoulder seam."""
    neck_side, shoulder = (trunk.landmark(f"{name}_{side}") for name in ("neck_side", "shoulder_point"))
    return Spot(neck_side.at + NECK_OUT * (shoulder.at - neck_side.at), neck_side.out)


def centre_neck_spot(trunk: EasedTrunk, part: str) -> Spot:
    """Where the neckline meets the centre line of the ``front`` or ``back``."""
    pit = trunk.form.landmarks["front_neck" if part == "front" else "nape"]
    return trunk.near(pit - (pit[0], 0.0, NECK_DROP[part]), front=part == "front")


def side_spot(trunk: EasedTrunk, side: str, height: float) -> Spot:
    """Where the side seam passes a height: a quarter of the tape line from the front."""
    chart = trunk.form.charts["torso"]
    station = float(np.interp(-height, -chart.height(chart.stations), chart.stations))
    at = chart.points([station], [0.25 if side == "left" else 0.75])[0]
    out = np.array([1.0 if side == "left" else -1.0, 0.0, 0.0])
    return Spot(at + trunk.room_at(height) * out, out)


class _Waist:
    """A waist edge read by share of its length from the centre front toward the wearer's left."""

    def __init__(self, trunk: EasedTrunk, line: Points, length: float) -> None:
        closed = line if np.allclose(line[0], line[-1]) else np.vstack([line, line[:1]])
        self.trunk, self.line, self.length = trunk, closed, length
        self.along = arc_lengths(closed)

    def spot(self, share: float) -> Spot:
        at = points_at(self.line, [share * self.along[-1]])[0]
        out = at - self.line.mean(axis=0)
        out[2] = 0.0
        out /= np.linalg.norm(out)
        return Spot(at + self.trunk.room_at(float(at[2])) * out, out)

    def share_at(self, x: float, *, front: bool) -> float:
        """Share of the way round at which the front or back of the edge is ``x`` to the wearer's left."""
        shares = self.along / self.along[-1]
        middle = float(self.line[:, 1].mean())
        own = (self.line[:, 1] < middle) == front
        own &= np.sign(self.line[:, 0]) == np.sign(x)
        rows = np.flatnonzero(own)
        return float(shares[rows[np.abs(self.line[rows, 0] - x).argmin()]])
