"""Any part of a circle as cloth: circle skirts, capes and ruffles, laid flat.

The apex lies at the origin and the hem below it. A direction of 0 points straight down; it rises toward the
viewer's right, which is the wearer's left when the outside faces up.

Source: circle skirt by waist and share of a circle, radius = waist / (2 pi share), as published in sewing
lessons and common to all of them; a cone cut along one ruling unrolls to a sector.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Points = NDArray[np.float64]

STRAIGHT = 1e-6
"""A smaller share of a circle is drawn as a straight strip."""
CHORD = 2.0
"""Longest step along a drawn curve [mm]."""
SAGITTA = 0.01
"""Farthest a drawn arc may run from the true one [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartCircle:
    """A ring cut from a circle.

    top : length of its inner edge [mm]. share : of a whole circle; 0 is a straight strip, above 1 it takes
    more than one circle.
    """

    top: float
    share: float

    @property
    def sector(self) -> float:
        """Angle that the whole spans [rad]."""
        return 2.0 * math.pi * self.share

    @property
    def radius(self) -> float:
        """Of the inner edge [mm]; infinite for a straight strip."""
        return self.top / self.sector if self.share > STRAIGHT else math.inf

    def round_at(self, distance: ArrayLike) -> Points:
        """Length round at a distance below the inner edge [mm]."""
        around: Points = self.top + self.sector * np.asarray(distance, dtype=np.float64)
        return around

    def at(self, along: ArrayLike, distance: ArrayLike, *, middle: float) -> Points:
        """Flat places, (..., 2) [mm].

        along : place on the inner edge as a share of it. distance : below the inner edge [mm].
        middle : the place along that is drawn hanging straight down.
        """
        u, d = np.broadcast_arrays(
            np.asarray(along, dtype=np.float64) - middle, np.asarray(distance, dtype=np.float64)
        )
        if self.share <= STRAIGHT:
            flat: Points = np.stack([u * self.top, -d], axis=-1)
            return flat
        angle, radius = u * self.sector, self.radius + d
        places: Points = np.stack([radius * np.sin(angle), -radius * np.cos(angle)], axis=-1)
        return places

    def steps(self, first: float, last: float, deepest: float) -> Points:
        """Places along the inner edge, ``first`` to ``last``, close enough for curves down to ``deepest``."""
        if self.share <= STRAIGHT:
            whole = (last - first) * self.top
            return np.linspace(first, last, max(2, math.ceil(whole / CHORD)) + 1)
        radius = self.radius + deepest
        angle = (last - first) * self.sector
        step = min(CHORD / radius, 2.0 * math.acos(max(0.0, 1.0 - SAGITTA / radius)))
        return np.linspace(first, last, 2 * max(1, math.ceil(0.5 * angle / step)) + 1)


def share_for_fullness(top: float, depth: float, fullness: float) -> float:
    """Share of a circle whose outer edge is ``fullness`` times its inner edge ``top``, ``depth`` apart [mm].

    Above 1 the ruffle is sewn from several rings. Raises ValueError unless fullness is 1 or more.
    """
    if fullness < 1.0:
        raise ValueError("a hem is at least as long as the top")
    return (fullness - 1.0) * top / (2.0 * math.pi * depth)
