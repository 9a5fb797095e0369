"""A triangle mesh of a sheet with holes, fine round the holes where the sheet gapes."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import Delaunay, cKDTree

from layfigure.errors import DraftError
from layfigure.geometry.polyline import arc_lengths, points_at, resample

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

FINEST = 0.8
FINE = 3.0
COARSE = 10.0
GROWTH = 0.2
"""Mesh sides [mm] at the tips of holes, along holes, far from them, and how fast they grow with distance."""
RELAXING = 4
SHARP = np.radians(30.0)
"""An outline that turns more than this at a point has a corner there."""


def corners_of(curve: Points) -> Indices:
    """Indices of a closed curve's sharp points."""
    before, after = curve - np.roll(curve, 1, axis=0), np.roll(curve, -1, axis=0) - curve
    turn = np.arctan2(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], np.sum(before * after, axis=1))
    return np.flatnonzero(np.abs(turn) > SHARP)


def sampled_outline(curve: Points, step: float) -> tuple[Points, Points]:
    """A closed curve sampled about every ``step``, corners kept.

    Returns (k, 2) points and (k,) their distances along the curve from its first point [mm].
    """
    whole = arc_lengths(curve, closed=True)
    corners = corners_of(curve)
    starts = corners if corners.size else np.array([0])
    rolled = np.roll(curve, -int(starts[0]), axis=0)
    stops = np.append(starts - starts[0], len(curve))
    loop = np.vstack([rolled, rolled[:1]])
    pieces, distances = [], []
    first = float(whole[starts[0]])
    for a, b in pairwise(stops.tolist()):
        part = loop[a : b + 1]
        span = arc_lengths(part)[-1]
        count = max(2 if corners.size else 6, round(span / step))
        pieces.append(resample(part, count + 1)[:-1])
        distances.append(first + span * np.arange(count) / count)
        first += float(span)
    return np.concatenate(pieces), np.mod(np.concatenate(distances), whole[-1])


def sampled_hole(curve: Points) -> Points:
    """A hole's outline sampled finely, finest where it bends sharply, (k, 2)."""
    before, after = curve - np.roll(curve, 1, axis=0), np.roll(curve, -1, axis=0) - curve
    lengths = np.linalg.norm(after, axis=1)
    turn = np.abs(np.angle((after @ [1.0, 1j]) / (before @ [1.0, 1j])))
    radius = 0.5 * (lengths + np.roll(lengths, 1)) / np.maximum(turn, 1e-9)
    wanted = np.clip(0.4 * radius, FINEST, FINE)
    at = arc_lengths(curve, closed=True)
    whole = float(at[-1])
    places = np.linspace(0.0, whole, max(32, round(2.0 * whole / FINEST)), endpoint=False)
    apart = np.abs(places[:, None] - at[None, :-1])
    apart = np.minimum(apart, whole - apart)
    step = np.min(wanted + GROWTH * apart, axis=1)
    density = np.concatenate([[0.0], np.cumsum(whole / places.size / step)])
    count = max(12, int(np.ceil(density[-1])))
    distances = np.interp(np.arange(count) / count * density[-1], density, np.append(places, whole))
    return points_at(curve, distances, closed=True)


def sheet_with_holes(outline: Points, holes: Sequence[Points]) -> tuple[Points, Indices]:
    """Mesh between an outline and holes, all simple closed polygons whose points become vertices in order.

    outline : (b, 2); holes : (k, 2) each. Returns vertices, outline first, then holes, then the rest; and
    faces (m, 3) counter-clockwise. Raises DraftError where a side of an outline is lost, which means that two
    come too close.
    """
    border = np.concatenate([outline, *holes])
    region = shapely.Polygon(outline, holes)
    points = _inner_points(region, holes)
    for _ in range(RELAXING):
        points = _relaxed(border, points, region)
    starts = np.cumsum([0, len(outline), *(len(hole) for hole in holes)])
    sides = np.concatenate(
        [np.stack([np.arange(a, b), np.r_[a + 1 : b, a]], axis=1) for a, b in pairwise(starts.tolist())]
    )
    # A side is sure to be in the triangulation when no other point lies in the circle over it.
    middles = border[sides].mean(axis=1)
    halves = 0.5 * np.linalg.norm(border[sides[:, 1]] - border[sides[:, 0]], axis=1)
    near, at = cKDTree(middles).query(points, k=4)
    points = points[np.all(near > 1.02 * halves[at], axis=1)]
    vertices = np.concatenate([border, points])
    faces = _faces_inside(vertices, region)
    n = len(vertices)
    present = np.sort(faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1) @ np.array([n, 1])
    if not np.isin(np.sort(sides, axis=1) @ np.array([n, 1]), present).all():
        raise DraftError(
            "a window lies too close to the panel's edge, or to another.",
            advice="Move it or make it smaller.",
        )
    return vertices, faces


