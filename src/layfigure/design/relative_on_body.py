"""Edges said relative to others, on one body, in an order in which every edge finds its bases ready."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from layfigure.body.chart import ChartPoint
from layfigure.body.levels import Side, split_region
from layfigure.design.design import DesignEdge, EdgePoint, Meaning
from layfigure.design.relative_words import RelativeEdge
from layfigure.design.words import CHAINS, Height, WordEdge
from layfigure.design.words_on_body import Ruler, Rulers, words_along
from layfigure.errors import PlacementError

Points = NDArray[np.float64]

OVERHANG = 0.5
"""A line taken from another edge may run on this far beyond its region, in levels; an edge is placed no
further."""


def in_order(edges: Mapping[str, RelativeEdge], where: Callable[[str], str]) -> list[RelativeEdge]:
    """Relative edges, each after those it is said from.

    Raises PlacementError for edges that are said from one another, with the line of the first (``where``).
    """
    order: list[RelativeEdge] = []
    done: set[str] = set()

    def visit(slug: str, path: tuple[str, ...]) -> None:
        if slug in done or slug not in edges:
            return
        if slug in path:
            ring = [*path[path.index(slug) :], slug]
            raise PlacementError(
                f"edges are said from one another: {' from '.join(ring)}.",
                where=where(slug),
                advice="Say one of them from the body, as 'halfway from knee to ankle', or mark it.",
            )
        for base in edges[slug].bases:
            visit(base, (*path, slug))
        done.add(slug)
        order.append(edges[slug])

    for slug in edges:
        visit(slug, ())
    return order


def resolve_relative(
    edge: RelativeEdge,
    placed: Mapping[str, DesignEdge],
    rulers: Rulers,
    *,
    meaning: Meaning = "proportion",
) -> DesignEdge:
    """The edge on the body of the rulers. placed : every edge it is said from. Raises PlacementError off the
    limb.
    """
    body = _Body(rulers)
    base = placed[edge.base]
    try:
        if edge.way == "level":
            return _level_line(edge, base, body, meaning)
        if edge.way == "moved":
            points = tuple(body.moved(point, edge.below) for point in base.points)
        else:
            points = _between(edge, base, placed, body)
    except PlacementError as error:
        raise PlacementError(
            error.what, where=f"edge {edge.slug}: {edge.text!r}", advice=error.advice
        ) from None
    return replace(base, slug=edge.slug, points=points, meaning=meaning, source="words", text=edge.text)


@dataclass(frozen=True, slots=True, eq=False)
class _Body:
    """Places measured down the rulers of one body."""

    rulers: Rulers

    def ruler(self, region: str) -> Ruler:
        definition, side = split_region(region)
        chain = next(name for name, steps in CHAINS.items() if definition.name in [stem for stem, _ in steps])
        return self.rulers.of(chain, side)

    def down(self, at: ChartPoint) -> float:
        return self.ruler(at.region).position_at(at.region, at.station)

    def moved(self, point: EdgePoint, below: float) -> EdgePoint:
        """A point further down its limb [mm], the same way round."""
        ruler, at = self.ruler(point.at.region), point.at
        station = ruler.station_on(at.region, self.down(at) + below)
        chart = self.rulers.charts[at.region]
        if not chart.stations[0] - OVERHANG <= station <= chart.stations[-1] + OVERHANG:
            raise PlacementError(
                f"that lies beyond the {at.region.replace('_', ' ')}.",
                advice="Say a smaller distance, or say the edge from the body.",
            )
        return replace(point, at=replace(at, station=station))


def _level_line(edge: RelativeEdge, base: DesignEdge, body: _Body, meaning: Meaning) -> DesignEdge:
    """A level line at the highest or lowest point of the base, and a length from there."""
    ends = max if edge.at_bottom else min
    point = ends(base.points, key=lambda each: body.down(each.at))
    ruler = body.ruler(point.at.region)
    side: Side = split_region(point.at.region)[1]
    height = Height(
        chain=ruler.chain,
        first=ruler.names[0],
        last=ruler.names[0],
        below=body.down(point.at) - float(ruler.down[0]) + edge.below,
    )
    words = WordEdge(slug=edge.slug, text=edge.text, side=side, top=height, span=edge.span, lifts=edge.lifts)
    line = words_along(words, body.rulers, meaning=meaning)
    spread = point.spread_along
    return replace(line, points=tuple(replace(each, spread_along=spread) for each in line.points))


def _between(
    edge: RelativeEdge, base: DesignEdge, placed: Mapping[str, DesignEdge], body: _Body
) -> tuple[EdgePoint, ...]:
    """The base moved a share of the way to another edge, or to a level, at every way round."""
    ruler = body.ruler(base.points[0].at.region)
    if isinstance(edge.other, str):
        target = _downs_round(placed[edge.other], ruler, body)
    else:
        assert edge.other is not None
        if edge.other.first not in ruler.names:
            raise PlacementError(
                f"{edge.base!r} and {edge.other.first.replace('_', ' ')} do not lie on one limb.",
                advice="Name a level of the limb that the edge lies on.",
            )
        level = ruler.position(edge.other)
        target = lambda _: level  # noqa: E731
    points = []
    for point in base.points:
        here = body.down(point.at)
        points.append(body.moved(point, edge.share * (target(point.at.around) - here)))
    return tuple(points)


def _downs_round(edge: DesignEdge, ruler: Ruler, body: _Body) -> Callable[[float], float]:
    """How far down an edge lies at each way round [mm]."""
    if any(body.ruler(point.at.region).steps != ruler.steps for point in edge.points):
        raise PlacementError(
            f"the other edge, {edge.slug!r}, lies on another limb.", advice="Name two edges of one limb."
        )
    order = sorted(edge.points, key=lambda point: point.at.around)
    around = np.array([point.at.around for point in order])
    down = np.array([body.down(point.at) for point in order])
    apart = np.concatenate([[True], np.diff(around) > 1e-6])
    around, down = around[apart], down[apart]
    if not edge.goes_round or len(around) < 4 or any(point.corner for point in order):
        return lambda way: float(np.interp(way, around, down, period=1.0))
    smooth = CubicSpline(np.append(around, around[0] + 1.0), np.append(down, down[0]), bc_type="periodic")
    return lambda way: float(smooth(around[0] + (way - around[0]) % 1.0))
