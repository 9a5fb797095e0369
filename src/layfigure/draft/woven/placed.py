"""Edges that the design places for a woven garment, and the levels used where it places none."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.knit.garment import placed_edge
from layfigure.draft.registry import DraftRequest
from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]

WAIST = 3.0
"""Station of the waist on the torso."""


def waist_line(request: DraftRequest) -> tuple[Points, float]:
    """The waist edge on the standing wearer, (m, 3) closed, and how sure it is; the waist itself if none
    is placed.
    """
    placed = placed_edge(request, "waist")
    if placed is None:
        ring = request.form.charts["torso"].section(WAIST)
        return np.vstack([ring, ring[:1]]), 0.0
    return placed.line, spread_of(placed)


def hem_height(request: DraftRequest, usual: float) -> tuple[float, float]:
    """Height of the hem above the floor [mm], the mean of both legs', and how sure it is.

    usual : height where the design places no hem.
    """
    roles = [role for role in ("hem", "hem_left", "hem_right") if role in request.statement.edges]
    edges = [edge for role in roles if (edge := placed_edge(request, role)) is not None]
    if not edges:
        return usual, 0.0
    return float(np.mean([edge.line[:, 2].mean() for edge in edges])), max(spread_of(edge) for edge in edges)


def spread_of(placed: PlacedEdge) -> float:
    """One standard deviation of an edge [mm]."""
    return float(np.max(placed.spread)) if len(placed.spread) else 0.0
