"""An edge held and moved on a body: where its grips sit, the words it would then have, and how it lies."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import ChartPoint, RegionChart
from layfigure.body.levels import split_region
from layfigure.design.costume import Costume, EdgeStatement, design_of
from layfigure.design.design import Design, DesignEdge
from layfigure.design.moved_words import both_ways, grips, moved
from layfigure.design.relative_on_body import resolve_relative
from layfigure.design.relative_words import RelativeEdge, parse_placement
from layfigure.design.words import WordEdge
from layfigure.design.words_on_body import Ruler, Rulers, chain_of, ruler_of, way_along
from layfigure.errors import PlacementError
from layfigure.geometry.polyline import arc_lengths
from layfigure.report.body_picture import thinned
from layfigure.workroom.words_instead import words_instead

if TYPE_CHECKING:
    from layfigure.pipeline.work import Work
    from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]
Whose = Literal["character", "wearer"]

APART = 6.0
"""Between the points of a line as it is sent to be drawn [mm]."""

ON_THE_LIMB = 70.0
"""A place further than this from the limb's own skin is not on the limb [mm]."""

PROBE = 0.02
"""Share by which a line between two is tried further on, to see how long the way is."""


@dataclass(frozen=True, slots=True, eq=False)
class _Bodies:
    """Charts of both bodies, and the wearer's levels."""

    charts: Mapping[Whose, Mapping[str, RegionChart]]
    level_heights: Mapping[str, float]

    def ruler(self, region: str) -> Ruler:
        side = split_region(region)[1]
        return ruler_of(chain_of(region), side, self.charts["wearer"], self.level_heights)


def held_edge(work: Work, slug: str) -> dict[str, Any]:
    """Everything a page needs to let an edge be moved. slug : of one side. Raises as placing does.

    grips : name, what it is in words, what it moves and where it sits on each body. words : as they are,
    empty for a line traced on pictures. instead : words that could take its place, and how far off they
    lie [mm].
    """
    costume = work.folder.costume
    _statement(costume, slug)
    return _told(work, costume, slug, _placed(work, costume, slug))


def moved_edge(
    work: Work, slug: str, words: str, grip: str, *, by: float | None, track: tuple[Whose, Points] | None
) -> dict[str, Any]:
    """An edge with one of its grips moved, not written anywhere; as ``held_edge``, with its new words.

    words : those it had when it was taken hold of. by : further down [mm] or round [share]; or else track :
    the body the pointer is on, with the places on its skin (2, 3) it came from and has come to. Raises
    PlacementError where words cannot follow.
    """
    bodies, unit = _bodies(work), work.wearer.unit
    costume = with_words(work.folder.costume, slug, words)
    said = costume.edges[slug].words
    assert said is not None
    design = _design(work, costume, _all_sides(costume, slug))
    ruler = _ruler(said, design.edges[slug], bodies)
    if by is None:
        assert track is not None
        round_it = any(one.name == grip and one.moves == "round" for one in grips(said))
        by = _way(bodies.charts[track[0]], track[1], ruler, round_of=said if round_it else None)
    new = moved(said, grip, by, ruler, unit=unit, reach=_reach(said, design, ruler, bodies))
    costume = with_words(costume, slug, new)
    return _told(work, costume, slug, _placed(work, costume, slug))


def with_words(costume: Costume, slug: str, words: str) -> Costume:
    """A costume in which an edge is said otherwise, on both sides where it is stated for both.

    Raises PlacementError for words that mean nothing, and for an edge that is not there.
    """
    stated = _statement(costume, slug).marked_as
    edges = dict(costume.edges)
    for own, statement in costume.edges.items():
        if statement.marked_as == stated:
            names = {one: one for one in costume.edges} | {
                other.marked_as: other.slug
                for other in costume.edges.values()
                if other.side == statement.side or other.slug == other.marked_as
            }
            read = parse_placement(words, edges=names, slug=own, side=statement.side)
            edges[own] = replace(statement, words=read)
    return replace(costume, edges=edges)


