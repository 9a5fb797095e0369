"""Chart coordinates on one region: a stack of sections that turns (station, around) into a place.

The wearer's Form and the character's figure carry the same charts, which is all that placement needs:
a mark read as ``(region, station, around)`` on the figure is the same three values on the Form.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.spatial import cKDTree

from layfigure.geometry.nearest_face import nearest_weights

Points = NDArray[np.float64]

_AROUND = np.array([(row, column, half) for row in (-1, 0) for column in (-1, 0) for half in (0, 1)])
"""Triangles that meet at a place of a chart, two in each of four cells: where the cell starts, and which."""

_CORNERS = np.array([[(0, 0), (0, 1), (1, 0)], [(1, 1), (1, 0), (0, 1)]])
"""Of both triangles of a cell, by row and column in it."""


@dataclass(frozen=True, slots=True, kw_only=True, weakref_slot=True)
class ChartPoint:
    """A body-independent place: region, station (see ``body.levels``), around in [0, 1)."""

    region: str
    station: float
    around: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RegionChart:
    """One region as a stack of closed sections, in the standing pose.

    region : full name, such as ``forearm_left``.
    level_names : the region's levels in station order.
    stations : (k,) strictly increasing; may start above 0 (an upper arm's chart starts at the armpit)
        and may run beyond the last level.
    sections : (k, n, 3) tape line of every section [mm]: n points at equal fractions of its girth,
        starting on the zero line, running in the positive direction, the first not repeated.
    """

    region: str
    level_names: tuple[str, ...]
    stations: Points
    sections: Points

    @property
    def girths(self) -> Points:
        """Girth of every section along the tape line, (k,) [mm]."""
        closed = np.concatenate([self.sections, self.sections[:, :1]], axis=1)
        girths: Points = np.linalg.norm(np.diff(closed, axis=1), axis=2).sum(axis=1)
        return girths

    def girth(self, station: ArrayLike) -> Points:
        """Girth at stations, interpolated linearly, (m,) [mm]."""
        result: Points = np.interp(np.asarray(station, dtype=np.float64), self.stations, self.girths)
        return result

    def height(self, station: ArrayLike) -> Points:
        """Mean height above the floor of the section at each station, (m,) [mm]."""
        means = self.sections[:, :, 2].mean(axis=1)
        result: Points = np.interp(np.asarray(station, dtype=np.float64), self.stations, means)
        return result

    def section(self, station: float) -> Points:
        """Section at a station, (n, 3) [mm], blended linearly between stored neighbours."""
        upper = int(np.clip(np.searchsorted(self.stations, station), 1, len(self.stations) - 1))
        low, high = self.stations[upper - 1], self.stations[upper]
        share = float(np.clip((station - low) / (high - low), 0.0, 1.0))
        blended: Points = (1.0 - share) * self.sections[upper - 1] + share * self.sections[upper]
        return blended

    def points(self, station: ArrayLike, around: ArrayLike) -> Points:
        """Places in space, (m, 3) [mm]. Stations outside the chart are clamped to it."""
        t, a = np.asarray(station, dtype=np.float64).ravel(), np.asarray(around, dtype=np.float64).ravel()
        if t.size != a.size:
            t, a = np.broadcast_arrays(t, a)
        # Asked for a few places at a time, over and over: numpy's plainest functions are the quickest here.
        upper = np.minimum(np.maximum(self.stations.searchsorted(t), 1), len(self.stations) - 1)
        lower = upper - 1
        low = self.stations[lower]
        along = np.minimum(np.maximum((t - low) / (self.stations[upper] - low), 0.0), 1.0)[:, None]
        first, second, across = self._ways(a)
        below = (1.0 - across) * self.sections[lower, first] + across * self.sections[lower, second]
        above = (1.0 - across) * self.sections[upper, first] + across * self.sections[upper, second]
        result: Points = (1.0 - along) * below + along * above
        return result

    def lines(self, around: ArrayLike) -> Points:
        """The chart's own sections at some ways round: lines down the region, (m, k, 3) [mm]."""
        first, second, across = self._ways(np.asarray(around, dtype=np.float64).ravel())
        result: Points = (1.0 - across) * self.sections[:, first] + across * self.sections[:, second]
        return result.swapaxes(0, 1)

    def _ways(self, around: Points) -> tuple[NDArray[np.int64], NDArray[np.int64], Points]:
        """Section points on either side of ways round, (m,) each, and the share between them, (m, 1)."""
        count = self.sections.shape[1]
        position = np.mod(around, 1.0) * count
        whole = np.floor(position)
        first = whole.astype(np.int64) % count
        return first, (first + 1) % count, (position - whole)[:, None]

    def locate(self, places: ArrayLike) -> tuple[Points, Points, Points]:
        """Nearest chart coordinates of places near the surface.

        places : (m, 3) [mm]. Returns station (m,), around (m,) and distance to the tape surface (m,) [mm].
        """
        p = np.atleast_2d(np.asarray(places, dtype=np.float64))
        k, n, _ = self.sections.shape
        closed = np.concatenate([self.sections, self.sections[:, :1]], axis=1)
        # Often asked for a few places: a tree split in the middle of space is made sooner.
        tree = cKDTree(self.sections.reshape(-1, 3), balanced_tree=False, compact_nodes=False)
        _, nearest = tree.query(p)
        row, column = np.divmod(nearest, n)
        r = np.clip(row[:, None] + _AROUND[:, 0], 0, k - 2)
        c = np.mod(column[:, None] + _AROUND[:, 1], n)
        down, on = np.moveaxis(_CORNERS[_AROUND[:, 2]], 2, 0)
        triangles = closed[r[..., None] + down, c[..., None] + on].reshape(-1, 3, 3)
        weights = nearest_weights(triangles, np.repeat(p, len(_AROUND), axis=0))
        foot = np.einsum("kc,kcd->kd", weights, triangles).reshape(len(p), len(_AROUND), 3)
        distance = np.linalg.norm(foot - p[:, None], axis=2)
        best = np.arange(len(p)), distance.argmin(axis=1)
        u, v = (weights[:, corner].reshape(distance.shape)[best] for corner in (1, 2))
        turned = _AROUND[best[1], 2] == 1
        along, across = np.where(turned, 1.0 - v, v), np.where(turned, 1.0 - u, u)
        low, high = self.stations[r[best]], self.stations[r[best] + 1]
        return low + along * (high - low), np.mod((c[best] + across) / n, 1.0), distance[best]
