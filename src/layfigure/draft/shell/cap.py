"""A cap: a smooth surface over a body part, seen from a place inside it.

Its points are (azimuth, share): the way round the crown, counter-clockwise from outside, and how far from the
crown, 0, to the rim, 1. Seen from its centre no two of its points hide each other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from layfigure.draft.shell.cap_frame import CapFrame
from layfigure.draft.shell.smooth_reach import SmoothReach

Points = NDArray[np.float64]

AZIMUTHS = 360


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cap:
    """A cap.

    reach : distance from the frame's centre. rim : (``AZIMUTHS``,) angle from the axis to the rim at even
    azimuths [rad]. rise : further out at the crown, falling to nothing at the rim [mm].
    """

    frame: CapFrame
    reach: SmoothReach
    rim: Points
    rise: float = 0.0

    def rim_angle(self, azimuth: ArrayLike) -> Points:
        """Angle between axis and rim [rad]."""
        every = np.linspace(0.0, 2.0 * np.pi, AZIMUTHS, endpoint=False)
        angle: Points = np.interp(np.asarray(azimuth), every, self.rim, period=2.0 * np.pi)
        return angle

    def points(self, azimuth: ArrayLike, share: ArrayLike) -> Points:
        """Places on the cap, (..., 3) [mm]."""
        way, t = np.broadcast_arrays(np.asarray(azimuth, dtype=float), np.asarray(share, dtype=float))
        polar = t * self.rim_angle(way)
        radius = self.reach.radius(way, polar) + self.rise * bulge(t)
        places: Points = self.frame.centre + radius[..., None] * self.frame.directions(way, polar)
        return places


def bulge(share: Points) -> Points:
    """How much of the rise is left at a share of the way from crown to rim."""
    left: Points = 1.0 - np.clip(share, 0.0, 1.0) ** 2
    return left


def standing_out(cap: Cap, places: Points) -> float:
    """How far places seen within the cap's rim stand out of it, along the line of sight [mm]; 0 if none."""
    azimuth, polar, distance = cap.frame.angles(places)
    share = polar / cap.rim_angle(azimuth)
    within = share < 1.0
    if not within.any():
        return 0.0
    radius = np.linalg.norm(cap.points(azimuth[within], share[within]) - cap.frame.centre, axis=1)
    return max(0.0, float((distance[within] - radius).max()))
