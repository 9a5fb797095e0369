"""A Form from the coefficients of the template: posed, sectioned and measured."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.body.form import Form
from layfigure.body.levels import split_region
from layfigure.body.pose import ARM_ANGLE, standing_pose
from layfigure.body.regions import (
    BodyPlaces,
    chart_stations,
    cut_region,
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
) -> Form:
    """The body with given points in the drafting pose, (p, 3) [mm]: surface and joints of the template."""
    standing = standing_pose(template, arm_angle=arm_angle).apply(points)
    places = BodyPlaces(template, standing)
    heights = level_heights(places)
    faces = region_faces()
    surface, drafting_surface = standing[: template.vertex_count], points[: template.vertex_count]
    charts: dict[str, RegionChart] = {}
    drafting_charts: dict[str, RegionChart] = {}
    for region in faces.names:
        definition, _ = split_region(region)
        stations = chart_stations(region, places)
        planes = section_planes(region, places, heights, stations)
        cuts = cut_region(region, surface, places, planes)
        grid = resample_cuts(surface, cuts, planes, POINTS_A_SECTION)
        for target, vertices in ((charts, surface), (drafting_charts, drafting_surface)):
            target[region] = RegionChart(
                region=region,
                level_names=definition.levels,
                stations=stations,
                sections=grid.places(vertices),
            )
    return Form(
        wearer=wearer,
        standing=TriangleMesh(surface, template.faces),
        drafting=TriangleMesh(drafting_surface, template.faces),
        charts=charts,
        drafting_charts=drafting_charts,
        region_names=faces.names,
        face_region=faces.face_region,
        level_heights=heights,
        landmarks={name: standing[row] for name, row in template.landmarks.items()},
        measures=dict(measures or {}),
        estimated=estimated,
        spreads=dict(spreads or {}),
    )
