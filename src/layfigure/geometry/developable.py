"""Developable bands between two convex sections in parallel planes, unrolled exactly.

A band joins the points of two sections whose tangents are parallel, so its tangent plane is the same all
along a ruling and it can be made from flat sheet. With both sections given by support values on the same
directions it is a row of plane trapezoids, one a direction: unrolling is a chain of rigid turns and nothing
is stretched. Places on a band are (ruling, share): ruling counts trapezoids, with the fraction across one;
share runs from the low section, 0, to the high one, 1.

Source: classical differential geometry (a ruled surface is developable where its tangent plane is constant
along each ruling); strip-wise triangulated development as in sheet-metal drafting.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from layfigure.geometry.support_function import corner_points, directions

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Band:
    """A band between two sections.

    low_height, high_height : of the two parallel planes [mm]. low, high : (count,) support values [mm],
    each with positive sides.
    """

    low_height: float
    high_height: float
    low: Points
    high: Points

    @property
    def count(self) -> int:
        """Number of rulings once round."""
        return len(self.low)

    def height(self, share: ArrayLike) -> Points:
        """Height of a share [mm]."""
        result: Points = self.low_height + np.asarray(share) * (self.high_height - self.low_height)
        return result

    def share(self, height: ArrayLike) -> Points:
        """Share of a height."""
        result: Points = (np.asarray(height) - self.low_height) / (self.high_height - self.low_height)
        return result

    def support(self, height: ArrayLike) -> Points:
        """Support values of the band's sections at heights (m,), (m, count) [mm]."""
        share = self.share(np.atleast_1d(np.asarray(height, dtype=np.float64)))[:, None]
        values: Points = (1.0 - share) * self.low + share * self.high
        return values

    def slope(self) -> Points:
        """How fast each trapezoid leans outward going up, (count,)."""
        lean: Points = (self.high - self.low) / (self.high_height - self.low_height)
        return lean

    def rulings(self) -> tuple[Points, Points]:
        """Low and high ends of every ruling in frame coordinates, each (count, 3) [mm]."""
        ends = []
        for values, height in ((self.low, self.low_height), (self.high, self.high_height)):
            corners = corner_points(values)
            ends.append(np.column_stack([corners, np.full(len(corners), height)]))
        return ends[0], ends[1]

    def points(self, ruling: ArrayLike, share: ArrayLike) -> Points:
        """Places in frame coordinates, (..., 3) [mm]; rulings wrap round."""
        low, high = self.rulings()
        return _on_strip(low, high, ruling, share, wrap=True)

    def offset(self, distance: float) -> Band:
        """The band a distance further out, square to the axis [mm]."""
        return Band(
            low_height=self.low_height,
            high_height=self.high_height,
            low=self.low + distance,
            high=self.high + distance,
        )

    def nearest(self, local: ArrayLike) -> tuple[Points, Points]:
        """Ruling and share of places near the band, nearest within the plane of each place.

        local : (m, 3) frame coordinates [mm]. Returns ruling (m,) in [0, count) and share (m,).
        The normal turns steadily along each side, as on the smooth section that the polygon stands for:
        with one normal a side, a line drawn inside the band would jump at every corner.
        """
        p = np.atleast_2d(np.asarray(local, dtype=np.float64))
        share = self.share(p[:, 2])
        half = np.pi / self.count
        angle = (np.arange(self.count) - 0.5) * (2.0 * half)
        tangent = np.stack([-np.sin(angle), np.cos(angle)], axis=1)
        # How far each place lies past each corner, along the tangent there. A corner's own distance along it
        # is what its two sides' values differ by, over twice the sine, and blends from low to high.
        low, high = ((h - np.roll(h, 1)) / (2.0 * np.sin(half)) for h in (self.low, self.high))
        past = np.column_stack([p[:, :2], share - 1.0, -share]) @ np.vstack([tangent.T, low, high])
        beyond = past >= 0.0
        passed = np.flatnonzero(beyond & ~np.roll(beyond, -1, axis=1))
        row, side = np.divmod(passed, self.count)
        after = (side + 1) % self.count
        across = past[row, side] / (past[row, side] - past[row, after])
        up = share[row, None]
        below, above = corner_points(self.low), corner_points(self.high)
        start, end = ((1.0 - up) * below[at] + up * above[at] for at in (side, after))
        foot = start + across[:, None] * (end - start)
        distance = ((p[row, :2] - foot) ** 2).sum(axis=1)
        order = np.lexsort((distance, row))
        first = order[np.searchsorted(row[order], np.arange(len(p)))]
        ruling: Points = np.mod(side[first] + across[first], self.count)
        return ruling, share


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatBand:
    """A stretch of a band laid flat, seen from outside: rulings upright, round to the right.

    first : ruling that the stretch starts on; low, high : (n + 1, 2) ends of its rulings [mm].
    """

    first: int
    low: Points
    high: Points

    def points(self, ruling: ArrayLike, share: ArrayLike) -> Points:
        """Flat places, (..., 2) [mm]. Rulings count on past a whole turn and must lie on the stretch."""
        return _on_strip(self.low, self.high, np.asarray(ruling) - self.first, share, wrap=False)

    def turned(self, ruling: float) -> FlatBand:
        """The same, moved so that one ruling stands upright with its low end at the origin."""
        foot, tip = self.points([ruling, ruling], [0.0, 1.0])
        up = (tip - foot) / np.linalg.norm(tip - foot)
        turn = np.array([[up[1], up[0]], [-up[0], up[1]]])
        return FlatBand(first=self.first, low=(self.low - foot) @ turn, high=(self.high - foot) @ turn)


