"""Which piece each point of a window lies on, and where an outline steps over a seam."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.draft.window.sheet import Sheet

Points = NDArray[np.float64]
Indices = NDArray[np.int64]
Flags = NDArray[np.bool_]

OFF_PIECE = 12.0
"""A window's point further outside of every piece leaves the garment [mm]."""
TORN = 20.0
"""A step over a seam of a piece with itself, such as a sleeve's, leaps at least so far in the flat [mm]."""


def is_across(sheets: Mapping[str, Sheet], curve: Points) -> bool:
    """Whether an outline, (k, 3) on the wearer, lies on several pieces or on both sides of a seam."""
    owner, outside = owners(sheets, curve)
    return len(np.unique(owner[outside < OFF_PIECE])) > 1 or bool(torn(sheets, curve, owner).any())


def torn(sheets: Mapping[str, Sheet], curve: Points, owner: Indices) -> Flags:
    """Which points of an outline lie beyond a piece's seam with itself from those before, (k,)."""
    found = np.zeros(len(curve), dtype=bool)
    for number, sheet in enumerate(sheets.values()):
        seams = [edge.seam for edge in sheet.edges if edge.seam is not None]
        own = owner == number
        if len(set(seams)) == len(seams) or not own.any():
            continue
        flat, step = np.zeros((len(curve), 2)), np.linalg.norm(curve - np.roll(curve, 1, axis=0), axis=1)
        flat[own] = sheet.flat(curve[own])
        leap = np.linalg.norm(flat - np.roll(flat, 1, axis=0), axis=1)
        found |= own & np.roll(own, 1) & (leap > TORN + 3.0 * step)
    return found


def owners(sheets: Mapping[str, Sheet], curve: Points) -> tuple[Indices, Points]:
    """Index of the piece that each point lies on, and how far outside of its stitch line it is [mm].

    Infinitely far where no piece reaches.
    """
    scores, outsides = [], []
    for sheet in sheets.values():
        flat, off = sheet.carry(curve)
        reached = np.isfinite(off)
        outside = np.full(len(curve), np.inf)
        outside[reached] = shapely.distance(sheet.outline, shapely.points(flat[reached]))
        outsides.append(outside)
        scores.append(outside + np.where(reached, off, np.inf))
    best = np.argmin(np.stack(scores), axis=0)
    return best, np.stack(outsides)[best, np.arange(len(curve))]
