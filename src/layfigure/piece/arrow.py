"""Where the arrow of a piece has room."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from shapely import Polygon

Points = NDArray[np.float64]

PLACES = np.linspace(-0.45, 0.45, 19)
"""Parallel lines that are tried, across the piece, as shares of its size."""
PART = 0.5
"""Share of the room that the arrow takes."""
CLEAR = 3.0
"""It stays so far from what it does not cross [mm]."""


def arrow_inside(
    outline: Points, way: ArrayLike, *, beside: Sequence[Polygon] = ()
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Start and end of an arrow along a direction, in the longest stretch of the piece that runs that way.

    outline : (n, 2) stitch line, first point not repeated [mm]. way : (2,), not zero. beside : what the arrow
    does not cross.
    """
    # An outline that crosses itself is for its check to tell; its arrow must not fail before.
    area = shapely.make_valid(Polygon(outline))
    along = np.asarray(way, dtype=np.float64)
    along = along / np.linalg.norm(along)
    across = np.array([-along[1], along[0]])
    middle = 0.5 * (outline.min(axis=0) + outline.max(axis=0))
    size = wide = float(np.linalg.norm(np.ptp(outline, axis=0)))
    if beside:
        area = area.difference(shapely.union_all(beside).buffer(CLEAR))
        # Of what is left there may be no more than a strip along an edge.
        wide = float(np.ptp(outline @ across))
        middle += (0.5 * ((outline @ across).min() + (outline @ across).max()) - middle @ across) * across
    places = middle + (wide * PLACES)[:, None] * across
    lines = shapely.linestrings(np.stack([places - size * along, places + size * along], axis=1))
    # All lines in one call: the outline is gone through once, not for every line.
    parts = shapely.get_parts(shapely.intersection(area, shapely.multilinestrings(lines)))
    stretches = parts[shapely.get_type_id(parts) == shapely.GeometryType.LINESTRING]
    start, end = shapely.get_coordinates(stretches[shapely.length(stretches).argmax()])
    if (end - start) @ along < 0.0:
        start, end = end, start
    low, high = start + 0.5 * (1.0 - PART) * (end - start), end - 0.5 * (1.0 - PART) * (end - start)
    return (float(low[0]), float(low[1])), (float(high[0]), float(high[1]))
