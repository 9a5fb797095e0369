"""Carry a design to one wearer: every edge, where it lies on her, what a tape can check, how sure."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import ChartPoint, RegionChart
from layfigure.body.form import Form
from layfigure.body.levels import split_region
from layfigure.design.design import Design, DesignEdge, EdgePoint
from layfigure.errors import PlacementError
from layfigure.place.checks import tape_checks
from layfigure.place.curve import chart_curves
from layfigure.place.motif_row import motifs_along
from layfigure.place.placement import PlacedEdge, Placement

Points = NDArray[np.float64]


def place_design(
    design: Design,
    form: Form,
    *,
    figure: Mapping[str, RegionChart] | None = None,
    skin: Form | None = None,
) -> Placement:
    """Every edge of the design on one wearer.

    figure : the character's charts, to show where scaling the picture by height would have put each edge.
    skin : the neutral body of the same mesh topology, for edges placed by anatomy: the same point of skin
        on it and on the wearer. Raises PlacementError for an edge off the body, or by anatomy without it.
    """
    character = None if figure is None else figure_height(figure)
    edges = {
        slug: place_edge(edge, form, figure=figure, character=character, skin=skin)
        for slug, edge in design.edges.items()
    }
    for row in design.rows:
        for motif in motifs_along(row, edges[row.along], form):
            edges[motif.slug] = place_edge(motif, form, figure=figure, character=character, skin=skin)
    return Placement(wearer=form.wearer, edges=edges)


def place_edge(
    edge: DesignEdge,
    form: Form,
    *,
    figure: Mapping[str, RegionChart] | None = None,
    character: float | None = None,
    skin: Form | None = None,
) -> PlacedEdge:
    """One edge on one wearer; see ``place_design``. character : ``figure_height`` of the figure, if known."""
    for point in edge.points:
        _check_on_body(point.at, form, edge.slug)
    points = edge.points
    if edge.meaning == "anatomy":
        if skin is None:
            raise PlacementError(
                "an edge placed by anatomy needs the template's own body.", where=f"edge {edge.slug}"
            )
        points = tuple(replace(point, at=same_skin(point.at, skin, form)) for point in points)
    curves = chart_curves(points, closed=edge.closed, goes_round=edge.goes_round)
    line = np.concatenate([form.charts[c.region].points(c.station, c.around) for c in curves])
    marks = points_on(form.charts, [point.at for point in points])
    placed = replace(edge, points=points)
    return PlacedEdge(
        edge=edge,
        at=tuple(point.at for point in points),
        points=marks,
        curves=curves,
        line=line,
        spread=np.array([edge_spread(point, form) for point in points]),
        checks=tape_checks(placed, curves, line, form),
        by_height=None
        if figure is None
        else scaled_by_height(points, form, figure, character or figure_height(figure)),
    )


def edge_spread(point: EdgePoint, form: Form) -> float:
    """One standard deviation of a point on the wearer, along and around together [mm].

    The character's spread is carried by stature; where the levels on either side of the point stand at a
    guessed height, the guess's own spread is added.
    """
    stature = float(form.landmarks["crown"][2])
    along, around = point.spread_along * stature, point.spread_around * stature
    guessed = _level_spread(point.at, form)
    return math.sqrt(along**2 + around**2 + guessed**2)


def _level_spread(at: ChartPoint, form: Form) -> float:
    """Spread of the standing height of a station, from the spreads of the levels around it [mm]."""
    definition, side = split_region(at.region)
    suffix = "" if side == "middle" else f"_{side}"
    lower = min(max(math.floor(at.station), 0), len(definition.levels) - 2)
    share = min(max(at.station - lower, 0.0), 1.0)
    spreads = []
    for level in definition.levels[lower : lower + 2]:
        names = (f"{level}_height{suffix}", f"{level}_height")
        spreads.append(next((form.spreads[name] for name in names if name in form.spreads), 0.0))
    return math.hypot((1.0 - share) * spreads[0], share * spreads[1])


def same_skin(at: ChartPoint, skin: Form, form: Form) -> ChartPoint:
    """The chart point on ``form`` of the skin that lies at ``at`` on the neutral body ``skin``.

    Both share one mesh topology, so a point of skin is a face and weights on its corners.
    """
    place = skin.charts[at.region].points([at.station], [at.around])[0]
    corners = skin.standing.vertices[skin.standing.faces]
    region = skin.region_names.index(at.region)
    candidates = np.flatnonzero(skin.face_region == region)
    centres = corners[candidates].mean(axis=1)
    near = candidates[np.argsort(((centres - place) ** 2).sum(axis=1))[:24]]
    weights, distances = _weights_on_faces(place, corners[near])
    best = int(distances.argmin())
    face = form.standing.faces[near[best]]
    on_form = weights[best] @ form.standing.vertices[face]
    station, around, _ = form.charts[at.region].locate(on_form[None])
    return ChartPoint(region=at.region, station=float(station[0]), around=float(around[0]))


def _weights_on_faces(place: Points, corners: Points) -> tuple[Points, Points]:
    """Weights (k, 3) of the point of each face nearest to a place, clamped to it, and distances (k,)."""
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    u, v, p = b - a, c - a, place - a
    uu, vv, uv = (u * u).sum(1), (v * v).sum(1), (u * v).sum(1)
    pu, pv = (p * u).sum(1), (p * v).sum(1)
    det = np.maximum(uu * vv - uv * uv, 1e-12)
    s, t = (vv * pu - uv * pv) / det, (uu * pv - uv * pu) / det
    weights = np.clip(np.column_stack([1.0 - s - t, s, t]), 0.0, None)
    weights /= weights.sum(axis=1, keepdims=True)
    distances: Points = np.linalg.norm((weights[:, :, None] * corners).sum(axis=1) - place, axis=1)
    return weights, distances


def figure_height(figure: Mapping[str, RegionChart]) -> float:
    """How tall the character stands in the figure's own unit."""
    return float(max(chart.sections[:, :, 2].max() for chart in figure.values()))


