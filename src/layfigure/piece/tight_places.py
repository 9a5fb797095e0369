"""The worst places of a field over a flat piece, named by the lines that a maker finds on it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.piece.cloth_field import ClothField, FieldUnit
from layfigure.piece.piece import InnerLine, Piece
from layfigure.units import LengthUnit, format_length

Points = NDArray[np.float64]

MOST = 3
APART = 0.2
"""Places told apart lie this far from each other, as a share of the piece's diagonal."""
LEAST_APART = 60.0
"""And no nearer than this [mm]."""
NEARLY = 0.75
"""What is less than this share of the worst is not among the worst."""
ON = 8.0
"""Nearer than this to a line is on it [mm]."""
NEAR = 120.0
"""Further than this from a line of the body, only the edge is named [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TightPlace:
    """One place. at : on the piece [mm]. value : in the field's unit. words : without a full stop."""

    vertex: int
    at: tuple[float, float]
    value: float
    words: str


def tight_places(piece: Piece, field: ClothField, unit: LengthUnit) -> tuple[TightPlace, ...]:
    """The worst place first, then those nearly as bad elsewhere on the piece, three at most."""
    return tuple(_place(piece, field, vertex, unit) for vertex in worst_vertices(field))


def worst_vertices(field: ClothField) -> Iterator[int]:
    """The worst vertex, and others nearly as bad that lie apart from it and each other."""
    apart = max(LEAST_APART, APART * float(np.linalg.norm(np.ptp(field.vertices, axis=0))))
    worst = field.values[field.worst]
    limit = worst / NEARLY if field.least_is_worst else NEARLY * worst
    free = field.values <= limit if field.least_is_worst else field.values >= limit
    free[field.worst] = True
    for _ in range(MOST):
        left = np.flatnonzero(free)
        if not left.size:
            return
        vertex = int(left[field.badness[left].argmax()])
        yield vertex
        free &= np.linalg.norm(field.vertices - field.vertices[vertex], axis=1) >= apart


def value_words(value: float, unit: FieldUnit, lengths: LengthUnit) -> str:
    """``18 %``, ``0.9 kPa``; a length as the maker reads it."""
    if unit == "mm":
        return format_length(value, lengths)
    return f"{value:.0f} %" if unit == "%" else f"{value:.1f} kPa"


def _place(piece: Piece, field: ClothField, vertex: int, unit: LengthUnit) -> TightPlace:
    at = field.vertices[vertex]
    value = float(field.values[vertex])
    told = field.said.format(value_words(value, field.unit, unit))
    return TightPlace(
        vertex=vertex,
        at=(float(at[0]), float(at[1])),
        value=value,
        words=f"{told}: {where_on(piece, at, unit)}",
    )


def where_on(piece: Piece, at: Points, unit: LengthUnit) -> str:
    """``2 cm above the bust line, 4 cm from the edge side left``."""
    edge, far = min(
        ((edge, _distance(edge.curve, at)) for edge in piece.edges), key=lambda pair: float(pair[1][0])
    )
    name = edge.slug.replace("_", " ")
    beside = f"at the edge {name}" if far[0] < ON else f"{format_length(far[0], unit)} from the edge {name}"
    lines = [(line, _distance(_whole(line), at)) for line in piece.lines if _names_a_place(line)]
    if not lines:
        return beside
    line, (off, step) = min(lines, key=lambda pair: float(pair[1][0]))
    if off > NEAR:
        return beside
    said = f"the {line.label.partition(':')[0]} line"
    if off < ON:
        return f"on {said}, {beside}"
    upright = abs(step[1]) > abs(step[0])
    way = ("above" if step[1] > 0.0 else "below") if upright else "beside"
    return f"{format_length(off, unit)} {way} {said}, {beside}"


def _names_a_place(line: InnerLine) -> bool:
    return line.kind in ("balance", "centre") and bool(line.label)


def _whole(line: InnerLine) -> Points:
    return np.vstack([line.curve, line.curve[:1]]) if line.closed else line.curve


def _distance(curve: Points, at: Points) -> tuple[float, Points]:
    """How far a place is from a line [mm], and the way from the line to it."""
    line, place = shapely.LineString(curve), shapely.Point(at)
    foot = line.interpolate(line.project(place))
    return line.distance(place), np.array([place.x - foot.x, place.y - foot.y])
