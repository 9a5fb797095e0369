"""Outlines made fit for laying: closed, simple, one way round, without points that say nothing."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from shapely import Polygon

from layfigure.errors import LayError

Points = NDArray[np.float64]

LOST = 0.005
"""Share of its area that mending an outline may take away: loops at a corner, not half a sleeve."""


def clean_outline(points: ArrayLike, name: str) -> Points:
    """The outline as a simple ring, counter-clockwise, (n, 2) [mm], the first point not repeated.

    Small loops are cut off. Raises LayError naming the part: fewer than three corners, a size that is no
    number, no area, or an outline that crosses itself so that nobody knows what is inside.
    """
    try:
        ring = np.asarray(points, dtype=np.float64)
    except (TypeError, ValueError):
        ring = np.zeros(0)
    if ring.ndim != 2 or ring.shape[1] != 2:
        raise LayError("its outline is no list of points.", where=name, advice="Draw it again.")
    if not np.isfinite(ring).all():
        raise LayError("its outline has a point that is nowhere.", where=name, advice="Draw it again.")
    ring = ring[np.any(ring != np.roll(ring, 1, axis=0), axis=1)]
    if len(ring) < 3:
        raise LayError(
            "its outline has fewer than three corners.", where=name, advice="Close the outline round an area."
        )
    area = Polygon(ring)
    if float(area.convex_hull.area) <= 1e-9 * float(np.ptp(ring, axis=0).max()) ** 2:
        raise LayError("its outline has no area.", where=name, advice="Close the outline round an area.")
    if not area.is_valid:
        whole = shapely.make_valid(area)
        parts = [part for part in shapely.get_parts(whole) if isinstance(part, Polygon)]
        largest = max(parts, key=lambda part: float(part.area), default=Polygon())
        turned = float(area.area)
        if largest.is_empty or abs(float(largest.area) - turned) > LOST * float(largest.area):
            raise LayError(
                "its outline crosses itself.", where=name, advice="Move the lines apart where they cross."
            )
        area = Polygon(largest.exterior)
    thin = shapely.simplify(area, 1e-9 * float(np.ptp(ring, axis=0).max()))
    area = thin if isinstance(thin, Polygon) and thin.is_valid and not thin.is_empty else area
    exterior = shapely.orient_polygons(area).exterior
    clean: Points = np.asarray(shapely.get_coordinates(exterior), dtype=np.float64)[:-1]
    return clean


def covering(outline: Points, tolerance: float, *, most: int = 60) -> Points:
    """A plainer outline that holds the whole of another, by twice the tolerance larger at most [mm].

    An outline of few points is its own cover, and so is any at tolerance 0.
    """
    if tolerance <= 0.0 or len(outline) <= most // 2:
        return outline
    true = Polygon(outline)
    grown = true.buffer(tolerance, join_style="mitre", mitre_limit=2.0)
    # Where a sharp corner was cut off, the grown outline is nearer than it is wide: then less is left out.
    for share in (0.95, 0.7, 0.45):
        plain = shapely.simplify(grown, share * tolerance)
        if not isinstance(plain, Polygon) or plain.is_empty or not plain.is_valid:
            continue
        plain = Polygon(plain.exterior)
        if plain.covers(true) and len(plain.exterior.coords) <= len(outline):
            ring = shapely.get_coordinates(shapely.orient_polygons(plain).exterior)[:-1]
            cover: Points = np.asarray(ring, dtype=np.float64)
            return cover
    return outline


def inset(outline: Points, by: float) -> Points | None:
    """The outline drawn in by so much all round [mm], counter-clockwise; None where it is too thin."""
    drawn_in = Polygon(outline).buffer(-by, join_style="mitre", mitre_limit=3.0)
    if not isinstance(drawn_in, Polygon) or drawn_in.is_empty or drawn_in.interiors:
        return None
    ring = shapely.get_coordinates(shapely.orient_polygons(drawn_in).exterior)[:-1]
    return np.asarray(ring, dtype=np.float64)
