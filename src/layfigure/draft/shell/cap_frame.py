"""Directions about a crown: azimuth round it, counter-clockwise from outside, and polar angle from it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CapFrame:
    """A centre inside the body, the axis from it through the crown, and two directions square to it.

    centre, first, second, axis : (3,); the last three orthonormal, right-handed in this order.
    """

    centre: Points
    first: Points
    second: Points
    axis: Points

    def directions(self, azimuth: Points, polar: Points) -> Points:
        """Unit vectors, (..., 3), at angles [rad]."""
        sine = np.sin(polar)[..., None]
        level = np.cos(azimuth)[..., None] * self.first + np.sin(azimuth)[..., None] * self.second
        unit: Points = np.cos(polar)[..., None] * self.axis + sine * level
        return unit

    def angles(self, places: Points) -> tuple[Points, Points, Points]:
        """Azimuth and polar angle [rad] and distance from the centre [mm] of places (m, 3)."""
        away = places - self.centre
        along, x, y = away @ self.axis, away @ self.first, away @ self.second
        distance = np.linalg.norm(away, axis=1)
        return np.arctan2(y, x) % (2.0 * np.pi), np.arctan2(np.hypot(x, y), along), distance


def cap_frame(centre: Points, axis: Points, toward: Points) -> CapFrame:
    """Frame whose azimuth 0 leans toward a direction, off the axis."""
    unit = axis / np.linalg.norm(axis)
    first = toward - (toward @ unit) * unit
    first = first / np.linalg.norm(first)
    return CapFrame(centre=centre, first=first, second=np.cross(unit, first), axis=unit)
