"""The character as one closed surface: the template's skin carried into the figure's charts.

A figure is a stack of sections a region, with gaps where regions meet. For pictures the template's own skin
is moved: a point well inside a region keeps its station, its way round and how far it lies off the tape line,
scaled with the section; the skin between regions follows as a thin plate would.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix, diags
from scipy.sparse.linalg import splu

from layfigure.body.chart import RegionChart
from layfigure.body.form import Form
from layfigure.body.levels import split_region
from layfigure.geometry.mesh import TriangleMesh

Points = NDArray[np.float64]

# Stations between which a region's skin is carried; beyond them, and in regions left out, it follows.
_CARRIED: dict[str, tuple[float, float]] = {
    "head": (-1.0, 1.9),
    "torso": (1.1, 4.2),
    "upper_arm": (0.55, 0.9),
    "forearm": (0.1, 0.95),
    "hand": (0.1, 9.0),
    "thigh": (0.25, 0.92),
    "shank": (0.08, 0.85),
    "foot": (0.3, 9.0),
}


def figure_surface(charts: Mapping[str, RegionChart], template: Form) -> TriangleMesh:
    """The character's surface, standing, with the template's faces.

    charts : of the figure, from a study. template : the body whose charts the study started from.
    """
    vertices = template.standing.vertices
    known, moved = _carried(charts, template)
    move = np.zeros_like(vertices)
    free = np.setdiff1d(np.arange(len(vertices)), known)
    stiffness = _bending(template.standing)
    solver = splu(
        stiffness[free][:, free].tocsc(), permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True}
    )
    move[known] = moved - vertices[known]
    move[free] = solver.solve(-(stiffness[free][:, known] @ move[known]))
    return TriangleMesh(vertices + move, template.standing.faces)


def _carried(charts: Mapping[str, RegionChart], template: Form) -> tuple[NDArray[np.int64], Points]:
    """Vertices that lie well inside a region, and their places on the figure."""
    faces = template.standing.faces
    at_vertex = np.full(len(template.standing.vertices), -1)
    at_vertex[faces.ravel()] = np.repeat(template.face_region, 3)
    known: list[NDArray[np.int64]] = []
    places: list[Points] = []
    for index, region in enumerate(template.region_names):
        if region not in charts or region not in template.charts:
            continue
        limits = _CARRIED.get(split_region(region)[0].name)
        rows = np.flatnonzero(at_vertex == index)
        if limits is None or not len(rows):
            continue
        vertices = template.standing.vertices[rows]
        station, around, _ = template.charts[region].locate(vertices)
        inside = (station > limits[0]) & (station < limits[1])
        rows, station, around, vertices = rows[inside], station[inside], around[inside], vertices[inside]
        axis, rim = _axis_and_rim(template.charts[region], station, around)
        new_axis, new_rim = _axis_and_rim(charts[region], station, around)
        grown = np.linalg.norm(new_rim - new_axis, axis=1) / np.linalg.norm(rim - axis, axis=1)
        known.append(rows)
        places.append(new_rim + grown[:, None] * (vertices - rim))
    return np.concatenate(known), np.concatenate(places)


def _axis_and_rim(chart: RegionChart, station: Points, around: Points) -> tuple[Points, Points]:
    middles = chart.sections.mean(axis=1)
    axis = np.stack([np.interp(station, chart.stations, middles[:, k]) for k in range(3)], axis=1)
    return axis, chart.points(station, around)


def _bending(mesh: TriangleMesh) -> csr_matrix:
    """Squared graph Laplacian: displacements between known places bend as little as they can."""
    edges = mesh.edges()
    count = len(mesh.vertices)
    rows, columns = np.concatenate([edges, edges[:, ::-1]]).T
    weight = 1.0 / np.maximum(np.linalg.norm(mesh.vertices[rows] - mesh.vertices[columns], axis=1), 1.0)
    joined = csr_matrix((weight, (rows, columns)), shape=(count, count))
    degree = np.asarray(joined.sum(axis=1)).ravel()
    laplacian = diags(degree) - joined
    return csr_matrix(laplacian @ diags(1.0 / degree) @ laplacian)
