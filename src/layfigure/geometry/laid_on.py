"""One closed outline laid on another as a hand would: moved and turned, never turned over."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.geometry.polyline import arc_lengths, points_at
from layfigure.geometry.rigid import rigid_onto

Points = NDArray[np.float64]

STEP = 2.0
"""Outlines are held against each other at their corners and at places so far apart [mm]."""

FEWEST = 200
"""Places on an outline, however small it is."""

ROUNDS = 12
"""How often the outline is laid anew, each place to the nearest one of the other."""


def laid_on(outline: Points, onto: Points) -> tuple[Points, Points]:
    """Turn (2, 2) and move (2,) [mm] that lay an outline best on another: ``outline @ turn + move``.

    outline, onto : (n, 2), (m, 2) closed, first point not repeated [mm], both starting at the same corner and
    running the same way round. The first try takes equal shares of the way round; then every place goes to
    the nearest one (iterated closest points: Besl & McKay 1992), and the best of all tries is kept, by the
    place that is farthest off.
    """
    count = max(FEWEST, int(max(_way_round(outline), _way_round(onto)) / STEP))
    source, target = _shares(outline, count), _shares(onto, count)
    line = shapely.LinearRing(onto)
    best = (np.inf, np.eye(2), np.zeros(2))
    for _ in range(ROUNDS):
        turn, move = rigid_onto(source, target)
        placed = shapely.points(source @ turn + move)
        worst = float(shapely.distance(placed, line).max())
        if worst < best[0]:
            best = (worst, turn, move)
        nearest = shapely.line_interpolate_point(line, shapely.line_locate_point(line, placed))
        target = shapely.get_coordinates(nearest)
    return best[1], best[2]


def farthest_beyond(outline: Points, other: Points) -> float:
    """How far the area in one outline reaches beyond the area in another at most [mm]; 0 where it does not.

    Both (n, 2) closed, first point not repeated [mm].
    """
    places = shapely.points(_places(outline))
    area = shapely.Polygon(other)
    # Inside the area the distance to it is 0.
    return float(shapely.distance(places, area).max())


def farthest_apart(one: Points, other: Points) -> float:
    """Largest distance between two closed lines, both ways [mm]; (n, 2), first point not repeated."""
    there = shapely.distance(shapely.points(_places(one)), shapely.LinearRing(other)).max()
    back = shapely.distance(shapely.points(_places(other)), shapely.LinearRing(one)).max()
    return float(max(there, back))


def _way_round(outline: Points) -> float:
    return float(arc_lengths(outline, closed=True)[-1])


def _shares(outline: Points, count: int) -> Points:
    """Places at equal shares of the way round."""
    return points_at(outline, np.linspace(0.0, _way_round(outline), count, endpoint=False), closed=True)


def _places(outline: Points) -> Points:
    """Corners, and places at equal steps between them."""
    steps = np.arange(0.0, _way_round(outline), STEP)
    return np.vstack([outline, points_at(outline, steps, closed=True)])