def _told(work: Work, costume: Costume, slug: str, placed: Mapping[str, PlacedEdge]) -> dict[str, Any]:
    from layfigure.place.check_words import check_lines, sureness

    bodies, unit = _bodies(work), work.wearer.unit
    statement, edge = _statement(costume, slug), placed[slug]
    said = statement.words
    told: dict[str, Any] = {
        "slug": slug,
        "stated": statement.marked_as,
        "both": len(_all_sides(costume, slug)) > 1,
        "words": "" if said is None else said.text,
        "ways": {},
        "grips": [],
        "instead": None,
        "checks": check_lines(edge.checks, unit),
        "sure": sureness(edge.checks, unit),
        "lines": {
            whose: {one: _line(place, charts) for one, place in placed.items()}
            for whose, charts in bodies.charts.items()
        },
    }
    if said is None:
        return told | {"instead": words_instead(edge, statement.side, work.body.value().form, unit)}
    if isinstance(said, WordEdge):
        told["ways"] = both_ways(said, _ruler(said, edge.edge, bodies), unit=unit)
    sits = _sits_along if isinstance(said, WordEdge) and said.bottom is not None else _sits
    told["grips"] = [
        {
            "name": grip.name,
            "said": grip.said,
            "moves": grip.moves,
            "at": {whose: sits(edge, grip.at, charts) for whose, charts in bodies.charts.items()},
        }
        for grip in grips(said)
    ]
    return told


def _design(work: Work, costume: Costume, wanted: set[str]) -> Design:
    """The design with some of its edges, and all that they are said from."""
    study, form = work.study.value(), work.body.value().form
    needed = set(wanted)
    while more := {base for slug in needed for base in _bases(costume.edges[slug])} - needed:
        needed |= more
    edges = {slug: edge for slug, edge in costume.edges.items() if slug in needed}
    return design_of(
        replace(costume, edges=edges, rows={}),
        marked={} if study is None else study.edges,
        charts=form.charts,
        level_heights=form.level_heights,
    )


def _placed(work: Work, costume: Costume, slug: str) -> dict[str, PlacedEdge]:
    """An edge, its other side and all that are said from it, where they lie on the wearer."""
    from layfigure.pipeline.stages import neutral_body
    from layfigure.place.place import place_edge

    wanted = _all_sides(costume, slug)
    wanted |= _following(costume, wanted)
    form, design = work.body.value().form, _design(work, costume, wanted)
    skin = neutral_body() if any(edge.meaning == "anatomy" for edge in design.edges.values()) else None
    return {one: place_edge(design.edges[one], form, skin=skin) for one in costume.edges if one in wanted}


def _all_sides(costume: Costume, slug: str) -> set[str]:
    stated = costume.edges[slug].marked_as
    return {one.slug for one in costume.edges.values() if one.marked_as == stated}


def _bases(edge: EdgeStatement) -> tuple[str, ...]:
    return edge.words.bases if isinstance(edge.words, RelativeEdge) else ()


def _following(costume: Costume, moved_ones: set[str]) -> set[str]:
    """Edges that are said from others, straight or by way of another."""
    found: set[str] = set()
    while True:
        more = {slug for slug, edge in costume.edges.items() if {*_bases(edge)} & (moved_ones | found)}
        if more <= found:
            return found - moved_ones
        found |= more


def _ruler(said: WordEdge | RelativeEdge, edge: DesignEdge, bodies: _Bodies) -> Ruler:
    if isinstance(said, WordEdge):
        return ruler_of(said.top.chain, said.side, bodies.charts["wearer"], bodies.level_heights)
    return bodies.ruler(edge.points[0].at.region)


def _reach(said: WordEdge | RelativeEdge, design: Design, ruler: Ruler, bodies: _Bodies) -> float:
    """How far down the end of a line between two lies from the edge it is said from [mm]; else 0."""
    if not isinstance(said, RelativeEdge) or said.way != "between":
        return 0.0
    shares = (said.share, said.share + (PROBE if said.share <= 0.5 else -PROBE))
    downs, rulers = [], Rulers(bodies.charts["wearer"], bodies.level_heights)
    for share in shares:
        line = resolve_relative(replace(said, share=share), design.edges, rulers)
        downs.append(np.mean([ruler.position_at(p.at.region, p.at.station) for p in line.points]))
    return float((downs[1] - downs[0]) / (shares[1] - shares[0]))


