"""Scoring by anatomy: the same point of skin, known where character and wearer are made of one mesh.

Characters from the package's template and the wearers share faces, so a point of a character's skin is a face
and weights, and lies at the same ones on the wearer. The study sees only the character's picture; the tool
carries a reading by proportion to its neutral body and from there, with its skin, to the wearer.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from benchmarks.study.costume import TrueEdge
from benchmarks.study.observe import Scene
from benchmarks.study.scenes import Sitting
from benchmarks.study.score import Score, distance_to_curve
from numpy.typing import NDArray

from layfigure.body.chart import ChartPoint, RegionChart
from layfigure.body.form import Form
from layfigure.geometry.nearest_face import nearest_faces
from layfigure.pipeline.stages import neutral_body
from layfigure.place.place import same_skin
from layfigure.study.reading import MarkReading

Points = NDArray[np.float64]


def same_mesh(scene: Scene, form: Form) -> bool:
    """Whether points of the character's skin can be found on the wearer."""
    return np.array_equal(scene.character.faces, form.standing.faces)


def true_skin_curve(scene: Scene, edge: TrueEdge, form: Form, charts: Mapping[str, RegionChart]) -> Points:
    """The edge on the wearer as the character's own skin carries it, (m, 3) [mm], on the tape surface.

    charts : the wearer's, scaled to the stature that is scored.
    """
    drawn = scene.charts[edge.region].skin_points(edge.station, edge.around)
    met = nearest_faces(scene.character.vertices, scene.character.faces, drawn)
    on_wearer = met.carried(form.standing.faces, form.standing.vertices)
    station, around, _ = form.charts[edge.region].locate(on_wearer)
    return charts[edge.region].points(station, around)


def score_by_anatomy(
    sitting: Sitting, readings: Sequence[MarkReading], form: Form, charts: Mapping[str, RegionChart]
) -> dict[str, list[Score]]:
    """Every mark against the same skin: placed by anatomy, left by proportion, and the truth by anatomy.

    The last is the true chart coordinate placed by anatomy: what remains when the reading is perfect.
    """
    edges = {edge.slug: edge for edge in sitting.scene.costume}
    curves = {slug: true_skin_curve(sitting.scene, edge, form, charts) for slug, edge in edges.items()}
    neutral = neutral_body()
    scores: dict[str, list[Score]] = {name: [] for name in ("by anatomy", "by proportion", "perfect reading")}
    queue = iter(readings)
    for marks, which in zip(sitting.marks, sitting.which, strict=True):
        for stretch, truth in zip(marks.edges, which, strict=True):
            edge, curve = edges[stretch.slug], curves[stretch.slug]
            for index in truth.tolist():
                reading = next(queue)
                read = ChartPoint(region=reading.region, station=reading.station, around=reading.around)
                true = ChartPoint(
                    region=edge.region,
                    station=float(edge.station[index]),
                    around=float(edge.around[index] % 1.0),
                )
                placed = {
                    "by anatomy": same_skin(read, neutral, form),
                    "by proportion": read,
                    "perfect reading": same_skin(true, neutral, form),
                }
                for name, at in placed.items():
                    place = charts[at.region].points(at.station, at.around)
                    corner = index in edge.corners
                    error = (
                        float(np.linalg.norm(place[0] - curve[index]))
                        if corner
                        else float(distance_to_curve(place, _closed(curve, edge))[0])
                    )
                    scores[name].append(
                        Score(
                            edge=edge.slug,
                            kind=edge.kind,
                            picture=marks.name,
                            corner=corner,
                            error=error,
                            refused=reading.refused,
                        )
                    )
    scores["perfect reading"] = [replace(score, refused=False) for score in scores["perfect reading"]]
    return scores


def _closed(curve: Points, edge: TrueEdge) -> Points:
    return np.vstack([curve, curve[:1]]) if edge.closed else curve
