"""Study the pictures: from everything marked to the figure, and every edge in chart coordinates."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import ChartPoint, RegionChart
from layfigure.body.form import Form
from layfigure.design.design import EdgePoint
from layfigure.design.marks import EdgeMarks, PictureMarks
from layfigure.errors import StudyError
from layfigure.study import camera as cameras
from layfigure.study.advice import NextClick, next_clicks
from layfigure.study.camera import Camera
from layfigure.study.cast import Caster, Casts
from layfigure.study.combine import combine
from layfigure.study.figure import FigureModel
from layfigure.study.fit import Fit, fit_figure
from layfigure.study.guards import disagreements, landmark_warnings, pictured, plain, view_warnings
from layfigure.study.one_curve import one_curve
from layfigure.study.spread import Reading, read_marks
from layfigure.study.stretch import Doubt, Stretch
from layfigure.study.template_figure import build_model
from layfigure.study.unposed import Unposed, charts_of, unpose

Points = NDArray[np.float64]

REFUSED_BEYOND = 0.03
"""A mark farther outside its region's outline than this is refused [share of stature]."""

LOST = 0.035
"""A mark less sure than this is refused: 58 mm on 1.65 m is no placement [share of stature]."""

WIDE = 0.012
"""From this spread on, advice goes with a reading: 20 mm on 1.65 m [share of stature]."""