def scaled_by_height(
    points: tuple[EdgePoint, ...], form: Form, figure: Mapping[str, RegionChart], character: float
) -> Points:
    """Where scaling the picture by height would have put the points on the wearer, (m, 3) [mm].

    A point keeps its share of the character's height and its way round the body; its height on the wearer
    is that share of her stature. Needs the figure's head and the region of every point. character : the
    figure's height, in its own unit.
    """
    ratio = float(form.landmarks["crown"][2]) / character
    wanted = ratio * points_on(figure, [point.at for point in points])[:, 2]
    places = np.empty((len(points), 3))
    for region, rows in _by_region([point.at for point in points]).items():
        around = np.array([points[row].at.around for row in rows])
        places[rows] = _at_heights(wanted[rows], region, around, form)
    return places


def points_on(charts: Mapping[str, RegionChart], at: Sequence[ChartPoint]) -> Points:
    """Places of chart points, (m, 3) [mm]."""
    places = np.empty((len(at), 3))
    for region, rows in _by_region(at).items():
        station, around = [at[row].station for row in rows], [at[row].around for row in rows]
        places[rows] = charts[region].points(station, around)
    return places


def _by_region(at: Sequence[ChartPoint]) -> dict[str, list[int]]:
    """Rows of points by their region."""
    rows: dict[str, list[int]] = {}
    for row, point in enumerate(at):
        rows.setdefault(point.region, []).append(row)
    return rows


def _at_heights(heights: Points, region: str, around: Points, form: Form) -> Points:
    """Points of the wearer at heights (m,) and ways round (m,), in a region or its neighbour, (m, 3)."""
    best = np.full(len(heights), np.inf)
    places = np.zeros((len(heights), 3))
    for name in (region, *_neighbours(region)):
        # A point that its own region reaches is not looked for further on.
        rows = np.flatnonzero(best > 1e-9)
        if name not in form.charts or not rows.size:
            continue
        wanted = heights[rows]
        lines = form.charts[name].lines(around[rows])
        lines = np.take_along_axis(lines, np.argsort(lines[:, :, 2], axis=1)[:, :, None], axis=1)
        inside = np.clip(wanted, lines[:, 0, 2], lines[:, -1, 2])
        miss = np.abs(inside - wanted)
        above = np.clip((lines[:, :, 2] <= inside[:, None]).sum(axis=1), 1, lines.shape[1] - 1)
        line = np.arange(len(rows))
        low, high = lines[line, above - 1], lines[line, above]
        share = (inside - low[:, 2]) / np.maximum(high[:, 2] - low[:, 2], 1e-12)
        closer = miss < best[rows] - 1e-9
        best[rows[closer]] = miss[closer]
        places[rows[closer]] = (low + share[:, None] * (high - low))[closer]
    return places


def _neighbours(region: str) -> tuple[str, ...]:
    definition, side = split_region(region)
    chain = {
        "thigh": ("shank",),
        "shank": ("thigh", "foot"),
        "upper_arm": ("forearm",),
        "forearm": ("upper_arm", "hand"),
        "hand": ("forearm",),
    }
    return tuple(f"{name}_{side}" for name in chain.get(definition.name, ()))


def _check_on_body(at: ChartPoint, form: Form, slug: str) -> None:
    if at.region not in form.charts:
        raise PlacementError(
            f"there is no region {at.region!r} on the body.",
            where=f"edge {slug}",
            advice=f"Regions: {', '.join(sorted(form.charts))}.",
        )
    chart = form.charts[at.region]
    if not chart.stations[0] - 0.5 <= at.station <= chart.stations[-1] + 0.5:
        raise PlacementError(
            f"a point lies beyond the ends of the {at.region.replace('_', ' ')}.",
            where=f"edge {slug}",
            advice="Place it in the neighbouring region.",
        )
