"""Notches as they are drawn: short strokes from the cut line toward the stitch line."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.geometry.polyline import points_at
from layfigure.piece.piece import Notch, PieceEdge

Points = NDArray[np.float64]

STROKE_GAP = 4.0
"""Distance between the strokes of a double notch [mm]."""

INWARD_TICK = 4.0
"""Length of a notch on an edge without allowance, drawn into the piece [mm]."""

LONGEST = 8.0
"""Length of a notch in a wide allowance, from the cut line inward [mm] (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NotchMark:
    """A notch placed on its edge.

    at : (2,) its place on the stitch line [mm]. strokes : (count, 2, 2) each outward to the cut line, from
    the stitch line or from ``LONGEST`` inside the cut line, whichever is nearer to it; from the stitch line
    into the piece where the edge has no allowance. short : (count,) how far each begins outside the stitch
    line [mm].
    """

    edge: PieceEdge
    notch: Notch
    at: Points
    strokes: Points
    short: Points


def notch_marks(edge: PieceEdge, cut: Points) -> list[NotchMark]:
    """Every notch of an edge. cut : (n, 2) closed cut line of the piece [mm]."""
    ring = shapely.LinearRing(cut)
    marks = []
    for notch in edge.notches:
        places = notch.distance + STROKE_GAP * (np.arange(notch.count) - 0.5 * (notch.count - 1))
        places = np.clip(places, 0.0, edge.length)
        feet = points_at(edge.curve, places)
        normals = _normals_at(edge.curve, places)
        strokes = np.array([_stroke(f, n, edge.allowance, ring) for f, n in zip(feet, normals, strict=True)])
        short = np.linalg.norm(strokes[:, 0] - feet, axis=1)
        at = points_at(edge.curve, [notch.distance])[0]
        marks.append(NotchMark(edge=edge, notch=notch, at=at, strokes=strokes, short=short))
    return marks


def _normals_at(curve: Points, places: Points) -> Points:
    """Outward normals, taken over 2 mm so that a vertex under the notch does not tilt it, (m, 2)."""
    chord = points_at(curve, places + 1.0) - points_at(curve, places - 1.0)
    chord = chord / np.linalg.norm(chord, axis=1, keepdims=True)
    normals: Points = np.column_stack([chord[:, 1], -chord[:, 0]])
    return normals


def _stroke(foot: Points, normal: Points, allowance: float, ring: shapely.LinearRing) -> Points:
    if allowance <= 0.0:
        return np.array([foot, foot - INWARD_TICK * normal])
    ray = shapely.LineString([foot, foot + 3.0 * allowance * normal])
    crossings = shapely.get_coordinates(shapely.intersection(ray, ring))
    wide = float(np.linalg.norm(crossings - foot, axis=1).min()) if len(crossings) else allowance
    return np.array([foot + max(wide - LONGEST, 0.0) * normal, foot + wide * normal])
