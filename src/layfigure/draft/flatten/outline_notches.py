"""Notches across seams, at the same length from the seam's start on every use of it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from layfigure.draft.flatten.panel import FlatPanel
from layfigure.geometry.polyline import length
from layfigure.piece.piece import Notch

SPACING = 100.0
MARGIN = 15.0
"""No notch closer than this to a corner [mm]: the allowances of two seams overlap there."""


def seam_notches(
    flats: Mapping[str, FlatPanel], *, spacing: float = SPACING, margin: float = MARGIN
) -> dict[str, dict[str, tuple[Notch, ...]]]:
    """Notches by panel slug and edge slug, in loop order of each edge.

    spacing : about how far apart [mm]. margin : least distance from a corner [mm].
    Every use of a seam carries notches of the same names. The one nearest the seam's start is double, so
    a piece sewn in upside down shows (common practice, no source). A lone notch stands off the middle for the
    same reason.
    """
    placed: dict[str, dict[str, tuple[Notch, ...]]] = {}
    for slug, flat in flats.items():
        placed[slug] = {}
        for edge in flat.panel.outline:
            notches: tuple[Notch, ...] = ()
            if edge.seam is not None:
                whole = length(flat.curves[edge.slug])
                notches = _notches_along(edge.seam, whole, spacing, margin)
                if edge.against:
                    notches = tuple(
                        Notch(name=n.name, distance=whole - n.distance, count=n.count)
                        for n in reversed(notches)
                    )
            placed[slug][edge.slug] = notches
    return placed


def _notches_along(seam: str, whole: float, spacing: float, margin: float) -> tuple[Notch, ...]:
    """Notches in the seam's own direction."""
    if whole < 2.0 * margin + 10.0:
        return ()
    count = max(1, round(whole / spacing) - 1)
    shares = np.array([0.4]) if count == 1 else np.arange(1, count + 1) / (count + 1)
    distances = np.clip(shares * whole, margin, whole - margin)
    return tuple(
        Notch(name=f"{seam}-{k + 1}", distance=float(d), count=1 if k else 2) for k, d in enumerate(distances)
    )
