"""Scoring by anatomy: the same point of skin, known where character and wearer are made of one mesh.

Characters from the package's template and the wearers share faces, so a point of a character's skin is a face
and weights, and lies at the same ones on the wearer. The study sees only the character's picture; the tool
carries a reading by proportion to its neutral body and from there, with its skin, to the wearer.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from benchmarks.study.costume import TrueEdge
from benchmarks.study.observe import Scene
from benchmarks.study.scenes import Sitting
from benchmarks.study.score import Score, distance_to_curve
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.body.form import Form
from layfigure.geometry.nearest_face import nearest_faces
from layfigure.pipeline.stages import neutral_body
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
            own = [next(queue) for _ in truth]
            true = [(edge.region, edge.station[index], edge.around[index]) for index in truth.tolist()]
            read = [(reading.region, reading.station, reading.around) for reading in own]
            placed = {
                "by anatomy": _same_skin(read, neutral, form, charts),
                "by proportion": np.vstack([charts[r].points(t, a) for r, t, a in read]),
                "perfect reading": _same_skin(true, neutral, form, charts),
            }
            corner = np.isin(truth, edge.corners)
            for name, places in placed.items():
                errors = distance_to_curve(places, np.vstack([curve, curve[:1]]) if edge.closed else curve)
                errors[corner] = np.linalg.norm(places[corner] - curve[truth[corner]], axis=1)
                scores[name] += [
                    Score(
                        edge=edge.slug,
                        kind=edge.kind,
                        picture=marks.name,
                        corner=bool(c),
                        error=float(error),
                        refused=reading.refused and name != "perfect reading",
                    )
                    for reading, error, c in zip(own, errors, corner, strict=True)
                ]
    return scores


def _same_skin(
    at: Sequence[tuple[str, float, float]], neutral: Form, form: Form, charts: Mapping[str, RegionChart]
) -> Points:
    """Places on the wearer by anatomy, (m, 3): as ``place.same_skin`` does, for many points at once."""
    places = np.zeros((len(at), 3))
    for region in {name for name, _, _ in at}:
        own = [k for k, (name, _, _) in enumerate(at) if name == region]
        station, around = np.array([at[k][1:] for k in own]).T
        faces = neutral.standing.faces[neutral.face_region == neutral.region_names.index(region)]
        met = nearest_faces(neutral.standing.vertices, faces, neutral.charts[region].points(station, around))
        on_form = met.carried(faces, form.standing.vertices)
        station, around, _ = form.charts[region].locate(on_form)
        places[own] = charts[region].points(station, around)
    return places