def _way(
    charts: Mapping[str, RegionChart],
    track: Points,
    ruler: Ruler,
    *,
    round_of: WordEdge | RelativeEdge | None,
) -> float:
    """How far down a limb [mm] a pointer has come on the skin, or round it [share] as an edge counts."""
    start, end = (_located(charts, place, ruler) for place in track)
    if round_of is not None:
        ways = [start.around, end.around]
        if isinstance(round_of, WordEdge) and round_of.bottom is not None:
            ways = [way_along(round_of.side, at.region, at.around) for at in (start, end)]
        return (ways[1] - ways[0] + 0.5) % 1.0 - 0.5
    return ruler.position_at(end.region, end.station) - ruler.position_at(start.region, start.station)


def _located(charts: Mapping[str, RegionChart], place: Points, ruler: Ruler) -> ChartPoint:
    """The nearest place on the limb. Raises PlacementError off it."""
    found: list[tuple[float, str, float, float]] = []
    for region in dict.fromkeys(region for region, _ in ruler.steps if region in charts):
        station, around, distance = charts[region].locate(place[None])
        found.append((float(distance[0]), region, float(station[0]), float(around[0])))
    off, nearest, along, way = min(found, default=(np.inf, "", 0.0, 0.0))
    if off > ON_THE_LIMB:
        raise PlacementError("that is not on the same limb.", advice="Stay on the part it lies on.")
    return ChartPoint(region=nearest, station=along, around=way)


def _sits(edge: PlacedEdge, way: float, charts: Mapping[str, RegionChart]) -> list[float] | None:
    """Where a grip sits: the point of the line at a way round; None off this body."""
    best: tuple[float, ChartPoint] | None = None
    for curve in edge.curves:
        off = np.abs(np.mod(curve.around - way + 0.5, 1.0) - 0.5)
        nearest = int(off.argmin())
        if best is None or off[nearest] < best[0]:
            at = ChartPoint(
                region=curve.region,
                station=float(curve.station[nearest]),
                around=float(curve.around[nearest]),
            )
            best = (float(off[nearest]), at)
    if best is None or best[1].region not in charts:
        return None
    place = charts[best[1].region].points([best[1].station], [best[1].around])[0]
    return [round(float(value), 1) for value in place]


def _sits_along(edge: PlacedEdge, share: float, charts: Mapping[str, RegionChart]) -> list[float] | None:
    """Where a grip sits on a line along a limb: at a share of its length down; None off this body."""
    runs = [
        charts[curve.region].points(curve.station, curve.around)
        for curve in edge.curves
        if curve.region in charts
    ]
    if not runs:
        return None
    line = np.vstack(runs)
    down = arc_lengths(line)
    nearest = int(np.abs(down - share * down[-1]).argmin())
    return [round(float(value), 1) for value in line[nearest]]


def _line(edge: PlacedEdge, charts: Mapping[str, RegionChart]) -> dict[str, Any]:
    """A line as a page draws it: its points in runs, x y z in turn."""
    runs = runs_on(edge, charts)
    closed = edge.edge.closed and len(runs) == 1
    return {"closed": closed, "runs": [np.round(run, 1).ravel().tolist() for run in runs]}


def runs_on(edge: PlacedEdge, charts: Mapping[str, RegionChart]) -> list[Points]:
    """An edge on one body, a run (k, 3) for each region it passes there [mm]."""
    return [
        thinned(charts[curve.region].points(curve.station, curve.around), APART)
        for curve in edge.curves
        if curve.region in charts and len(curve.station) > 1
    ]


def _bodies(work: Work) -> _Bodies:
    study, form = work.study.value(), work.body.value().form
    charts: dict[Whose, Mapping[str, RegionChart]] = {"wearer": form.charts}
    if study is not None:
        charts["character"] = study.charts
    return _Bodies(charts, form.level_heights)


def _statement(costume: Costume, slug: str) -> EdgeStatement:
    if slug not in costume.edges:
        raise PlacementError(
            f"there is no edge {slug!r} to move.", advice="Motifs of a row follow the edge they run along."
        )
    return costume.edges[slug]
