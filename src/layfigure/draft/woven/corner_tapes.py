"""Tapes between the corners of a bodice half, and the flat places that agree with them best.

Tapes along edges that are sewn to another piece, and the two legs of a dart, are kept to the last
micrometre; those
across the half are met as well as cloth can. How far the worst of them is off is the strain that wearing
it would
ask of the cloth.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import null_space

from layfigure.draft.woven.bodice_points import HalfPoints
from layfigure.draft.woven.eased_trunk import EasedTrunk
from layfigure.geometry.fan import fan_angles, fan_places

Points = NDArray[np.float64]

CORNERS = (
    "one_b",
    "two_a",
    "side_waist",
    "underarm",
    "armhole",
    "shoulder",
    "neck",
    "centre_neck",
    "centre_waist",
    "one_a",
)
"""Counter-clockwise about the tip, from one leg of the first waist dart to the other."""

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
HALVINGS = 12
TIP = len(CORNERS)
"""The tip is one more corner, at the origin."""
STEPS = 60
"""Most Gauss-Newton steps; four or five are usual."""
SETTLED = 1e-7
"""Corners that move less in a step stay where they are [mm]."""
EXACT = 1e-11
"""Share by which a tape that is kept may be missed."""


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

    def strain(self, corners: Points) -> float:
        """Greatest share by which flat corners, (10, 2) about the tip, miss a tape."""
        return float(np.abs(self.misses(corners)).max())

    def misses(self, corners: Points) -> Points:
        """Shares by which flat corners miss the spokes, then the pairs, (10 + m,)."""
        flat = np.linalg.norm(corners[self.pairs[:, 0]] - corners[self.pairs[:, 1]], axis=1)
        spokes = np.linalg.norm(corners, axis=1)
        misses: Points = np.concatenate([spokes / self.spokes - 1.0, flat / self.lengths - 1.0])
        return misses


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


def flat_corners(tapes: CornerTapes, waist: Points, start: Points | None) -> Points:
    """Flat places of the corners about the tip, (10, 2) [mm].

    waist : (3,) straight lengths along the waist edge, centre to dart to second dart to side. start :
    places to
    begin with, or None.
    """
    pairs = np.vstack([tapes.pairs, _WAIST])
    lengths = np.concatenate([tapes.lengths, waist])
    firm = np.concatenate([tapes.firm, [True, True, True]])
    if start is None:
        rims = np.zeros(len(CORNERS) - 1)
        neighbours = np.abs(pairs[:, 0] - pairs[:, 1]) == 1
        rims[pairs[neighbours].min(axis=1)] = lengths[neighbours]
        start = fan_places(tapes.spokes, fan_angles(tapes.spokes, rims))
    ends = np.vstack([pairs, [[k, TIP] for k in range(len(CORNERS))]])
    wanted = np.concatenate([lengths, tapes.spokes])
    kept = np.concatenate([firm, np.isin(np.arange(len(CORNERS)), _LEGS)])
    return _eased(_Pairs(ends[~kept], wanted[~kept]), _Pairs(ends[kept], wanted[kept]), start)


@dataclass(frozen=True, slots=True, eq=False)
class _Pairs:
    """Places, the tip the last of them, that should lie apart by lengths: ends (m, 2), wanted (m,) [mm]."""

    ends: NDArray[np.int64]
    wanted: Points

    def misses(self, corners: Points) -> Points:
        """Shares by which corners, (10, 2), miss the lengths, (m,)."""
        apart: Points = np.linalg.norm(self._apart(corners), axis=1) / self.wanted - 1.0
        return apart

    def slopes(self, corners: Points) -> Points:
        """How misses grow as corners move, (m, 20)."""
        apart, rows = self._apart(corners), np.arange(len(self.ends))
        each = apart / (np.linalg.norm(apart, axis=1) * self.wanted)[:, None]
        slopes = np.zeros((len(rows), TIP + 1, 2))
        slopes[rows, self.ends[:, 0]], slopes[rows, self.ends[:, 1]] = each, -each
        return slopes[:, :TIP].reshape(len(rows), -1)

    def _apart(self, corners: Points) -> Points:
        places = np.vstack([corners, np.zeros((1, 2))])
        apart: Points = places[self.ends[:, 0]] - places[self.ends[:, 1]]
        return apart


def _eased(across: _Pairs, kept: _Pairs, start: Points) -> Points:
    """Corners that meet what is kept exactly and what lies across with the least sum of squares, (10, 2).

    Gauss-Newton steps along the places where all that is kept is met.
    """
    corners = _met(kept, start)
    for _ in range(STEPS):
        before = across.misses(corners)
        free = null_space(kept.slopes(corners), rcond=1e-9)
        along = np.linalg.lstsq(across.slopes(corners) @ free, -before, rcond=1e-12)[0]
        step = (free @ along).reshape(-1, 2)
        # A step too long for so crooked a problem is halved until it brings the corners nearer.
        for _ in range(HALVINGS):
            moved = _met(kept, corners + step)
            after = across.misses(moved)
            if after @ after <= before @ before:
                break
            step *= 0.5
        else:
            break
        corners = moved
        if np.abs(step).max() < SETTLED:
            break
    return corners


def _met(kept: _Pairs, corners: Points) -> Points:
    """The places near to corners that meet what is kept, each step the shortest."""
    for _ in range(STEPS):
        missed = kept.misses(corners)
        if np.abs(missed).max() < EXACT:
            break
        step = np.linalg.lstsq(kept.slopes(corners), -missed, rcond=1e-12)[0]
        corners = corners + step.reshape(-1, 2)
    return corners
