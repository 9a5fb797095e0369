"""The smoothest close surface over a hull seen from inside: a polynomial that nothing stands out of.

A dome that hugged every hollow and bone would crease when laid flat. In the plane of polar angle and azimuth
about the crown, the distance from the centre is a polynomial of low degree, found by a linear program: least
mean distance, nowhere less than the hull's.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import linprog

from layfigure.draft.shell.cap_frame import CapFrame
from layfigure.geometry.least_place import least_place
from layfigure.geometry.offset_hull import OffsetHull

Points = NDArray[np.float64]

RINGS, WAYS = 14, 48

ROOM_TO_START = 30.0
"""How far outside the furthest place the program begins to look [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SmoothReach:
    """Distance from the centre by polar angle and azimuth.

    degree : of the polynomial. widest : polar angle that it was fitted to [rad]. coefficients : [mm].
    """

    degree: int
    widest: float
    coefficients: Points

    def radius(self, azimuth: ArrayLike, polar: ArrayLike) -> Points:
        """Distance from the centre [mm], of the shape of the angles [rad]."""
        way, angle = np.broadcast_arrays(np.asarray(azimuth, float), np.asarray(polar, float))
        terms = _terms(way.ravel(), angle.ravel() / self.widest, self.degree)
        reach: Points = (terms @ self.coefficients).reshape(way.shape)
        return reach

    def along_meridians(self, azimuth: Points, polar: Points) -> Points:
        """Distance from the centre [mm] at every azimuth (n,) and every polar angle (m,) [rad], (n, m)."""
        at_one = _terms(azimuth, np.ones_like(azimuth), self.degree) * self.coefficients
        # Down a meridian the terms of one degree are one power of the polar angle.
        starts = np.cumsum(np.arange(self.degree + 1))
        by_power = np.add.reduceat(at_one, starts, axis=1)
        reach: Points = by_power @ np.vander(polar / self.widest, self.degree + 1, increasing=True).T
        return reach


def smooth_over(hull: OffsetHull, frame: CapFrame, rim: Points, *, degree: int) -> SmoothReach:
    """The least smooth reach over a hull out to a rim.

    rim : (k,) polar angle of the rim at even azimuths [rad]. Nothing within it stands out at any of the
    places looked at, several to each wave that the polynomial can have.
    """
    azimuth = np.linspace(0.0, 2.0 * np.pi, WAYS, endpoint=False)
    every = np.linspace(0.0, 2.0 * np.pi, len(rim), endpoint=False)
    angles = np.interp(azimuth, every, rim, period=2.0 * np.pi)
    shares = np.linspace(0.0, 1.0, RINGS)
    way, share = (grid.ravel() for grid in np.meshgrid(azimuth, shares, indexing="xy"))
    polar = share * np.interp(way, azimuth, angles, period=2.0 * np.pi)
    widest = float(rim.max())
    terms = _terms(way, polar / widest, degree)
    least = hull.radius(frame.directions(way, polar))
    weight = share + 0.5 / RINGS
    coefficients = _least((weight @ terms) / weight.sum(), -terms, -least)
    # The program keeps its limits to a small tolerance only.
    coefficients[0] += max(0.0, float((least - terms @ coefficients).max()))
    return SmoothReach(degree=degree, widest=widest, coefficients=coefficients)


def _least(objective: Points, A: Points, limits: Points) -> Points:
    """Coefficients of least objective with A x <= limits; a round dome clear of all is where it starts."""
    start = np.zeros(objective.size)
    start[0] = ROOM_TO_START - float(limits.min())
    place = least_place(objective, A, limits, start)
    if place is not None:
        return place
    solution = linprog(objective, A_ub=A, b_ub=limits, bounds=(None, None), method="highs")
    return np.asarray(solution.x, dtype=np.float64)


def _terms(azimuth: Points, polar: Points, degree: int) -> Points:
    """Products of powers of the two plane coordinates up to a degree, (m, terms); the first is 1."""
    x, y = polar * np.cos(azimuth), polar * np.sin(azimuth)
    terms = np.empty(((degree + 1) * (degree + 2) // 2, len(x)))
    terms[0] = 1.0
    last = 0
    for total in range(1, degree + 1):
        first = last + total
        # Each degree's terms are those of the degree before times x, and its last term times y.
        np.multiply(terms[last:first], x, out=terms[first : first + total])
        np.multiply(terms[first - 1], y, out=terms[first + total])
        last = first
    return terms.T
