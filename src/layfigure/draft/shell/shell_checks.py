"""What is verified of every shell: stretch, joins, outlines, what stands out, what it weighs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray
from shapely import LinearRing

from layfigure.draft.registry import Check
from layfigure.draft.shell.flattening import STRETCH_MOST, STRETCH_P95
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.polyline import length, points_at
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Piece, PieceEdge

Points = NDArray[np.float64]

MATE_LIMIT = 0.05
"""Largest difference in length of edges that meet, notch to notch [mm]."""


def stretch_checks(p95: float, most: float, advice: str) -> tuple[Check, Check]:
    """Whether the sheet takes the doming it is asked for. p95, most : shares."""
    return (
        Check(
            what="how far the sheet must stretch or shrink, but for 5 % of its area",
            value=100.0 * p95,
            limit=100.0 * STRETCH_P95,
            unit="%",
            passed=p95 <= STRETCH_P95,
            advice="" if p95 <= STRETCH_P95 else advice,
        ),
        Check(
            what="how far it must stretch or shrink at the worst place",
            value=100.0 * most,
            limit=100.0 * STRETCH_MOST,
            unit="%",
            passed=most <= STRETCH_MOST,
            advice="" if most <= STRETCH_MOST else advice,
        ),
    )


def join_check(pieces: Iterable[Piece]) -> Check:
    """Whether edges that meet are equally long, from notch to notch."""
    uses: dict[str, list[PieceEdge]] = {}
    for piece in pieces:
        for edge in piece.edges:
            if edge.seam is not None:
                uses.setdefault(edge.seam, []).append(edge)
    worst = 0.0
    for first, *others in uses.values():
        for other in others:
            a, b = _stops(first), _stops(other)
            worst = max(worst, float(np.abs(a - b).max()) if len(a) == len(b) else np.inf)
    passed = worst <= MATE_LIMIT
    return Check(
        what="how far edges that are joined differ in length between notches",
        value=worst,
        limit=MATE_LIMIT,
        unit="mm",
        passed=passed,
        advice="" if passed else "Measure both edges and trim the longer one.",
    )


def _stops(edge: PieceEdge) -> Points:
    """Lengths from stop to stop along the seam's own direction."""
    whole = length(edge.curve)
    at = np.array([0.0, *(notch.distance for notch in edge.notches), whole])
    stops: Points = np.diff(np.sort(whole - at if edge.against else at))
    return stops


def outline_check(pieces: Sequence[Piece]) -> Check:
    """Whether every outline keeps clear of itself."""
    crossed = sum(not LinearRing(piece.stitch_line).is_simple for piece in pieces)
    return Check(
        what="how many outlines cross themselves",
        value=float(crossed),
        limit=0.0,
        passed=crossed == 0,
        advice="" if not crossed else "Cut it into more pieces.",
    )


def room_check(standing_out: float) -> Check:
    """Whether the body keeps inside, room and layers beneath counted."""
    passed = standing_out <= 0.05
    return Check(
        what="how far the body stands out of it, room and layers beneath counted",
        value=standing_out,
        limit=0.05,
        unit="mm",
        passed=passed,
        advice="" if passed else "Give it more air.",
    )


def mass_of(mesh: TriangleMesh, cloth: Cloth) -> float:
    """Mass of the bare sheet [g]. mesh : its surface [mm]."""
    return float(mesh.face_areas().sum()) * 1e-6 * cloth.areal_mass


def straight(start: Points, end: Points) -> Points:
    """Points 2 mm apart from start to end, (n, 2)."""
    whole = float(np.linalg.norm(end - start))
    # A side of a whole number of steps must not gain a point by rounding.
    steps = max(1, int(np.ceil(whole / 2.0 - 1e-9)))
    return points_at(np.stack([start, end]), np.linspace(0.0, whole, steps + 1))
