"""A truncated cone laid flat: the shape of a shaped belt, a plain cuff, a part-circle skirt.

Source: sheet-metal drafting textbooks (Longfield, Sheet Metal Drafting, 1921); a cone cut along one
ruling unrolls to a ring sector whose radii are slant lengths from the apex.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatFrustum:
    """A ring sector: radii [mm] and the angle it spans [rad]."""

    inner_radius: float
    outer_radius: float
    sector: float

    @property
    def area(self) -> float:
        """Area of the sector [mm²], the lateral area of the frustum."""
        return 0.5 * self.sector * (self.outer_radius**2 - self.inner_radius**2)


def flat_frustum(radius: float, larger_radius: float, height: float) -> FlatFrustum:
    """Frustum by its two radii and its upright height; ``radius`` 0 gives a full cone. Lengths in mm.

    Raises ValueError unless 0 <= radius < larger_radius and height >= 0.
    """
    if not 0.0 <= radius < larger_radius or height < 0.0:
        raise ValueError("a frustum needs 0 <= radius < larger radius and a height of 0 or more")
    slant = math.hypot(height, larger_radius - radius)
    return flat_frustum_by_slant(2.0 * math.pi * radius, 2.0 * math.pi * larger_radius, slant)


def flat_frustum_by_slant(girth: float, larger_girth: float, slant: float) -> FlatFrustum:
    """Frustum by its two girths and the depth measured along its side, as a tape measures a belt.

    girth, larger_girth, slant : [mm]. The inner radius is girth x slant / (larger_girth - girth).
    Raises ValueError where no cone has these measures: girths equal (draft a straight strip), or
    a slant too short to span the difference in radius.
    """
    if not 0.0 <= girth < larger_girth:
        raise ValueError("the smaller girth must be at least 0 and below the larger")
    sector = (larger_girth - girth) / slant
    # The two radii differ by less than the slant on any cone; at equality it is a flat ring.
    if sector > 2.0 * math.pi * (1.0 + 1e-12):
        raise ValueError("no cone joins these girths in so short a depth")
    inner = girth / sector
    return FlatFrustum(inner_radius=inner, outer_radius=inner + slant, sector=sector)


def sector_arc(radius: float, sector: float, *, chord: float = 2.0, sagitta: float = 0.01) -> Points:
    """Points on an arc about the origin, centred on the upward direction, from left to right.

    chord, sagitta : [mm], the longest chord and the largest distance between chord and arc.
    Returns (n, 2) with n odd, so that the middle of the arc is a point.
    """
    step = min(chord / radius, 2.0 * math.acos(max(0.0, 1.0 - sagitta / radius)))
    halves = max(1, math.ceil(0.5 * sector / step))
    angles = np.linspace(-0.5 * sector, 0.5 * sector, 2 * halves + 1)
    arc: Points = radius * np.stack([np.sin(angles), np.cos(angles)], axis=1)
    return arc