def _inner_points(region: shapely.Polygon, holes: Sequence[Points]) -> Points:
    """Points whose spacing grows away from the holes: centres of squares split until small enough."""
    shapely.prepare(region)
    edges = np.concatenate(holes)
    sides = np.concatenate([np.linalg.norm(hole - np.roll(hole, -1, axis=0), axis=1) for hole in holes])
    tree = cKDTree(edges)
    low_x, low_y, high_x, high_y = region.bounds
    size = COARSE
    centres = np.stack(
        np.meshgrid(np.arange(low_x, high_x + size, size), np.arange(low_y, high_y + size, size)), axis=-1
    ).reshape(-1, 2)
    # Alternate rows are shifted, which makes the triangles nearly even.
    centres[:, 0] += 0.5 * size * (np.round((centres[:, 1] - low_y) / size) % 2)
    taken: list[Points] = []
    quarters = 0.25 * np.array([[-1.0, -1.0], [1.0, -1.0], [-1.0, 1.0], [1.0, 1.0]])
    while centres.size:
        distance, at = tree.query(centres)
        wanted = np.minimum(sides[at] + GROWTH * distance, COARSE)
        split = wanted < 0.75 * size
        whole = centres[~split]
        clear = distance[~split] > 0.6 * np.minimum(sides[at[~split]], size)
        inside = whole[clear & shapely.contains_xy(region, whole)]
        taken.append(inside[shapely.distance(region.exterior, shapely.points(inside)) > 0.5 * size])
        centres = (centres[split][:, None] + size * quarters).reshape(-1, 2)
        size *= 0.5
    return np.concatenate(taken)


def _faces_inside(vertices: Points, region: shapely.Polygon) -> Indices:
    faces = Delaunay(vertices).simplices.astype(np.int64)
    u, v = (vertices[faces[:, k]] - vertices[faces[:, 0]] for k in (1, 2))
    twice = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    faces = np.where((twice < 0.0)[:, None], faces[:, [0, 2, 1]], faces)
    kept = shapely.contains_xy(region, vertices[faces].mean(axis=1)) & (np.abs(twice) > 1e-4 * FINEST**2)
    inside: Indices = faces[kept]
    return inside


def _relaxed(border: Points, points: Points, region: shapely.Polygon) -> Points:
    """Every inner point moved to the middle of its neighbours, unless that leads it onto an outline."""
    vertices = np.concatenate([border, points])
    faces = _faces_inside(vertices, region)
    i, j = faces.ravel(), faces[:, [1, 2, 0]].ravel()
    count = np.bincount(i, minlength=len(vertices)) + np.bincount(j, minlength=len(vertices))
    total = np.stack(
        [
            np.bincount(i, weights=vertices[j, k], minlength=len(vertices))
            + np.bincount(j, weights=vertices[i, k], minlength=len(vertices))
            for k in range(2)
        ],
        axis=1,
    )
    middle = (total / np.maximum(count, 1)[:, None])[len(border) :]
    near, at = cKDTree(border).query(middle)
    side = np.linalg.norm(border - np.roll(border, -1, axis=0), axis=1)
    good = (near > 0.55 * np.minimum(side[at], COARSE)) & shapely.contains_xy(region, middle)
    return np.where(good[:, None], middle, points)
