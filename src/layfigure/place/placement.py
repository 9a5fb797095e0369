"""What placement yields: every edge on one wearer's body."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import ChartPoint
from layfigure.design.design import DesignEdge
from layfigure.place.curve import ChartCurve

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeCheck:
    """Something a tape can check on the wearer: what to measure, what it reads and how sure [mm]."""

    what: str
    length: float
    spread: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, weakref_slot=True)
class PlacedEdge:
    """One edge of the design on the wearer, standing.

    edge : as designed. at : (m) chart points on the wearer. points : (m, 3) on the tape surface [mm].
    curves : the smooth line through them in chart coordinates, a run for each region it passes.
    line : (k, 3) that line on the tape surface, standing [mm].
    spread : (m,) one standard deviation, along and around together [mm].
    by_height : (m, 3) where scaling the picture by height would have put it, or None.
    """

    edge: DesignEdge
    at: tuple[ChartPoint, ...]
    points: Points
    curves: tuple[ChartCurve, ...]
    line: Points
    spread: Points
    checks: tuple[TapeCheck, ...]
    by_height: Points | None = None

    def __post_init__(self) -> None:
        """Every piece along the edge, and every key of one, has the same arrays: nobody may change them."""
        for values in (self.points, self.line, self.spread, self.by_height):
            if values is not None:
                values.flags.writeable = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """All edges on one wearer."""

    wearer: str
    edges: Mapping[str, PlacedEdge]