def unroll(band: Band, first: int = 0, trapezoids: int | None = None) -> FlatBand:
    """Lay a stretch of the band flat: the trapezoids from ruling ``first``, once round by default.

    The stretch may run past a whole turn, for a lap. Every trapezoid keeps its shape to rounding.
    """
    n = band.count if trapezoids is None else trapezoids
    index = (first + np.arange(n + 1)) % band.count
    low, high = (ends[index] for ends in band.rulings())
    upward = high - low
    height = np.linalg.norm(upward, axis=1)
    unit = upward / height[:, None]
    tangent = directions(band.count)[:, ::-1] * np.array([-1.0, 1.0])
    along = np.column_stack([tangent[index[:-1]], np.zeros(n)])
    low_sides = ((low[1:] - low[:-1]) * along).sum(axis=1)
    # The angle between a ruling and the side, on either side of each trapezoid, turns the chain.
    opening = np.arccos(np.clip((unit[:-1] * along).sum(axis=1), -1.0, 1.0))
    closing = np.arccos(np.clip((unit[1:] * along).sum(axis=1), -1.0, 1.0))
    turns = np.concatenate([[0.0], np.cumsum(closing - opening)])
    ruling_angle = 0.5 * np.pi + turns
    side_angle = ruling_angle[:-1] - opening
    steps = low_sides[:, None] * np.column_stack([np.cos(side_angle), np.sin(side_angle)])
    flat_low = np.concatenate([np.zeros((1, 2)), np.cumsum(steps, axis=0)])
    flat_high = flat_low + height[:, None] * np.column_stack([np.cos(ruling_angle), np.sin(ruling_angle)])
    return FlatBand(first=first, low=flat_low, high=flat_high)


def isometry_error(band: Band, flat: FlatBand) -> float:
    """Largest change of any side or diagonal of any trapezoid by laying it flat [mm].

    All six distances between four points are compared, so a trapezoid that was not plane would show.
    """
    index = (flat.first + np.arange(len(flat.low))) % band.count
    low, high = (ends[index] for ends in band.rulings())
    solid = np.stack([low[:-1], low[1:], high[:-1], high[1:]])
    plane = np.stack([flat.low[:-1], flat.low[1:], flat.high[:-1], flat.high[1:]])
    first, second = np.triu_indices(4, 1)
    worn, cut = (np.linalg.norm(places[first] - places[second], axis=2) for places in (solid, plane))
    return float(np.abs(worn - cut).max())


def _on_strip(low: Points, high: Points, ruling: ArrayLike, share: ArrayLike, *, wrap: bool) -> Points:
    position, up = np.broadcast_arrays(
        np.asarray(ruling, dtype=np.float64), np.asarray(share, dtype=np.float64)
    )
    count = len(low)
    whole = np.floor(position).astype(np.int64)
    if wrap:
        start, end = whole % count, (whole + 1) % count
    else:
        whole = np.clip(whole, 0, count - 2)
        start, end = whole, whole + 1
    across, t = (position - whole)[..., None], up[..., None]
    foot = (1.0 - across) * low[start] + across * low[end]
    tip = (1.0 - across) * high[start] + across * high[end]
    places: Points = (1.0 - t) * foot + t * tip
    return places
