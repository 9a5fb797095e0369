"""A triangle mesh inside a flat outline: hexagonal points, Delaunay, no ear on the outline.

Triangles are small along the outline, where edges and corners need them, and three times as large in the
middle.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import Delaunay

from layfigure.errors import DraftError

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

CLEARANCE = 0.62
"""Inner points keep this share of the spacing from the outline, so that Delaunay
finds the outline's steps."""
BAND = 4.0
"""Width of the border of fine triangles, over their spacing."""


def graded_mesh(
    outline: Points, spacing: float, *, where: str = "", rounds: int = 4
) -> tuple[Points, Indices]:
    """Mesh a simple polygon.

    outline : (b, 2) counter-clockwise [mm], steps of about ``spacing``; becomes the first b vertices.
    Returns vertices (n, 2) and faces (m, 3), counter-clockwise; every step of the outline is a side of one
    face, and no face has three outline vertices. Raises DraftError where the outline crosses itself.
    """
    polygon = shapely.Polygon(outline)
    if not polygon.is_valid:
        raise DraftError(
            "the outline of a panel crosses itself.", where=where, advice="Move its edges further apart."
        )
    ring = polygon.exterior
    shapely.prepare([polygon, ring])
    border = len(outline)
    inner = _hexagonal(polygon, spacing)
    for turn in range(rounds):
        points = np.vstack([outline, inner])
        faces = _inside_faces(points, polygon, spacing)
        if turn < rounds - 1:
            inner = _relaxed(points, faces, border)
            keep = ~shapely.dwithin(ring, shapely.points(inner), 0.4 * spacing)
            inner = inner[keep & shapely.contains_xy(polygon, inner)]
    points, faces = _without_ears(points, faces, border)
    _check_outline(faces, border, where)
    return points, faces


def _hexagonal(polygon: shapely.Polygon, spacing: float) -> Points:
    low_x, low_y, high_x, high_y = polygon.bounds
    rise = spacing * np.sqrt(0.75)
    rows, columns = int((high_y - low_y) / rise) + 2, int((high_x - low_x) / spacing) + 2
    j, i = np.mgrid[0:rows, 0:columns]
    grid = np.stack([low_x + (i + 0.5 * (j % 2)) * spacing, low_y + j * rise], axis=-1).reshape(-1, 2)
    room, middle = (polygon.buffer(-share * spacing) for share in (CLEARANCE, BAND))
    shapely.prepare([room, middle])
    # Every third point of a hexagonal grid is one itself, with sides longer by the root of three.
    third = ((i - (j - j % 2) // 2 - j) % 3 == 0).ravel()
    inside: Points = grid[shapely.contains_xy(room, grid) & (third | ~shapely.contains_xy(middle, grid))]
    return inside


def _inside_faces(points: Points, polygon: shapely.Polygon, spacing: float) -> Indices:
    faces = Delaunay(points).simplices.astype(np.int64)
    a, b, c = (points[faces[:, k]] for k in range(3))
    twice = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    faces = np.where((twice < 0.0)[:, None], faces[:, [0, 2, 1]], faces)
    # Faces of inner points are inside for certain; a face of outline points alone is asked.
    centre = points[faces].mean(axis=1)
    keep = shapely.contains_xy(polygon, centre) & (np.abs(twice) > 1e-6 * spacing**2)
    kept: Indices = faces[keep]
    return kept


def _relaxed(points: Points, faces: Indices, border: int) -> Points:
    """Every inner point moved to the middle of its neighbours."""
    i, j = faces[:, [0, 1, 2]].ravel(), faces[:, [1, 2, 0]].ravel()
    total = np.zeros_like(points)
    count = np.zeros(len(points))
    for a, b in ((i, j), (j, i)):
        np.add.at(total, a, points[b])
        np.add.at(count, a, 1.0)
    middle = total / np.maximum(count, 1.0)[:, None]
    moved: Points = middle[border:]
    return moved


def _without_ears(points: Points, faces: Indices, border: int) -> tuple[Points, Indices]:
    """Split every face whose three corners are all on the outline at its middle."""
    ears = (faces < border).all(axis=1)
    if not ears.any():
        return points, faces
    tri = faces[ears]
    middle = len(points) + np.arange(len(tri))
    split = [np.stack([tri[:, k], tri[:, (k + 1) % 3], middle], 1) for k in range(3)]
    return np.vstack([points, points[tri].mean(axis=1)]), np.concatenate([faces[~ears], *split])


def _check_outline(faces: Indices, border: int, where: str) -> None:
    directed = faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    n = int(faces.max()) + 1
    keys, reverse = directed[:, 0] * n + directed[:, 1], directed[:, 1] * n + directed[:, 0]
    found = np.sort(keys[~np.isin(keys, reverse)])
    i = np.arange(border)
    if not np.array_equal(found, np.sort(i * n + (i + 1) % border)):
        raise DraftError(
            "a panel is too narrow somewhere to be meshed.",
            where=where,
            advice="Keep 20 mm between its edges.",
        )
