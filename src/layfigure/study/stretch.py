"""A stretch of one edge as one picture shows it: where it was read, and why that is unsure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

SKIN_SPREAD = 0.004
"""How far the skin lies from the fitted section in or out, one standard deviation [share of stature]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Doubt:
    """Why m readings of one stretch are unsure, sorted by what they share. All in shares of stature.

    by_fit : (m, 2, m, 2) covariance, along and around, of what the fit left open. by_skin : (m, 2) how each
    moves when the skin lies farther out than the figure's. hand : (m, 2, 2) covariance of what is each mark's
    own. common : (m, 2, 2) covariance of what no second picture can show: where the zero lines run.
    """

    by_fit: Points
    by_skin: Points
    hand: Points
    common: Points

    def of(self, marks: NDArray[np.int64]) -> Doubt:
        """That of some of the marks."""
        return Doubt(
            by_fit=self.by_fit[marks][:, :, marks],
            by_skin=self.by_skin[marks],
            hand=self.hand[marks],
            common=self.common[marks],
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stretch:
    """A stretch of one edge on one region, from one picture.

    picture : its number. index : (m,) the marks' numbers among all of the study. station, around : (m,).
    covariance : (m, 2, 2) along and around, shares of stature; doubt : what it is made of. scale : (m, 2)
    share of stature for one station and one turn. corner : (m,). closed : runs back to its start within the
    picture.
    """

    slug: str
    region: str
    picture: int
    index: NDArray[np.int64]
    station: Points
    around: Points
    covariance: Points
    doubt: Doubt
    scale: Points
    corner: NDArray[np.bool_]
    closed: bool


def flat(other: Stretch, station: float, around: float, scale: Points) -> Points:
    """Another stretch's marks from a place, along and around, (m, 2) [share of stature]."""
    turn = np.mod(other.around - around + 0.5, 1.0) - 0.5
    return np.stack([(other.station - station) * scale[0], turn * scale[1]], axis=1)


def normals(one: Stretch) -> Points:
    """Unit normals of a stretch at its marks, in shares of stature, (m, 2)."""
    if len(one.station) == 1:
        return np.array([[1.0, 0.0]])
    turn = np.unwrap(one.around, period=1.0)
    places = np.stack([one.station * one.scale[:, 0].mean(), turn * one.scale[:, 1].mean()], axis=1)
    if one.closed and len(places) > 2:
        tangent = np.roll(places, -1, axis=0) - np.roll(places, 1, axis=0)
    else:
        tangent = np.gradient(places, axis=0)
    length = np.maximum(np.linalg.norm(tangent, axis=1, keepdims=True), 1e-12)
    result: Points = np.stack([-tangent[:, 1], tangent[:, 0]], axis=1) / length
    return result


def middle(one: Stretch) -> tuple[Points, Points]:
    """Middle of a closed stretch by its outline's length, (station, around), and its marks' shares (m,)."""
    turn = np.unwrap(one.around, period=1.0)
    places = np.stack([one.station, turn], axis=1)
    step = np.linalg.norm((np.roll(places, -1, axis=0) - places) * one.scale, axis=1)
    shares = 0.5 * (step + np.roll(step, 1))
    shares = shares / max(float(shares.sum()), 1e-12)
    return shares @ places, shares
