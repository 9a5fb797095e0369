"""Tapes between the corners of a bodice half, and the flat places that agree with them best.

Tapes along edges that are sewn to another piece, and the two legs of a dart, are kept to the last
micrometre; those across the half are met as well as cloth can. A back is round once
more above the blade, which no dart to the waist takes up: its shoulder opens by a wedge down to a place above
the blade, sewn as a dart or eased in. How far the worst tape is off is the strain that wearing it would
ask of the cloth.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.woven.bodice_points import HalfPoints
from layfigure.draft.woven.corner_fit import CORNERS, TIP, WEDGE_DOWN, Pairs, nearest
from layfigure.draft.woven.eased_trunk import EasedTrunk
from layfigure.geometry.fan import fan_angles, fan_places

Points = NDArray[np.float64]

SEWN = (("side_waist", "underarm"), ("shoulder", "neck"), ("centre_neck", "centre_waist"))
ACROSS = (
    ("underarm", "armhole"),
    ("armhole", "shoulder"),
    ("neck", "centre_neck"),
    ("centre_neck", "shoulder"),
    ("centre_neck", "armhole"),
    ("neck", "armhole"),
    ("side_waist", "armhole"),
)
_WAIST = np.array(
    [
        [CORNERS.index(a), CORNERS.index(b)]
        for a, b in (("centre_waist", "one_a"), ("one_b", "two_a"), ("two_a", "side_waist"))
    ]
)
_LEGS = [CORNERS.index(name) for name in ("one_a", "one_b")]
NO_CLOTH = ("underarm", "armhole")
COUNTS_LESS = 0.2
"""Weight of the tape that no cloth lies below, since an armhole curves inward there, beside the others."""
OVER_WEDGE = (
    ("shoulder", "neck"),
    ("centre_neck", "shoulder"),
    ("centre_neck", "armhole"),
    ("neck", "armhole"),
)
"""Tapes that pass over the wedge from the shoulder: they are as long as they lie when it is closed."""
MOST_WEDGE = 17.0
"""Most that the shoulder of a back is longer than that of a front [mm] (common practice: a dart of 10 to 20,
or 6 to 13 eased in)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CornerTapes:
    """Pairs of corners and the tapes between them.

    spokes : (10,) from the tip to every corner [mm]. pairs : (m, 2) into ``CORNERS``. lengths : (m,) [mm].
    firm : (m,) kept exactly.
    """

    spokes: Points
    pairs: NDArray[np.int64]
    lengths: Points
    firm: NDArray[np.bool_]

    def misses(self, corners: Points, wedge: float = 0.0) -> Points:
        """Shares by which flat corners, (10, 2) about the tip, miss the spokes, then the pairs, (10 + m,)."""
        pairs = Pairs(self.pairs, self.lengths, self.over_wedge, np.ones(len(self.pairs)))
        spokes = np.linalg.norm(corners, axis=1)
        state = np.append(corners.ravel(), wedge)
        misses: Points = np.concatenate([spokes / self.spokes - 1.0, pairs.misses(state)])
        return misses

    def by_name(self, misses: Points) -> dict[str, float]:
        """Misses under the names of the corners that their tapes join."""
        names = [f"tip to {name}" for name in CORNERS]
        names += [f"{CORNERS[a]} to {CORNERS[b]}" for a, b in self.pairs]
        return dict(zip(names, misses.tolist(), strict=True))

    @property
    def over_wedge(self) -> NDArray[np.bool_]:
        """(m,) which pairs pass over the wedge."""
        return np.array([(CORNERS[a], CORNERS[b]) in OVER_WEDGE for a, b in self.pairs])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatCorners:
    """Where corners lie flat.

    places : (10, 2) about the tip [mm]. wedge : angle by which the shoulder is open there [rad]. held : it
    was given, where the tapes alone would have another one.
    """

    places: Points
    wedge: float = 0.0
    held: bool = False

    @property
    def gap(self) -> float:
        """Angle that the body's roundness takes out about the tip [rad]."""
        bearing = np.unwrap(np.arctan2(self.places[:, 1], self.places[:, 0]))
        return float(2.0 * np.pi - (bearing[-1] - bearing[0]))


