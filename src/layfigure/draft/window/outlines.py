"""The windows that a piece names, as outlines on its wearer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.draft.registry import DraftRequest
from layfigure.errors import DraftError
from layfigure.geometry.smooth_outline import smooth_outline
from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]

LOOP_SHARE = 0.08
"""Loops that an outline makes with itself are cut off up to this share of its area."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outline:
    """A window on the wearer.

    curve : (k, 3) closed, first point not repeated [mm]. points : (m, 3) those it was led through. drawn :
    (m, 2) the same points of a motif of known size, as they lie flat; empty where it has no size of its own.
    corners : which of them are sharp. spread : one standard deviation of the place [mm].
    """

    slug: str
    curve: Points
    points: Points
    drawn: Points
    corners: tuple[bool, ...]
    spread: float = 0.0

    def laid(self, carry: Callable[[Points], Points], *, rest: tuple[float, float] = (1.0, 1.0)) -> Points:
        """The outline on a flat sheet, (n, 2), counter-clockwise. carry : places on the wearer to flat ones.
        rest : of the sheet, its length at rest for its length as worn.

        A motif keeps its own size and shape, however the body is hollow beneath it: it is turned and moved
        to where its points are carried. Any other outline is carried point by point.
        """
        if not len(self.drawn):
            return counter_clockwise(mended(carry(self.curve)))
        to = carry(self.points)
        own, there = self.drawn - self.drawn.mean(axis=0), (to - to.mean(axis=0)) / rest
        turn = np.sum(np.conj(own @ [1.0, 1j]) * (there @ [1.0, 1j]))
        c, s = turn.real / abs(turn), turn.imag / abs(turn)
        whole = smooth_outline(self.drawn, self.corners) - self.drawn.mean(axis=0)
        return counter_clockwise(whole @ np.array([[c, s], [-s, c]]) * rest + to.mean(axis=0))


def window_outlines(
    request: DraftRequest,
    *,
    curve: Callable[[PlacedEdge], Points] = lambda placed: placed.line,
    points: Callable[[PlacedEdge], Points] = lambda placed: placed.points,
) -> dict[str, Outline]:
    """Every window of a statement by slug, standing. curve, points : of an edge in another pose.

    Raises DraftError for one that is not placed or not closed.
    """
    found: dict[str, Outline] = {}
    for slug in request.statement.windows:
        if slug not in request.placement.edges:
            raise DraftError(
                f"window {slug!r} is not placed.",
                where=f"piece {request.statement.slug}",
                advice="Mark its outline in a picture.",
            )
        placed = request.placement.edges[slug]
        if not placed.edge.closed:
            raise DraftError(
                "the outline of a window must be closed.", where=f"window {slug}", advice="Mark it closed."
            )
        line = curve(placed)
        found[slug] = Outline(
            slug=slug,
            curve=line[:-1] if np.allclose(line[0], line[-1]) else line,
            points=points(placed),
            drawn=np.array(placed.edge.drawn, dtype=np.float64).reshape(-1, 2),
            corners=tuple(point.corner for point in placed.edge.points),
            spread=float(np.max(placed.spread)) if len(placed.spread) else 0.0,
        )
    return found


def mended(outline: Points) -> Points:
    """A closed outline without the small loops that uncertain marks make at a tip; any other as it is."""
    shape = shapely.Polygon(outline)
    if shape.is_valid:
        return outline
    parts = [part for part in shapely.get_parts(shapely.make_valid(shape)) if part.geom_type == "Polygon"]
    if not parts:
        return outline
    largest = max(parts, key=lambda part: float(part.area))
    if largest.area < (1.0 - LOOP_SHARE) * sum(part.area for part in parts):
        return outline
    return ring_of(largest)


def ring_of(shape: shapely.Polygon) -> Points:
    """A polygon's outline, counter-clockwise, first point not repeated."""
    return np.asarray(shapely.geometry.polygon.orient(shape).exterior.coords)[:-1]


def counter_clockwise(outline: Points) -> Points:
    """The same closed outline run the other way if it ran clockwise."""
    x, y = outline.T
    return outline if float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) > 0.0 else outline[::-1]
