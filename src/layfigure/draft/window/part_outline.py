"""The outline of what is cut out of a piece, told apart by what bounds it, and two parts laid as one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.draft.window.across_seams import WindowPart
from layfigure.draft.window.sheet import Sheet
from layfigure.geometry.polyline import length, points_at
from layfigure.geometry.rigid import rigid_onto

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PartEdge:
    """A stretch of the outline of a part: of the window's own edge, or of a seam. curve : (n, 2)."""

    curve: Points
    seam: str | None
    against: bool


def part_edges(sheet: Sheet, part: WindowPart) -> list[PartEdge]:
    """The outline of what is cut out of a piece, counter-clockwise, told apart by what bounds it."""
    ring = np.asarray(shapely.geometry.polygon.orient(part.part).exterior.coords)
    middles = shapely.points(0.5 * (ring[1:] + ring[:-1]))
    sources: list[tuple[shapely.LineString, str | None, bool]] = [
        (shapely.LineString(line), None, False) for line in part.lines
    ]
    sources += [
        (shapely.LineString(edge.curve), edge.seam, edge.against)
        for edge in sheet.edges
        if edge.seam is not None
    ]
    owner = np.argmin(np.stack([shapely.distance(line, middles) for line, _, _ in sources]), axis=0)
    starts = np.flatnonzero(owner != np.roll(owner, 1))
    if not starts.size:
        starts = np.array([0])
    ring, owner = np.roll(ring[:-1], -int(starts[0]), axis=0), np.roll(owner, -int(starts[0]))
    ring = np.vstack([ring, ring[:1]])
    cuts = [*np.flatnonzero(np.append(True, owner[1:] != owner[:-1])).tolist(), len(ring) - 1]
    return [
        PartEdge(curve=ring[a : b + 1], seam=sources[owner[a]][1], against=sources[owner[a]][2])
        for a, b in pairwise(cuts)
    ]


def joined_flat(first: Sequence[PartEdge], second: Sequence[PartEdge], *, within: float) -> Points | None:
    """Two parts that share one seam as one outline, (n, 2), in the plane of the first.

    None where the seam bends so that both do not lie flat together within a distance [mm].
    """
    seams = [[edge for edge in part if edge.seam is not None] for part in (first, second)]
    if any(len(own) != 1 or len(part) != 2 for own, part in zip(seams, (first, second), strict=True)):
        return None
    (one,), (other,) = seams
    if one.seam != other.seam:
        return None
    share = np.linspace(0.0, 1.0, 41)
    mine, theirs = (points_at(curve, share * length(curve)) for curve in (one.curve, other.curve[::-1]))
    turn, move = rigid_onto(theirs, mine)
    if float(np.linalg.norm(theirs @ turn + move - mine, axis=1).max()) > within:
        return None
    edges = [next(edge for edge in part if edge.seam is None).curve for part in (first, second)]
    whole = np.vstack([edges[0][:-1], (edges[1] @ turn + move)[:-1]])
    # Where the seam bends a little, both halves do not quite meet: the edge stays as long as the window's.
    middle = whole.mean(axis=0)
    grown = sum(length(edge) for edge in edges) / length(whole, closed=True)
    joined: Points = middle + grown * (whole - middle)
    return joined
