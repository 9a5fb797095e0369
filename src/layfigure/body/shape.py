"""A Form from the coefficients of the template: posed, sectioned and measured."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.body.form import Form
from layfigure.body.levels import split_region
from layfigure.body.pose import ARM_ANGLE, Pose, standing_pose
from layfigure.body.regions import (
    BodyPlaces,
    chart_stations,
    cut_regions,
    level_heights,
    region_faces,
    section_planes,
)
from layfigure.body.sections import TapeGrid, resample_cuts
from layfigure.body.template import Template
from layfigure.geometry.mesh import TriangleMesh

Points = NDArray[np.float64]

POINTS_A_SECTION = 128


class _Sections:
    """Where the sections of a standing body run; cut when they are first asked for."""

    def __init__(self, surface: Points, places: BodyPlaces, heights: dict[str, float]) -> None:
        self._surface, self._places, self._heights = surface, places, heights
        self._stations: dict[str, Points] = {}
        self._grid: TapeGrid | None = None

    def charts(self, vertices: Points) -> dict[str, RegionChart]:
        """Every region's chart on the vertices of the body in any pose."""
        if self._grid is None:
            stations = {region: chart_stations(region, self._places) for region in region_faces().names}
            planes = {
                name: section_planes(name, self._places, self._heights, at) for name, at in stations.items()
            }
            cuts = cut_regions(self._surface, self._places, planes)
            grid = resample_cuts(self._surface, cuts, list(planes.values()), POINTS_A_SECTION)
            self._stations, self._grid = stations, grid
        ends = np.cumsum([len(at) for at in self._stations.values()])[:-1]
        split = np.split(self._grid.places(vertices), ends)
        return {
            region: RegionChart(
                region=region,
                level_names=split_region(region)[0].levels,
                stations=at,
                sections=sections,
            )
            for (region, at), sections in zip(self._stations.items(), split, strict=True)
        }


class LaidCharts(Mapping[str, RegionChart]):
    """Charts by region, laid on a surface when one is first asked for: a picture needs none."""

    def __init__(self, sections: _Sections, vertices: Points) -> None:
        self._asked: tuple[_Sections, Points] | None = (sections, vertices)
        self._laid: dict[str, RegionChart] = {}

    def _all(self) -> dict[str, RegionChart]:
        asked = self._asked
        if asked is not None:
            self._laid = asked[0].charts(asked[1])
            self._asked = None
        return self._laid

    def __getitem__(self, region: str) -> RegionChart:
        return self._all()[region]

    def __iter__(self) -> Iterator[str]:
        return iter(region_faces().names)

    def __len__(self) -> int:
        return len(region_faces().names)

    def __reduce__(self) -> tuple[Any, ...]:
        return dict, (self._all(),)


def form_of(
    template: Template,
    shape: Points,
    wearer: str = "",
    *,
    arm_angle: float = ARM_ANGLE,
) -> Form:
    """The body with given coefficients.

    shape : (k,) coefficients of ``template.directions``, or fewer; ``template.presets["woman"]`` is one.
    """
    points = template.points(shape)
    standing = standing_pose(template, arm_angle=arm_angle).apply(points)
    return form_of_points(template, points, wearer, standing=standing)


def form_of_points(
    template: Template,
    points: Points,
    wearer: str = "",
    *,
    standing: Points | None = None,
    measures: Mapping[str, float] | None = None,
    estimated: frozenset[str] = frozenset(),
    spreads: Mapping[str, float] | None = None,
    drafting_pose: Pose | None = None,
) -> Form:
    """The body with given points in the drafting pose, (p, 3) [mm]: surface and joints of the template.

    standing : the same points standing, where they are known; by default with arms at their usual angle.
    drafting_pose : another pose to draft in, from the usual one.
    """
    if standing is None:
        standing = standing_pose(template).apply(points)
    places = BodyPlaces(template, standing)
    heights = level_heights(places)
    faces = region_faces()
    drafted = points if drafting_pose is None else drafting_pose.apply(points)
    surface, drafting_surface = standing[: template.vertex_count], drafted[: template.vertex_count]
    sections = _Sections(surface, places, heights)

    return Form(
        wearer=wearer,
        standing=TriangleMesh(surface, template.faces),
        drafting=TriangleMesh(drafting_surface, template.faces),
        charts=LaidCharts(sections, surface),
        drafting_charts=LaidCharts(sections, drafting_surface),
        region_names=faces.names,
        face_region=faces.face_region,
        level_heights=heights,
        landmarks={name: standing[row] for name, row in template.landmarks.items()},
        measures=dict(measures or {}),
        estimated=estimated,
        spreads=dict(spreads or {}),
    )
