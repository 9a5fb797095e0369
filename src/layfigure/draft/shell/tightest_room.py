"""Room at the tightest places of a head within a mesh, as the mesh is shifted about.

Moved by so much, a place comes no nearer to a surface than that. What has room to spare at one shift needs no
looking at near it; only a place that may meet the rim of an open mesh, where inside and outside change at
once, is always looked at. What is found is what looking at every place finds.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.depth_inside import DepthInside

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

MANY = 12
"""So many of the tightest places are told."""
LOOKED_AT_FIRST = 24
SLACK = 1.0
"""A nearest face is sought among a few, and may be missed by so much [mm]."""
ALL_AGAIN = 0.3
"""Where more than this share of places must be looked at beyond those that always are, all are, to go on from
there."""


class TightestRoom:
    """At one size of the mesh.

    depth : of its inside. places : (k, 3) of a head. spare : from their depths, whether they are nearest to a
    border, and their numbers, the room to spare there [mm].
    """

    def __init__(
        self,
        depth: DepthInside,
        places: Points,
        spare: Callable[[Points, NDArray[np.bool_], Indices], Points],
    ) -> None:
        self._depth, self._places, self._spare = depth, places, spare
        self._shift: Points | None = None
        self._known, self._free = np.empty(0), np.empty(0)

    def at(self, shift: Points) -> Points:
        """The least room to spare with the mesh moved by a shift, (MANY,), in order."""
        if self._shift is None or len(self._places) <= LOOKED_AT_FIRST:
            return self._from_all(shift)
        off = float(np.linalg.norm(shift - self._shift)) + SLACK
        looked = self._free <= off
        sure = np.where(looked, np.inf, self._known)
        looked[np.argpartition(sure, LOOKED_AT_FIRST)[:LOOKED_AT_FIRST]] = True
        if self._too_many(looked):
            return self._from_all(shift)
        found = self._look(shift, np.flatnonzero(looked))
        limit = np.partition(found, MANY - 1)[MANY - 1]
        rest = ~looked & (self._known - off <= limit)
        if self._too_many(looked | rest):
            return self._from_all(shift)
        if rest.any():
            found = np.concatenate([found, self._look(shift, np.flatnonzero(rest))])
        return _least(found)

    def _too_many(self, looked: NDArray[np.bool_]) -> bool:
        always = (self._free <= SLACK).mean()
        return bool(looked.mean() > ALL_AGAIN + always)

    def _look(self, shift: Points, at: Indices) -> Points:
        return self._spare(*self._depth.at(self._places[at] - shift), at)

    def _from_all(self, shift: Points) -> Points:
        places = self._places - shift
        depth, border = self._depth.at(places)
        self._shift, self._known = shift.copy(), self._spare(depth, border, np.arange(len(places)))
        self._free = self._depth.from_border(places, depth)
        return _least(self._known)


def _least(spare: Points) -> Points:
    many = min(MANY, len(spare))
    return np.sort(np.partition(spare, many - 1)[:many])
