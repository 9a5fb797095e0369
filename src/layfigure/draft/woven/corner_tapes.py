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
_LEGS = [CORNERS.index(name) for name in ("one_a", "one_b", "two_a")]
HALVINGS = 12
STEPS = 60
"""Most Gauss-Newton steps; four or five are usual."""
FIRM = 2000.0
"""Weight of a tape that is kept, against 1 for one across."""


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
    # The tip is one more corner, at the origin.
    ends = np.vstack([pairs, [[k, len(CORNERS)] for k in range(len(CORNERS))]])
    wanted = np.concatenate([lengths, tapes.spokes])
    weight = np.where(np.concatenate([firm, np.isin(np.arange(len(CORNERS)), _LEGS)]), FIRM, 1.0)
    places = np.vstack([start, [[0.0, 0.0]]])
    rows = np.arange(len(ends))

    def missed(at: Points) -> Points:
        now = np.linalg.norm(at[ends[:, 0]] - at[ends[:, 1]], axis=1)
        result: Points = weight * (1.0 - now / wanted)
        return result

    for _ in range(STEPS):
        away = places[ends[:, 0]] - places[ends[:, 1]]
        slope = np.zeros((len(ends), len(places), 2))
        slope[rows, ends[:, 0]] = away / (np.linalg.norm(away, axis=1) * wanted)[:, None]
        slope[rows, ends[:, 1]] = -slope[rows, ends[:, 0]]
        system = weight[:, None] * slope[:, :-1].reshape(len(ends), -1)
        before = missed(places)
        step = np.linalg.lstsq(system, before, rcond=1e-12)[0].reshape(-1, 2)
        # A step too long for so crooked a problem is halved until it brings the corners nearer.
        for _ in range(HALVINGS):
            moved = places + np.vstack([step, [[0.0, 0.0]]])
            after = missed(moved)
            if after @ after <= before @ before:
                break
            step *= 0.5
        places = moved
        if np.abs(step).max() < 1e-9:
            break
    corners: Points = places[:-1]
    return corners
