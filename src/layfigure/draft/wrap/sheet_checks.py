"""What the sheet of a wrap is held against: that it clears the body, stays near it, and lies flat true."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from shapely import Polygon

from layfigure.draft.registry import Check
from layfigure.draft.wrap.drawn_band import DrawnBand
from layfigure.draft.wrap.piece import mates_differ
from layfigure.draft.wrap.surface import GAP_LIMIT, WrapSurface
from layfigure.piece.piece import PieceEdge

MATES_LIMIT = 0.05
"""Joined edges that differ by less between notches are alike to whoever glues them [mm]."""


def sheet_checks(surface: WrapSurface, bands: Sequence[DrawnBand]) -> list[Check]:
    """Room, standing off, mates, lengths laid flat, and outlines that cross themselves."""
    by_seam: dict[str, list[PieceEdge]] = {}
    for band in bands:
        for edge in band.edges:
            if edge.seam is not None:
                by_seam.setdefault(edge.seam, []).append(edge)
    mates = max((mates_differ(*pair) for pair in by_seam.values() if len(pair) == 2), default=0.0)
    stretch = max(band.outline.stretch_error() for band in bands)
    simple = [Polygon(np.concatenate([e.curve[:-1] for e in band.edges])).is_valid for band in bands]
    return [
        Check(
            what="how far the body stands out of the sheet, room and layers beneath counted",
            unit="mm",
            value=max(0.0, surface.poke),
            limit=0.0,
            passed=surface.poke <= 1e-6,
            advice="" if surface.poke <= 1e-6 else "Give it more air.",
        ),
        Check.at_most(
            what="how far it stands off the body, but for 5 % of its area",
            unit="mm",
            value=surface.gap_p95,
            limit=GAP_LIMIT,
            advice="It stands away from the body: allow more bands, or make it shorter.",
        ),
        Check.at_most(
            what="how far edges that are joined differ in length between notches",
            unit="mm",
            value=mates,
            limit=MATES_LIMIT,
        ),
        Check.at_most(
            what="how much laying flat changes a length",
            unit="mm",
            value=stretch,
            limit=0.01,
        ),
        Check(
            what="how many outlines cross themselves",
            value=float(simple.count(False)),
            limit=0.0,
            passed=all(simple),
            advice="" if all(simple) else "Move the edges apart where they meet.",
        ),
    ]
