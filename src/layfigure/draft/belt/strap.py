"""From the middle line of a belt to a strap: edges, ends, holes."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.wrap.outline import straight
from layfigure.geometry.polyline import arc_lengths, points_at
from layfigure.piece.piece import InnerLine, PieceEdge

Points = NDArray[np.float64]

TIP = 2.5
"""From the last hole to the tip, in strap widths (published saddlers' rule)."""

HOLE = 4.0
SLOT = 25.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleRow:
    """Holes of a buckled strap: how many, how far apart [mm], and how far the tip is past the middle one."""

    count: int
    spacing: float
    width: float

    @property
    def beyond(self) -> float:
        """From the middle hole to the tip [mm]."""
        return 0.5 * (self.count - 1) * self.spacing + TIP * self.width

    def distances(self, girth: float) -> Points:
        """Of every hole from the fold at the buckle, the middle one once round [mm]."""
        steps = np.arange(self.count, dtype=np.float64) - 0.5 * (self.count - 1)
        distances: Points = girth + self.spacing * steps
        return distances


def offset_curve(curve: Points, distance: float) -> Points:
    """Parallel of a smooth curve, positive to the left of its run, mitred at its bends, (n, 2)."""
    steps = np.diff(curve, axis=0)
    steps = steps / np.linalg.norm(steps, axis=1, keepdims=True)
    normals = np.column_stack([-steps[:, 1], steps[:, 0]])
    before, after = np.vstack([normals[:1], normals]), np.vstack([normals, normals[-1:]])
    parallel: Points = curve + distance * (before + after) / (1.0 + (before * after).sum(axis=1))[:, None]
    return parallel


def strap_edges(
    curve: Points, width: float, *, fold_back: float, long_allowance: float
) -> tuple[PieceEdge, ...]:
    """Outline of a strap about its middle line: bottom, tip, top, and the end that opens.

    fold_back : added beyond the opening end, to turn round the buckle, 0 for none [mm].
    """
    top, bottom = offset_curve(curve, 0.5 * width), offset_curve(curve, -0.5 * width)
    return (
        PieceEdge(slug="bottom", curve=bottom, role="opening", allowance=long_allowance),
        PieceEdge(slug="tip", curve=straight(bottom[-1], top[-1]), role="opening", allowance=0.0),
        PieceEdge(slug="top", curve=top[::-1], role="opening", allowance=long_allowance),
        PieceEdge(
            slug="buckle_end" if fold_back > 0.0 else "end",
            curve=straight(top[0], bottom[0]),
            role="closure",
            allowance=fold_back,
        ),
    )


def across(curve: Points, distance: float, width: float) -> Points:
    """The line square across a strap at a distance along it, (2, 2)."""
    at = points_at(curve, [distance - 0.5, distance, distance + 0.5])
    along = at[2] - at[0]
    along = along / np.linalg.norm(along)
    normal = np.array([-along[1], along[0]])
    ends: Points = at[1] + 0.5 * width * np.array([[-1.0], [1.0]]) * normal
    return ends


def hole_lines(curve: Points, row: HoleRow, girth: float) -> list[InnerLine]:
    """Holes to punch, and the slot for the buckle's prong."""
    angle = 2.0 * math.pi * np.arange(16) / 16
    ring = 0.5 * HOLE * np.column_stack([np.cos(angle), np.sin(angle)])
    middle = row.count // 2
    lines = [
        InnerLine(
            kind="placement",
            curve=at + ring,
            label="middle hole" if number == middle else "",
            closed=True,
        )
        for number, at in enumerate(points_at(curve, row.distances(girth)))
    ]
    lines.append(InnerLine(kind="slit", curve=points_at(curve, [0.0, 0.5 * SLOT]), label="prong slot"))
    return lines


def girth_to(curve: Points, distance: float) -> Points:
    """The first part of a line, up to a distance along it, (n, 2)."""
    s = arc_lengths(curve)
    first: Points = np.concatenate([curve[s < distance - 1e-9], points_at(curve, [distance])])
    return first