GRAZING = 0.3
"""Cosine between skin and ray below which a mark counts as too near the outline."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkReading:
    """What one mark reads as.

    spread_along, spread_around : one standard deviation, share of stature. refused : it could not be read
    and is left out of the edge. advice : what would help, empty when all is well.
    """

    slug: str
    picture: str
    index: int
    region: str
    station: float
    around: float
    spread_along: float
    spread_around: float
    refused: bool
    advice: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StudyResult:
    """All that the pictures say.

    charts : the figure, standing, scaled to the template's stature. edges : points of every edge in order.
    runs_round : edges that go right round their region. readings : one a mark, in the order of the marks.
    cameras : by picture. messages : in plain words, the most important first. next_clicks : best first.
    fit : the fitted parameters, for drawing the figure over the pictures.
    """

    charts: Mapping[str, RegionChart]
    edges: Mapping[str, tuple[EdgePoint, ...]]
    runs_round: frozenset[str]
    readings: tuple[MarkReading, ...]
    cameras: Mapping[str, Camera]
    messages: tuple[str, ...]
    next_clicks: tuple[NextClick, ...]
    fit: Fit

    @property
    def refusal_rate(self) -> float:
        """Share of marks that could not be read."""
        return sum(reading.refused for reading in self.readings) / max(len(self.readings), 1)


def study_marks(pictures: Sequence[PictureMarks], template: Form) -> StudyResult:
    """Fit the figure and read every edge.

    Raises MarkError for marks outside their picture, StudyError where too little is marked.
    """
    return study_with_model(pictures, build_model(template.charts))


def study_with_model(pictures: Sequence[PictureMarks], model: FigureModel) -> StudyResult:
    """As ``study_marks``, with a model built before; for many studies on one template."""
    if len({picture.name for picture in pictures}) < len(pictures):
        raise StudyError("two pictures have the same name.", advice="Give every picture its own name.")
    fit = fit_figure(model, pictures)
    unposed = unpose(model, fit.shared)
    readings: list[MarkReading] = []
    stretches: list[Stretch] = []
    targets: list[tuple[Points, Points]] = []
    casters = [Caster(fit, view) for view in range(len(pictures))]
    for caster, picture in zip(casters, pictures, strict=True):
        for edge in picture.edges:
            _read_edge(caster, picture, edge, unposed, readings, stretches, targets)
    edges: dict[str, tuple[EdgePoint, ...]] = {}
    round_: set[str] = set()
    moved = combine(stretches)
    _take_over(readings, moved)
    for slug in dict.fromkeys(stretch.slug for stretch in moved):
        parts = [stretch for stretch in moved if stretch.slug == slug]
        order, goes_round = one_curve(parts)
        edges[slug] = tuple(_edge_point(parts[s], m) for s, m in order)
        if goes_round:
            round_.add(slug)
    messages = [*view_warnings(model, pictures, fit), *landmark_warnings(fit)]
    messages += disagreements(fit, unposed.stature)
    refused = sum(reading.refused for reading in readings)
    if refused:
        messages.append(f"{refused} of {len(readings)} edge marks could not be read; see their advice.")
    by_parameters = np.concatenate([pair[0] for pair in targets]) if targets else np.zeros((0, 0))
    own = np.concatenate([pair[1] for pair in targets]) if targets else np.zeros(0)
    return StudyResult(
        charts=charts_of(model, unposed, model.stature),
        edges=edges,
        runs_round=frozenset(round_),
        readings=tuple(readings),
        cameras={picture.name: _camera(fit, view) for view, picture in enumerate(pictures)},
        messages=tuple(messages),
        next_clicks=tuple(next_clicks(casters, by_parameters, own)),
        fit=fit,
    )


def _read_edge(
    caster: Caster,
    picture: PictureMarks,
    edge: EdgeMarks,
    unposed: Unposed,
    readings: list[MarkReading],
    stretches: list[Stretch],
    targets: list[tuple[Points, Points]],
) -> None:
    """Read one edge of one picture into the study's lists."""
    model = caster.fit.model
    regions = [region for region in edge.regions or model.regions if region in model.regions]
    first = len(readings)
    if not regions:
        for index in range(len(edge.points)):
            named = ", ".join(edge.regions)
            readings.append(_refusal(edge.slug, picture.name, index, f"There is no region {named}."))
        return
    chosen, casts, reading = _nearest_region(caster, regions, edge.points, unposed)
    tall = caster.fit.sights[caster.view].tall
    for m in range(len(edge.points)):
        name = regions[chosen[m]]
        one = reading[chosen[m]]
        spread = np.sqrt(np.diag(one.covariance[m]))
        astray = bool(casts[chosen[m]].off[m] > REFUSED_BEYOND * tall)
        lost = bool(spread[0] > LOST)
        refused = astray or lost
        advice = ""
        if lost and not astray:
            advice = (
                f"The marks do not say where the {plain(name)} lies in {pictured(picture.name)}: mark its"
                " ends or its outline there."
            )
        elif refused:
            advice = (
                f"This mark lies outside the {plain(name)} in {pictured(picture.name)}. Check that the"
                f" edge is on the {plain(name)}, or mark the {plain(name)}'s outline beside it."
            )
        elif one.facing[m] < GRAZING and spread[1] > WIDE:
            advice = "Too near the outline to be sure of: mark it in another picture that faces it."
        elif spread.max() > WIDE:
            advice = f"Not sure yet: mark the outline of the {plain(name)} beside this edge."
        readings.append(
            MarkReading(
                slug=edge.slug,
                picture=picture.name,
                index=m,
                region=name,
                station=float(one.station[m]),
                around=float(one.around[m]),
                spread_along=float(spread[0]),
                spread_around=float(spread[1]),
                refused=refused,
                advice=advice,
            )
        )
    for r, name in enumerate(regions):
        read = np.array([not entry.refused for entry in readings[first:]])
        own = np.flatnonzero((chosen == r) & read)
        if not len(own):
            continue
        one = reading[r]
        part = one.by_parameters[own].reshape(2 * len(own), -1)
        whole = np.stack([one.covariance[own, 0, 0], one.covariance[own, 1, 1]], axis=1).ravel()
        moving = part[:, caster.columns]
        explained = ((moving @ caster.covariance) * moving).sum(axis=1)
        targets.append((part, np.maximum(whole - explained, 1e-8)))
        stretches.append(
            Stretch(
                slug=edge.slug,
                region=name,
                picture=caster.view,
                index=own + first,
                station=one.station[own],
                around=one.around[own],
                covariance=one.covariance[own],
                doubt=one.doubt.of(own),
                scale=one.scale[own],
                corner=np.isin(own, list(edge.corners)),
                closed=edge.closed and len(own) == len(edge.points),
            )
        )


