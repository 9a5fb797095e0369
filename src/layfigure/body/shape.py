"""A Form from the coefficients of the template: posed, sectioned and measured."""

from __future__ import annotations

from collections.abc import Mapping

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
from layfigure.body.sections import resample_cuts
from layfigure.body.template import Template
from layfigure.geometry.mesh import TriangleMesh

Points = NDArray[np.float64]

POINTS_A_SECTION = 128


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
    return form_of_points(template, template.points(shape), wearer, arm_angle=arm_angle)


def form_of_points(
    template: Template,
    points: Points,
    wearer: str = "",
    *,
    arm_angle: float = ARM_ANGLE,
    measures: Mapping[str, float] | None = None,
    estimated: frozenset[str] = frozenset(),
    spreads: Mapping[str, float] | None = None,
    drafting_pose: Pose | None = None,
) -> Form:
    """The body with given points in the drafting pose, (p, 3) [mm]: surface and joints of the template.

    drafting_pose : another pose to draft in, from the usual one.
    """
    standing = standing_pose(template, arm_angle=arm_angle).apply(points)
    places = BodyPlaces(template, standing)
    heights = level_heights(places)
    faces = region_faces()
    drafted = points if drafting_pose is None else drafting_pose.apply(points)
    surface, drafting_surface = standing[: template.vertex_count], drafted[: template.vertex_count]
    stations = {region: chart_stations(region, places) for region in faces.names}
    planes = {name: section_planes(name, places, heights, stations[name]) for name in faces.names}
    cuts = cut_regions(surface, places, planes)
    grid = resample_cuts(surface, cuts, list(planes.values()), POINTS_A_SECTION)

    def charts_of(vertices: Points) -> dict[str, RegionChart]:
        ends = np.cumsum([len(at) for at in stations.values()])[:-1]
        return {
            region: RegionChart(
                region=region,
                level_names=split_region(region)[0].levels,
                stations=stations[region],
                sections=sections,
            )
            for region, sections in zip(faces.names, np.split(grid.places(vertices), ends), strict=True)
        }

    return Form(
        wearer=wearer,
        standing=TriangleMesh(surface, template.faces),
        drafting=TriangleMesh(drafting_surface, template.faces),
        charts=charts_of(surface),
        drafting_charts=charts_of(drafting_surface),
        region_names=faces.names,
        face_region=faces.face_region,
        level_heights=heights,
        landmarks={name: standing[row] for name, row in template.landmarks.items()},
        measures=dict(measures or {}),
        estimated=estimated,
        spreads=dict(spreads or {}),
    )
