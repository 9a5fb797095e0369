"""Words on one body: the level lines, points and slants of ``design.words`` as chart points."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import ChartPoint, RegionChart
from layfigure.body.levels import REGIONS, Side, region_name, split_region
from layfigure.design.design import DesignEdge, EdgePoint, Meaning
from layfigure.design.words import CHAINS, Height, Lift, WordEdge
from layfigure.errors import PlacementError

Points = NDArray[np.float64]

LEVEL_POINTS = 12
"""Points of a line right round: enough for a spline to follow a slant to a tenth of a millimetre."""

HALF_BASE = 0.25
"""Half the base of a point, as a share of the girth: a point spans half of what it lies on."""


LEAST_ALONG = 10.0
"""A line along a limb is no shorter than this [mm]."""


@dataclass(frozen=True, slots=True, eq=False)
class Ruler:
    """One way down a body: its levels in order, and how far down each lies.

    steps : (region full name, station) of every level, the region above it. down : (n,) [mm], increasing.
    """

    chain: str
    names: tuple[str, ...]
    steps: tuple[tuple[str, float], ...]
    down: Points

    def position(self, height: Height) -> float:
        """How far down a height lies [mm]."""
        first, last = (float(self.down[self.names.index(name)]) for name in (height.first, height.last))
        return first + height.share * (last - first) + height.below

    def place(self, position: float) -> tuple[str, float]:
        """Region and station that far down. Raises PlacementError beyond the ends."""
        if not self.down[0] - 1e-6 <= position <= self.down[-1] + 1e-6:
            advice = "Say a smaller distance, or another level."
            if self.names[-1] == "crotch" and position > self.down[-1]:
                advice = 'Below the crotch the edge lies on a leg: write side = "left", "right" or "both".'
            raise PlacementError(f"that lies beyond the {self._spoken(position)}.", advice=advice)
        above = int(np.clip(np.searchsorted(self.down, position, side="left"), 1, len(self.down) - 1))
        share = (position - self.down[above - 1]) / (self.down[above] - self.down[above - 1])
        region, station = self.steps[above]
        return region, station - 1.0 + float(np.clip(share, 0.0, 1.0))

    def position_at(self, region: str, station: float) -> float:
        """How far down a station of a region lies [mm], beyond its ends at their own scale."""
        ends = [k for k, (name, _) in enumerate(self.steps) if name == region]
        first = ends[0] - 1 if ends[0] > 0 else ends[0]
        start = self.steps[ends[0]][1] - (1.0 if ends[0] > 0 else 0.0)
        k = int(np.clip(np.floor(station - start), 0, ends[-1] - first - 1))
        step = float(self.down[first + k + 1] - self.down[first + k])
        return float(self.down[first + k]) + (station - start - k) * step

    def station_on(self, region: str, position: float) -> float:
        """Station of a position counted on one region, running on beyond its ends at their own scale.

        A line that starts on a region stays on it: a point at the knee does not break at the kneecap.
        """
        own = [k for k, (name, _) in enumerate(self.steps) if name == region]
        # The level a region starts from is the last of the region before it, if there is one.
        first = max(own[0] - 1, 0)
        k = min(max(bisect_left(self.down, position, first, own[-1] + 1), first + 1), own[-1])
        station = self.steps[k][1]
        before = self.steps[k - 1][1] if k > own[0] else station - 1.0
        share = (position - self.down[k - 1]) / (self.down[k] - self.down[k - 1])
        return float(before + share * (station - before))

    def _spoken(self, position: float) -> str:
        return self.names[0 if position < self.down[0] else -1].replace("_", " ")

    def stations_per_mm(self, position: float) -> float:
        """How much station a millimetre further down is worth there."""
        above = int(np.clip(np.searchsorted(self.down, position, side="left"), 1, len(self.down) - 1))
        return 1.0 / float(self.down[above] - self.down[above - 1])


@dataclass(frozen=True, slots=True, eq=False)
class Rulers:
    """The rulers of one body, each made when it is first asked for: a costume's edges share a few.

    charts, level_heights : of the wearer's Form, standing.
    """

    charts: Mapping[str, RegionChart]
    level_heights: Mapping[str, float]
    made: dict[tuple[str, Side], Ruler] = field(default_factory=dict)

    def of(self, chain: str, side: Side) -> Ruler:
        """Levels of one way down the body; see ``ruler_of``."""
        if (chain, side) not in self.made:
            self.made[chain, side] = ruler_of(chain, side, self.charts, self.level_heights)
        return self.made[chain, side]


def resolve_words(
    edge: WordEdge,
    charts: Mapping[str, RegionChart],
    level_heights: Mapping[str, float],
    *,
    meaning: Meaning = "proportion",
) -> DesignEdge:
    """The edge on one body, in chart coordinates; see ``words_along``.

    charts, level_heights : of the wearer's Form, standing.
    """
    return words_along(edge, Rulers(charts, level_heights), meaning=meaning)


def words_along(edge: WordEdge, rulers: Rulers, *, meaning: Meaning = "proportion") -> DesignEdge:
    """The edge on the body of the rulers, in chart coordinates.

    Raises PlacementError where the words leave the limb, or need a limb of a side that the edge does not
    have.
    """
    ruler = rulers.of(edge.top.chain, edge.side)
    try:
        points = _line_along(edge, ruler) if edge.bottom else _line_round(edge, ruler)
    except PlacementError as error:
        raise PlacementError(
            error.what, where=f"edge {edge.slug}: {edge.text!r}", advice=error.advice
        ) from None
    return DesignEdge(
        slug=edge.slug,
        points=points,
        closed=edge.closed,
        goes_round=edge.closed,
        meaning=meaning,
        source="words",
        text=edge.text,
    )


def chain_of(region: str) -> str:
    """The way down a body that a region lies on (a key of ``CHAINS``)."""
    stem = split_region(region)[0].name
    return next(name for name, steps in CHAINS.items() if stem in [own for own, _ in steps])


def ruler_of(
    chain: str, side: Side, charts: Mapping[str, RegionChart], level_heights: Mapping[str, float]
) -> Ruler:
    """Levels of one way down a body, with the distance between neighbours.

    By standing height down the trunk and leg, along the bone elsewhere, as stations are defined. Without a
    side, only the trunk of the leg's way.
    """
    names: list[str] = []
    steps: list[tuple[str, float]] = []
    down: list[float] = []
    for stem, level in CHAINS[chain]:
        definition = REGIONS[stem]
        if definition.paired and side == "middle":
            break
        region = region_name(stem, side if definition.paired else "middle")
        station = float(definition.levels.index(level))
        if definition.spacing == "height":
            at = -_level_height(level, side, level_heights)
        else:
            at = (down[-1] + _bone(charts[region], station)) if down else 0.0
        names.append(level)
        steps.append((region, station))
        down.append(at)
    if len(down) < 2:
        raise PlacementError("these words need a side.", advice='Write side = "left", "right" or "both".')
    # A body may carry its fullest seat below the crotch; levels then stand as given, a hair apart.
    increasing = np.maximum.accumulate(np.array(down) + 1e-6 * np.arange(len(down)))
    return Ruler(chain, tuple(names), tuple(steps), increasing)


def _level_height(level: str, side: Side, level_heights: Mapping[str, float]) -> float:
    for name in (f"{level}_{side}", level, f"{level}_left"):
        if name in level_heights:
            return float(level_heights[name])
    raise PlacementError(f"the body has no level {level!r}.")


def _bone(chart: RegionChart, station: float) -> float:
    """Length along the bone from the level before a station to it [mm].

    Stations are equal fractions along the bone, so sections between the two levels give it even where
    the chart starts below the upper level, as an upper arm's does at the armpit.
    """
    inside = np.flatnonzero((chart.stations >= station - 1.0) & (chart.stations <= station))
    centres = chart.sections[inside].mean(axis=1)
    length = float(np.linalg.norm(np.diff(centres, axis=0), axis=1).sum())
    return length / float(chart.stations[inside[-1]] - chart.stations[inside[0]])


def _line_round(edge: WordEdge, ruler: Ruler) -> tuple[EdgePoint, ...]:
    """A level line with its points and slants, right round or in part."""
    level = ruler.position(edge.top)
    region, _ = ruler.place(level)
    first, last = edge.span or (0.0, 1.0)
    round_count = max(3, round(LEVEL_POINTS * (last - first)))
    ways = np.linspace(first, last, round_count, endpoint=edge.span is not None)
    sharp = _corner_ways(edge.lifts, first, last, whole=edge.span is None)
    # Corners take the place of the points they fall on.
    apart = (
        np.abs((ways[:, None] - np.array(sharp)[None, :] + 0.5) % 1.0 - 0.5)
        if sharp
        else np.ones((len(ways), 1))
    )
    kept = [(float(way), False) for way in ways[apart.min(axis=1) > 0.02]]
    marked = sorted([*kept, *((way, True) for way in sharp)])
    return tuple(
        EdgePoint(
            at=ChartPoint(
                region=region,
                station=ruler.station_on(region, level - sum(_lifted(lift, way) for lift in edge.lifts)),
                around=way % 1.0,
            ),
            corner=corner,
        )
        for way, corner in marked
    )


def _corner_ways(lifts: tuple[Lift, ...], first: float, last: float, *, whole: bool) -> list[float]:
    """Ways round of the tips and feet of points, within the line."""
    ways = {
        round((lift.at + off) % 1.0, 9)
        for lift in lifts
        if lift.sharp
        for off in (-HALF_BASE, 0.0, HALF_BASE)
    }
    if whole:
        return sorted(ways)
    inside = [way + turn for way in ways for turn in (0.0, 1.0) if first < way + turn < last]
    return sorted(inside)


def _lifted(lift: Lift, way: float) -> float:
    """How far up a lift takes the line at a way round [mm]."""
    off = abs((way - lift.at + 0.5) % 1.0 - 0.5)
    if lift.sharp:
        return lift.up * max(0.0, 1.0 - off / HALF_BASE)
    return lift.up * 0.5 * (1.0 + float(np.cos(2.0 * np.pi * off)))


def _line_along(edge: WordEdge, ruler: Ruler) -> tuple[EdgePoint, ...]:
    """A line down a limb at one way round, with a point at every level it passes."""
    assert edge.bottom is not None
    top, bottom = ruler.position(edge.top), ruler.position(edge.bottom)
    ruler.place(top)
    if bottom - top < LEAST_ALONG:
        raise PlacementError("its two ends meet on this body.", advice="Say them further apart.")
    passed = [float(at) for at in ruler.down if top < at < bottom]
    points: list[EdgePoint] = []
    for start, end in zip([top, *passed], [*passed, bottom], strict=True):
        region, last = ruler.place(end)
        begin = last - (end - start) * ruler.stations_per_mm(end)
        around = way_along(edge.side, region, edge.around)
        stations = [begin, last] if not points or points[-1].at.region != region else [last]
        points += [
            EdgePoint(at=ChartPoint(region=region, station=float(station), around=around))
            for station in stations
        ]
    return tuple(points)


def way_along(side: Side, region: str, around: float) -> float:
    """The way round on a region, or back from there: the outside of a right leg is the right of the trunk."""
    on_trunk = region in REGIONS
    return (-around) % 1.0 if on_trunk and side == "right" else around