def corner_tapes(trunk: EasedTrunk, points: HalfPoints) -> CornerTapes:
    """Lay every tape of a half on the eased body."""
    one, two = points.dart_waists
    spots = {"one_a": one, "one_b": one, "two_a": two} | {
        name: getattr(points, name) for name in CORNERS if name not in ("one_a", "one_b", "two_a")
    }
    pairs = [*SEWN, *ACROSS]
    return CornerTapes(
        spokes=np.array([trunk.over(points.tip, spots[name]) for name in CORNERS]),
        pairs=np.array([[CORNERS.index(name) for name in pair] for pair in pairs]),
        lengths=np.array([trunk.over(spots[a], spots[b]) for a, b in pairs]),
        firm=np.arange(len(pairs)) < len(SEWN),
    )


def flat_corners(
    tapes: CornerTapes, waist: Points, part: str, start: FlatCorners | None, *, gap: float | None = None
) -> FlatCorners:
    """Flat places of the corners about the tip.

    waist : (3,) straight lengths along the waist edge, centre to dart to second dart to side [mm]. part :
    ``front``, or ``back``, whose shoulder may have a wedge. start : places to begin with, or None. gap :
    angle that darts will take about the tip [rad]; None for what the tapes would have.
    """
    first = FlatCorners(places=_from_tapes(tapes, waist)) if start is None else start
    if part == "front":
        return solved(tapes, waist, first, wedge=0.0, gap=gap)
    found = solved(tapes, waist, first, wedge=None, gap=gap)
    most = _wedge_of(found.places, MOST_WEDGE)
    if 0.0 <= found.wedge <= most:
        return found
    return solved(tapes, waist, first, wedge=float(np.clip(found.wedge, 0.0, most)), gap=gap)


def wedge_end(places: Mapping[str, Points]) -> Points:
    """Where the wedge of a shoulder ends, from flat corners and ``tip`` by name, (2,)."""
    middle = 0.5 * (places["shoulder"] + places["neck"])
    end: Points = places["tip"] + WEDGE_DOWN * (middle - places["tip"])
    return end


def _wedge_of(corners: Points, mouth: float) -> float:
    """Angle of a wedge so wide at the shoulder seam [rad]."""
    by_name = dict(zip(CORNERS, corners, strict=True)) | {"tip": np.zeros(2)}
    deep = float(np.linalg.norm(0.5 * (by_name["shoulder"] + by_name["neck"]) - wedge_end(by_name)))
    return float(2.0 * np.arcsin(min(0.5 * mouth / deep, 1.0)))


def _row(tapes: CornerTapes, pair: tuple[str, str]) -> int:
    wanted = [CORNERS.index(name) for name in pair]
    return int(np.flatnonzero((tapes.pairs == wanted).all(axis=1))[0])


def _from_tapes(tapes: CornerTapes, waist: Points) -> Points:
    """A fan of the spokes and the tapes between neighbours, (10, 2) [mm]."""
    pairs, lengths = np.vstack([tapes.pairs, _WAIST]), np.concatenate([tapes.lengths, waist])
    rims = np.zeros(len(CORNERS) - 1)
    neighbours = np.abs(pairs[:, 0] - pairs[:, 1]) == 1
    rims[pairs[neighbours].min(axis=1)] = lengths[neighbours]
    return fan_places(tapes.spokes, fan_angles(tapes.spokes, rims))


def solved(
    tapes: CornerTapes, waist: Points, start: FlatCorners, *, wedge: float | None, gap: float | None
) -> FlatCorners:
    """Corners that meet what is kept and lie as near to the rest as they can.

    wedge : of the shoulder, gap : about the tip, or None where they are free [rad].
    """
    spokes = np.array([[k, TIP] for k in range(len(CORNERS))])
    ends = np.vstack([tapes.pairs, _WAIST, spokes])
    wanted = np.concatenate([tapes.lengths, waist, tapes.spokes])
    kept = np.concatenate([tapes.firm, [True, True, True], np.isin(np.arange(len(CORNERS)), _LEGS)])
    weight = np.ones(len(ends))
    weight[_row(tapes, NO_CLOTH)] = COUNTS_LESS
    over = np.concatenate([tapes.over_wedge, np.zeros(len(ends) - len(tapes.pairs), dtype=np.bool_)])
    soft = Pairs(ends[~kept], wanted[~kept], over[~kept], weight[~kept])
    firm = Pairs(ends[kept], wanted[kept], over[kept], weight[kept], gap)
    state = np.append(start.places.ravel(), start.wedge if wedge is None else wedge)
    free = np.arange(len(state)) < len(state) - (wedge is not None)
    state = nearest(soft, firm, state, free)
    return FlatCorners(places=state[:-1].reshape(-1, 2), wedge=float(state[-1]), held=wedge is not None)
