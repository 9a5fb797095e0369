"""Where on the template every vertex lies in chart coordinates, the same for every wearer.

Lines of a design are traced on the mesh by these fields: ``station`` runs along a region, ``around`` about
it. They are read on the mean body standing; on a wearer the chart's own places differ by a little, because
levels move against the skin.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.regions import region_faces
from layfigure.body.shape import form_of
from layfigure.body.template import load_template

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChartField:
    """Chart coordinates of the vertices of one region.

    vertices : (n,) the vertices of its faces. station, around : (n,). distance : (n,) from the tape surface
    [mm], large where a tape bridges a hollow or where the chart does not reach.
    """

    vertices: NDArray[np.int64]
    station: Points
    around: Points
    distance: Points


@lru_cache(maxsize=1)
def chart_fields() -> dict[str, ChartField]:
    """Chart coordinates of the shipped template by region."""
    template = load_template()
    form = form_of(template, np.zeros(1))
    faces = region_faces()
    fields: dict[str, ChartField] = {}
    for number, name in enumerate(faces.names):
        vertices = np.unique(template.faces[faces.face_region == number])
        station, around, distance = form.charts[name].locate(form.standing.vertices[vertices])
        fields[name] = ChartField(vertices=vertices, station=station, around=around, distance=distance)
    return fields