def _nearest_region(
    caster: Caster, regions: Sequence[str], marks: Points, unposed: Unposed
) -> tuple[NDArray[np.int64], list[Casts], list[Reading]]:
    """The region each mark's ray meets first, among those allowed."""
    casts = [caster.cast(region, marks) for region in regions]
    # Rays that miss everything take the region they miss by least.
    rank = np.stack([np.where(cast.hit, 1e6 + cast.depth, -cast.off) for cast in casts])
    chosen: NDArray[np.int64] = rank.argmax(axis=0)
    needed = set(chosen.tolist())
    readings = [
        read_marks(caster, region, cast, unposed) if r in needed else _NOTHING
        for r, (region, cast) in enumerate(zip(regions, casts, strict=True))
    ]
    return chosen, casts, readings


_NOTHING = Reading(
    station=np.zeros(0),
    around=np.zeros(0),
    covariance=np.zeros((0, 2, 2)),
    doubt=Doubt(
        by_fit=np.zeros((0, 2, 0, 2)),
        by_skin=np.zeros((0, 2)),
        hand=np.zeros((0, 2, 2)),
        common=np.zeros((0, 2, 2)),
    ),
    facing=np.zeros(0),
    scale=np.zeros((0, 2)),
    by_parameters=np.zeros((0, 2, 0)),
)


def _refusal(slug: str, picture: str, index: int, advice: str) -> MarkReading:
    return MarkReading(
        slug=slug,
        picture=picture,
        index=index,
        region="",
        station=0.0,
        around=0.0,
        spread_along=np.inf,
        spread_around=np.inf,
        refused=True,
        advice=advice,
    )


def _take_over(readings: list[MarkReading], moved: Sequence[Stretch]) -> None:
    """Write what other pictures added back into the single readings."""
    for stretch in moved:
        for m, number in enumerate(stretch.index.tolist()):
            old = readings[number]
            readings[number] = MarkReading(
                slug=old.slug,
                picture=old.picture,
                index=old.index,
                region=old.region,
                station=float(stretch.station[m]),
                around=float(stretch.around[m]),
                spread_along=float(np.sqrt(stretch.covariance[m, 0, 0])),
                spread_around=float(np.sqrt(stretch.covariance[m, 1, 1])),
                refused=old.refused,
                advice=old.advice,
            )


def _edge_point(stretch: Stretch, m: int) -> EdgePoint:
    return EdgePoint(
        at=ChartPoint(
            region=stretch.region, station=float(stretch.station[m]), around=float(stretch.around[m])
        ),
        spread_along=float(np.sqrt(stretch.covariance[m, 0, 0])),
        spread_around=float(np.sqrt(stretch.covariance[m, 1, 1])),
        corner=bool(stretch.corner[m]),
    )


def _camera(fit: Fit, view: int) -> Camera:
    own = fit.cameras[view]
    nearness = float(own[cameras.NEARNESS])
    column = fit.columns(view)[-cameras.COLUMNS + cameras.NEARNESS]
    return Camera(
        view=fit.sights[view].picture.view,
        yaw=float(np.degrees(fit.sights[view].base_yaw + own[cameras.YAW])),
        pitch=float(np.degrees(own[cameras.PITCH])),
        roll=float(np.degrees(own[cameras.ROLL])),
        distance=1000.0 / nearness if nearness > 1e-3 else float("inf"),
        scale=float(np.exp(own[cameras.LOG_SCALE])),
        nearness_spread=float(np.sqrt(fit.covariance[column, column])),
    )
