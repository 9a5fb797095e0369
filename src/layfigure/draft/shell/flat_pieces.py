"""Flat panels of a shell as pieces to cut: upright on the paper, with joins, notches, bevels and totals."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.sheet_practice import arrow_kind, sheet_practice
from layfigure.geometry.polyline import length, points_at
from layfigure.materials.cloth import Cloth
from layfigure.piece.arrow import arrow_inside
from layfigure.piece.piece import EdgeRole, Grainline, InnerLine, Notch, PieceEdge, Total

Points = NDArray[np.float64]

CLOTH_ALLOWANCE = 10.0
"""Seam allowance of cloth in a shell [mm] (common practice, no source)."""

BEVEL_INSET = 7.0
LEAST_BEVEL = 2.0
"""Bevels below this are left square [degrees]: no blade is held truer by hand."""

NOTCH_SPACING, NOTCH_MARGIN = 60.0, 12.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatEdge:
    """An edge of a flat panel. curve : (n, 2), counter-clockwise [mm]. seam, against : as on a piece.
    bevel : from square, at its start and its end [degrees], None where nothing is said; negative in a
    valley, where the sheet is cut back from the inside.
    open_role : of an edge that nothing meets. fastens : what it meets is held to it by clips, not joined.
    """

    slug: str
    curve: Points
    seam: str | None = None
    against: bool = False
    bevel: tuple[float, float] | None = None
    open_role: EdgeRole = "opening"
    fastens: bool = False


def turned(curve: Points, turn: float, origin: Points) -> Points:
    """Places moved so that the origin is at 0 and then turned, (n, 2)."""
    cosine, sine = np.cos(turn), np.sin(turn)
    moved: Points = (curve - origin) @ np.array([[cosine, sine], [-sine, cosine]])
    return moved


def piece_edges(edges: list[FlatEdge], cloth: Cloth) -> tuple[PieceEdge, ...]:
    """Edges with allowances as the sheet is joined, and notches where they meet others.

    Foam meets edge to edge; leather and other sheets lap on one of the two; cloth is sewn with an
    allowance on both.
    """
    lap = sheet_practice(cloth).band_lap
    sewn = cloth.kind in ("woven", "knit", "mesh")
    result = []
    for edge in edges:
        if edge.seam is None:
            result.append(PieceEdge(slug=edge.slug, curve=edge.curve, role=edge.open_role, allowance=0.0))
            continue
        role: EdgeRole
        if edge.fastens:
            role, allowance = "closure", 0.0
        elif sewn:
            role, allowance = "seam", CLOTH_ALLOWANCE
        elif lap == 0.0:
            role, allowance = "butt", 0.0
        else:
            role, allowance = "seam", 0.0 if edge.against else lap
        result.append(
            PieceEdge(
                slug=edge.slug,
                curve=edge.curve,
                role=role,
                allowance=allowance,
                seam=edge.seam,
                against=edge.against,
                notches=seam_notches(edge),
            )
        )
    return tuple(result)


def seam_notches(edge: FlatEdge) -> tuple[Notch, ...]:
    """Notches at the same lengths from the seam's start on both its edges; the first one double."""
    whole = length(edge.curve)
    if edge.seam is None or whole < 2.0 * NOTCH_MARGIN + 10.0:
        return ()
    count = max(1, round(whole / NOTCH_SPACING))
    shares = np.array([0.4]) if count == 1 else np.arange(1, count + 1) / (count + 1)
    own = (1.0 - shares) * whole if edge.against else shares * whole
    notches = [
        Notch(name=f"{edge.seam}-{k + 1}", distance=float(d), count=1 if k else 2) for k, d in enumerate(own)
    ]
    return tuple(sorted(notches, key=lambda notch: notch.distance))


def bevel_lines(edges: list[FlatEdge], cloth: Cloth) -> list[InnerLine]:
    """What to bevel each edge by, written along it on the inside; for sheets thick enough to bevel."""
    if cloth.kind != "foam":
        return []
    lines = []
    for edge in edges:
        if edge.bevel is None or max(map(abs, edge.bevel)) < LEAST_BEVEL:
            continue
        whole = length(edge.curve)
        if whole < 50.0:
            continue
        start, end = (abs(round(b)) for b in edge.bevel)
        words = f"bevel {start}°" if start == end else f"bevel {start}° to {end}°"
        words += " from the inside" if min(edge.bevel) < 0.0 else ""
        line = points_at(edge.curve, np.linspace(0.15, 0.85, 12) * whole)
        along = np.gradient(line, axis=0)
        inward = np.column_stack([-along[:, 1], along[:, 0]])
        inward /= np.linalg.norm(inward, axis=1, keepdims=True)
        lines.append(InnerLine(kind="placement", curve=line + BEVEL_INSET * inward, label=words))
    return lines


def totals_of(edges: list[FlatEdge], words: Mapping[str, str]) -> tuple[Total, ...]:
    """Lengths that a tape can check, of the edges named. words : edge slug to what it is called."""
    return tuple(
        Total(what=words[edge.slug], length=length(edge.curve)) for edge in edges if edge.slug in words
    )


def grain(edges: Sequence[FlatEdge], way: Points, cloth: Cloth) -> Grainline:
    """Along the middle of a panel, where the panel has room for it."""
    start, end = arrow_inside(np.concatenate([edge.curve[:-1] for edge in edges]), way)
    return Grainline(start=start, end=end, kind=arrow_kind(cloth))
