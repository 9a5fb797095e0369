"""The cut line: the stitch line moved out by each edge's own allowance, with corners that can be sewn.

Every edge gets a strip as wide as its allowance; the cut line is the outline of the piece and its strips
together. Corners, in trade terms (common practice, no source):

* two allowances meet where their cut lines meet (a mitre), at equal or different widths;
* a sharp point is cut off square before it becomes a spike;
* edges that run on smoothly with different widths meet in a square step;
* a fold, and any edge without allowance, ends the strips beside it: nothing crosses its line;
* a hem is cut as the mirror image of the seams beside it, so that it lies flat when turned up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from layfigure.errors import DraftError
from layfigure.piece.piece import PieceEdge

Points = NDArray[np.float64]

SPIKE_LIMIT = 2.0
"""How far a corner may reach from the stitch line, in multiples of the wider of its two allowances."""

GRID = 1e-5
"""Rounding of the cut line [mm]."""

HAIR = 0.02
"""Half the width of slits and hairs that rounding and curved corners leave [mm]."""

STRAIGHT = np.sin(np.radians(1.0))
"""Edges that turn less than this at a corner run on smoothly."""


def cut_line(edges: Sequence[PieceEdge], *, spike_limit: float = SPIKE_LIMIT) -> Points:
    """Cut line of an outline whose edges carry their allowances.

    edges : in loop order, counter-clockwise. spike_limit : see ``SPIKE_LIMIT``, at least 1.5.
    Returns (n, 2) closed, counter-clockwise, first point not repeated [mm], exact to 0.001 mm, not to be
    written to: the last few are kept, for paper and files ask for the same. Edges are the same when they are
    the same objects. Raises DraftError when the stitch line crosses itself.
    """
    return _cut_line(tuple(edges), spike_limit)


def whole_outline(edges: Sequence[PieceEdge]) -> Polygon:
    """The area within the stitch line. Raises DraftError when that crosses itself or runs clockwise."""
    outline = Polygon(np.concatenate([edge.curve[:-1] for edge in edges]))
    if not outline.is_valid or not outline.exterior.is_ccw:
        raise DraftError(
            "the stitch line crosses itself or runs clockwise.",
            advice="Move the edges apart where they meet, and draft again.",
        )
    return outline


def forget_cut_lines() -> None:
    """Forget what ``cut_line`` kept, as a measurement of time must."""
    _cut_line.cache_clear()


@lru_cache(maxsize=512)
def _cut_line(edges: tuple[PieceEdge, ...], spike_limit: float) -> Points:
    outline = whole_outline(edges)
    strips = [_strip(edge.curve, edge.allowance) for edge in edges]
    added: list[BaseGeometry] = [outline]
    for index, edge in enumerate(edges):
        following = (index + 1) % len(edges)
        corner = _corner(edge, edges[following], spike_limit)
        added.extend(corner.added)
        strips[index] = _without(strips[index], corner.off_first)
        strips[following] = _without(strips[following], corner.off_second)
    # Snapping to a fine grid closes the hairlines that rounding leaves between neighbouring strips.
    whole = shapely.union_all([*added, *strips], grid_size=GRID)
    largest = max(shapely.get_parts(whole), key=lambda part: float(part.area))
    ring = shapely.simplify(_without_hairs(Polygon(largest.exterior)), 0.0005).exterior
    cut: Points = np.asarray(shapely.get_coordinates(ring), dtype=np.float64)[:-1]
    cut = cut if ring.is_ccw else cut[::-1]
    # Start by the first edge's corner, wherever the union began: the same piece gives the same file.
    start = int(np.linalg.norm(cut - edges[0].curve[0], axis=1).argmin())
    cut = np.roll(cut, -start, axis=0)
    cut.setflags(write=False)
    return cut


def _without_hairs(area: Polygon) -> Polygon:
    """The area less slits and hairs thinner than a pen could draw; corners stay where they are."""
    for width in (HAIR, -HAIR):
        there = area.buffer(width, join_style="mitre", mitre_limit=100.0)
        back = there.buffer(-width, join_style="mitre", mitre_limit=100.0)
        area = Polygon(max(shapely.get_parts(back), key=lambda part: float(part.area)).exterior)
    return area


def outward_normals(curve: Points) -> Points:
    """Unit normals of a curve's segments, to the right of its run: outward for an edge, (n - 1, 2)."""
    steps = np.diff(curve, axis=0)
    steps = steps / np.linalg.norm(steps, axis=1, keepdims=True)
    normals: Points = np.column_stack([steps[:, 1], -steps[:, 0]])
    return normals


