"""A field over a flat piece as areas in colour: what is worse lies over what is better."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from layfigure.piece.cloth_field import ClothField
from layfigure.piece.piece import Piece
from layfigure.piece.tight_places import value_words
from layfigure.units import LengthUnit

Points = NDArray[np.float64]

RAMP: tuple[str, ...] = ("#fdf6df", "#f8d68a", "#eea14f", "#d2692f", "#a03a2c")
"""From harmless to worst: every step darker, so that eyes that mix colours, and grey paper, tell them apart;
the darkest still lets a black line be seen."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FieldArea:
    """One band of a field. limits : its values in words. share : of the piece's area that lies in it.

    shape : all of the piece that is in this band or a worse one, in the piece's own coordinates [mm].
    """

    words: str
    limits: str
    colour: str
    share: float
    shape: BaseGeometry


def field_areas(piece: Piece, field: ClothField, unit: LengthUnit) -> tuple[FieldArea, ...]:
    """The bands of a field from harmless to worst, within the stitch line and outside windows."""
    cloth = shapely.Polygon(piece.stitch_line, [window.curve for window in piece.windows]).buffer(0.0)
    order = range(len(field.bands))[::-1] if field.least_is_worst else range(len(field.bands))
    shapes: list[BaseGeometry] = [cloth]
    for band in [*order][1:]:
        # A simplified outline may reach a hair beyond the area that it lies in.
        shapes.append(_worse_than(field, band, shapes[-1]))
    areas = [shape.area for shape in shapes] + [0.0]
    return tuple(
        FieldArea(
            words=field.bands[band].words,
            limits=limit_words(field, band, unit),
            colour=RAMP[_step(rank, len(field.bands))],
            share=max(0.0, areas[rank] - areas[rank + 1]) / max(areas[0], 1e-9),
            shape=shapes[rank],
        )
        for rank, band in enumerate(order)
    )


def limit_words(field: ClothField, band: int, unit: LengthUnit) -> str:
    """``12 to 18 %``, ``under 0.4 kPa``, ``over 2.5 cm``."""

    def number(value: float) -> str:
        return value_words(value, field.unit, unit)

    low = None if band == 0 else field.bands[band - 1].limit
    high = field.bands[band].limit
    if low is None:
        return f"under {number(high)}"
    if not np.isfinite(high):
        return f"over {number(low)}"
    start = number(low)
    # The unit once, where both have the same.
    if start.rpartition(" ")[2] == number(high).rpartition(" ")[2]:
        start = start.rpartition(" ")[0]
    return f"{start} to {number(high)}"


def path_of(shape: BaseGeometry, offset: tuple[float, float], height: float) -> str:
    """The polygons of a shape as an SVG path on a sheet of that height, y down [mm]."""
    rings = [
        ring
        for part in shapely.get_parts(shape)
        if part.geom_type == "Polygon" and not part.is_empty
        for ring in (part.exterior, *part.interiors)
    ]
    path = []
    for ring in rings:
        places = np.asarray(ring.coords)[:-1] + offset
        path.append("M" + " ".join(f"{x:.1f},{height - y:.1f}" for x, y in places.tolist()) + "Z")
    return "".join(path)


def _step(rank: int, count: int) -> int:
    """Place on the ramp: the harmless band is the lightest, the worst the darkest."""
    return round(rank * (len(RAMP) - 1) / max(1, count - 1))


def _worse_than(field: ClothField, band: int, cloth: BaseGeometry) -> BaseGeometry:
    """All of an area of cloth that lies in this band or in worse ones."""
    limit = -field.bands[band].limit if field.least_is_worst else field.bands[band - 1].limit
    over = field.badness - limit
    corners, above = field.vertices[field.faces], over[field.faces]
    whole = (above >= 0.0).all(axis=1)
    part = ~whole & (above > 0.0).any(axis=1)
    faces = [*shapely.polygons(corners[whole])]
    faces += [_clipped(three, values) for three, values in zip(corners[part], above[part], strict=True)]
    if not faces:
        return shapely.Polygon()
    over_all = shapely.simplify(shapely.union_all(faces, grid_size=1e-3), 0.1)
    return shapely.intersection(over_all, cloth)


def _clipped(corners: Points, over: Points) -> shapely.Polygon:
    """The part of a triangle where values at its corners, running evenly between, are above nothing."""
    kept = []
    for k in range(3):
        after = (k + 1) % 3
        if over[k] >= 0.0:
            kept.append(corners[k])
        if (over[k] >= 0.0) != (over[after] >= 0.0):
            share = over[k] / (over[k] - over[after])
            kept.append(corners[k] + share * (corners[after] - corners[k]))
    return shapely.Polygon(kept) if len(kept) > 2 else shapely.Polygon()
