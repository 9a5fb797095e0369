"""Lines with no more points than a maker or a machine can tell apart.

Drafting samples its curves finely, to measure them well. Files and paper need less: a point is left out where
the line without it lies within 0.005 mm of where it was (Douglas and Peucker, 1973, as shapely has it), and
only as long as the line's length stays true.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.geometry.polyline import arc_lengths, points_at
from layfigure.piece.piece import PieceEdge

Points = NDArray[np.float64]

TOLERANCE = 0.005
"""How far a thinned line may lie from the line as drafted [mm]."""

SHORTENING = 0.004
"""How much shorter than the line as drafted a thinned one may be, from end to end [mm]."""

ONE_PLACE = 1e-6
"""Points nearer than this along a line are one [mm]."""


def thinned(
    points: Points, *, closed: bool = False, keep: Sequence[float] = (), tolerance: float = TOLERANCE
) -> Points:
    """A polyline with as few points as ``tolerance`` and ``SHORTENING`` allow, (m, 2) [mm].

    points : (n, 2). keep : arc lengths at which a point must stand [mm]. Ends, or the first point of a closed
    line, always stay, and so does every corner that shows.
    """
    line = np.vstack([points, points[:1]]) if closed else points
    parts = _parted(line, keep)
    while True:
        thin = shapely.simplify(parts, tolerance, preserve_topology=False)
        if float((shapely.length(parts) - shapely.length(thin)).sum()) <= SHORTENING:
            break
        tolerance *= 0.5
    found = [np.asarray(shapely.get_coordinates(part)) for part in thin]
    whole: Points = np.concatenate([found[0], *(part[1:] for part in found[1:])])
    return whole[:-1] if closed else whole


def thinned_edge(edge: PieceEdge) -> Points:
    """The edge's stitch line, thinned, with a point at each of its notches, (m, 2) [mm]."""
    return thinned(edge.curve, keep=[notch.distance for notch in edge.notches])


def _parted(line: Points, keep: Sequence[float]) -> NDArray[np.object_]:
    """A line cut at arc lengths: linestrings that end there exactly."""
    along = arc_lengths(line)
    cuts = np.sort(np.asarray(keep, dtype=np.float64))
    cuts = cuts[(np.diff(cuts, prepend=0.0) > ONE_PLACE) & (cuts < along[-1] - ONE_PLACE)]
    bounds = [-np.inf, *cuts.tolist(), np.inf]
    # Only what was cut gets new ends: the line's own ends stay exact, for neighbours share them.
    places = [line[:0], *points_at(line, cuts)[:, None], line[:0]]
    return np.array(
        [
            shapely.LineString(
                np.concatenate(
                    [
                        places[k],
                        line[(along > bounds[k] + ONE_PLACE) & (along < bounds[k + 1] - ONE_PLACE)],
                        places[k + 1],
                    ]
                )
            )
            for k in range(len(bounds) - 1)
        ],
        dtype=object,
    )