def _strip(curve: Points, allowance: float) -> BaseGeometry:
    """Area between an edge and its parallel, square at both ends."""
    if allowance <= 0.0:
        return Polygon()
    offset = allowance * outward_normals(curve)
    start, end = curve[:-1], curve[1:]
    boxes = shapely.polygons(np.stack([start, start + offset, end + offset, end], axis=1))
    # A bend outward opens a wedge between two boxes. Filling it to the mitre keeps the cut line parallel.
    before, after, bend = offset[:-1], offset[1:], curve[1:-1]
    turn = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    cosine = np.einsum("ij,ij->i", before, after) / allowance**2
    open_ = (turn > 0.0) & (cosine > -0.5)
    before, after, bend, cosine = before[open_], after[open_], bend[open_], cosine[open_]
    mitre = bend + (before + after) / (1.0 + cosine)[:, None]
    wedges = shapely.polygons(np.stack([bend, bend + before, mitre, bend + after], axis=1))
    return shapely.union_all(np.concatenate([boxes, wedges]))


def _offset(curve: Points, allowance: float) -> Points:
    """Parallel of a curve, mitred at its bends, (n, 2)."""
    normals = outward_normals(curve)
    first, second = np.vstack([normals[:1], normals]), np.vstack([normals, normals[-1:]])
    share = np.maximum(1.0 + np.einsum("ij,ij->i", first, second), 0.5)
    parallel: Points = curve + allowance * (first + second) / share[:, None]
    return parallel


def _prolonged(curve: Points, allowance: float, reach: float) -> Points:
    """The parallel of a curve, run on straight past its end, or before its start for a negative reach."""
    line = _offset(curve, allowance)
    ahead = curve[-1] - curve[-2] if reach > 0.0 else curve[1] - curve[0]
    ahead = ahead / np.linalg.norm(ahead)
    return np.vstack([line, line[-1] + reach * ahead] if reach > 0.0 else [line[0] + reach * ahead, line])


@dataclass(frozen=True, slots=True, eq=False)
class _Corner:
    """What a corner adds to the cut area, and what it takes off the strips before and after it."""

    added: tuple[BaseGeometry, ...] = ()
    off_first: BaseGeometry | None = None
    off_second: BaseGeometry | None = None


def _corner(first: PieceEdge, second: PieceEdge, limit: float) -> _Corner:
    a, b = first.allowance, second.allowance
    at = first.curve[-1]
    n1, n2 = outward_normals(first.curve[-2:])[0], outward_normals(second.curve[:2])[0]
    t1, t2 = np.array([-n1[1], n1[0]]), np.array([-n2[1], n2[0]])
    turn, cosine = float(n1[0] * n2[1] - n1[1] * n2[0]), float(n1 @ n2)
    if a <= 0.0 and b <= 0.0:
        return _Corner()
    reach = limit * max(a, b)
    if turn > STRAIGHT and a > 0.0 and b > 0.0 and "hem" in (first.role, second.role):
        if first.role != "hem":
            corner = _mirrored_hem(at, _prolonged(first.curve, a, reach), t1, n1, t2, n2, b, limit)
            if corner is not None:
                return corner
        elif second.role != "hem":
            # The same corner seen in a mirror: the seam comes after the hem.
            line = _prolonged(second.curve, b, -reach)[::-1]
            corner = _mirrored_hem(at, line, -t2, n2, -t1, n1, a, limit)
            if corner is not None:
                return _Corner(corner.added, corner.off_second, corner.off_first)
    line1, line2 = _prolonged(first.curve, a, reach), _prolonged(second.curve, b, -reach)
    meeting = _nearest_crossing(line1, line2, at)
    if meeting is not None and np.linalg.norm(meeting - at) <= reach:
        return _mitre(at, meeting, line1, line2, convex=turn > 0.0)
    if turn > 0.0 and cosine < 0.0:
        return _Corner(added=(_cut_off_square(at, t1, n1, t2, n2, a, b, reach),))
    # A step. A slight turn outward would leave a slit between its two square ends.
    return _Corner(added=(_area(np.array([at, at + a * n1, at + b * n2])),)) if turn > 0.0 else _Corner()


def _mitre(at: Points, meeting: Points, line1: Points, line2: Points, *, convex: bool) -> _Corner:
    """Strips that run on to where their cut lines meet, or that are cut back to it."""
    added: list[BaseGeometry] = []
    cuts: list[BaseGeometry | None] = []
    # Both seen as coming toward the corner, ending in the straight extension.
    for line in (line1, line2[::-1]):
        end = line[-2]
        forward = line[-1] - end
        if (meeting - end) @ forward >= 0.0:
            added.append(_area(np.array([at, end, meeting])))
            cuts.append(None)
        elif convex:
            whole = shapely.LineString(line[:-1])
            distance = float(whole.project(shapely.Point(meeting)))
            rest = [p for p in line[:-1] if float(whole.project(shapely.Point(p))) > distance]
            cuts.append(_area(np.array([at, meeting, *rest])))
        else:
            cuts.append(None)
    return _Corner(tuple(added), cuts[0], cuts[1])


def _cut_off_square(
    at: Points, t1: Points, n1: Points, t2: Points, n2: Points, a: float, b: float, reach: float
) -> BaseGeometry:
    """A sharp point, cut off across its middle line at ``reach`` from the stitch line."""
    middle = t1 - t2
    middle = middle / np.linalg.norm(middle)
    run1, run2 = float(t1 @ middle), float(-t2 @ middle)
    p1 = at + a * n1 + t1 * max(reach - a * float(n1 @ middle), 0.0) / run1
    p2 = at + b * n2 - t2 * max(reach - b * float(n2 @ middle), 0.0) / run2
    return _area(np.array([at, at + a * n1, p1, p2, at + b * n2]))


def _mirrored_hem(
    at: Points, line: Points, t1: Points, n1: Points, t2: Points, n2: Points, hem: float, limit: float
) -> _Corner | None:
    """A hem end that matches the seam above it when turned up; None where that would be a spike.

    line : the seam's cut line, running toward the corner and on past it. t1 runs down the seam to the
    corner, t2 along the hem away from it; n1, n2 point out of the piece.
    """
    down = float(t1 @ n2)
    if down < 0.25:
        return None
    end_of_strip = line[-2]
    seam = float((end_of_strip - at) @ n1)
    reach = limit * max(seam, hem)
    # Where the seam's cut line crosses the hem's stitch line, and where its mirror image ends.
    crossing = _nearest_crossing(line, np.array([at - reach * t2, at + reach * t2]), at)
    if crossing is None:
        return None
    mirrored = -t1 + 2.0 * down * n2
    end = crossing + mirrored * hem / float(mirrored @ n2)
    if max(float(np.linalg.norm(crossing - at)), abs(float((end - at) @ t2))) > reach:
        return None
    cap = at + hem * n2
    added = [_area(np.array([at, end_of_strip, crossing]))]
    inside = float((end - at) @ t2)
    if inside <= 0.0:
        return _Corner((*added, _area(np.array([at, crossing, end, cap]))))
    share = float((crossing - at) @ t2) / float((crossing - end) @ t2)
    through = crossing + share * (end - crossing)
    added.append(_area(np.array([at, crossing, through])))
    return _Corner(tuple(added), None, _area(np.array([through, end, cap])))


def _nearest_crossing(line1: Points, line2: Points, at: Points) -> Points | None:
    """The crossing of two lines nearest to a corner; None where they run beside each other."""
    crossing = shapely.intersection(shapely.LineString(line1), shapely.LineString(line2))
    points = shapely.get_coordinates(crossing)
    if len(points) == 0:
        return None
    nearest: Points = points[np.linalg.norm(points - at, axis=1).argmin()]
    return nearest


def _area(ring: Points) -> BaseGeometry:
    """The polygon of a ring, empty where it has no area (a strip of no width)."""
    if len(ring) < 3:
        return Polygon()
    polygon = Polygon(ring)
    return polygon if polygon.is_valid and polygon.area > 1e-9 else Polygon()


def _without(strip: BaseGeometry, cut: BaseGeometry | None) -> BaseGeometry:
    return strip if cut is None else shapely.difference(strip, cut)
