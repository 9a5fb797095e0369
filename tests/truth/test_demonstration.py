"""Brindle: the folder reads, the pictures are there, and the study finds what the drawing script knows."""

import json
from pathlib import Path

import numpy as np
from benchmarks.study.score import distance_to_curve

from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.body.wearer_file import find_wearers, read_wearer
from layfigure.design.costume_file import read_costume
from layfigure.design.marks_file import read_marks
from layfigure.draft.registry import find_kind
from layfigure.materials.material_file import read_materials
from layfigure.study.reading import study_marks

FOLDER = Path(__file__).parents[2] / "examples" / "brindle"


def test_every_file_reads_and_every_name_is_known() -> None:
    costume = read_costume(FOLDER)
    marks = read_marks(FOLDER / "marks.json", edges=costume.marked_slugs())
    assert not marks.missing
    assert [picture.view for picture in marks.pictures] == ["front", "back", "left", "free"]
    cloths = read_materials(FOLDER / "materials.toml")
    for piece in costume.pieces:
        assert piece.cloth in cloths or piece.kind == "found"
        assert find_kind(piece.kind).required <= set(piece.edges)
    truth = json.loads((FOLDER / "truth.json").read_text(encoding="utf-8"))["edges"]
    marked = {edge.slug for picture in marks.pictures for edge in picture.edges}
    assert marked == set(truth)


def test_one_wearer_stands_and_is_even_the_other_sits_and_is_not() -> None:
    wearers = {name: read_wearer(path) for name, path in find_wearers(FOLDER).items()}
    assert set(wearers) == {"ostrander", "quillfeather"}
    for name, even in (("ostrander", True), ("quillfeather", False)):
        measures = wearers[name].measures
        assert (measures["forearm_girth_left"] == measures["forearm_girth_right"]) is even
        shoulder = "shoulder_height" if even else "seat_to_shoulder"
        assert (measures[f"{shoulder}_left"] == measures[f"{shoulder}_right"]) is even
        assert bool(wearers[name].seated_measures) is not even
        assert wearers[name].posture == ("standing" if even else "seated")


def test_what_is_read_off_the_pictures_is_where_the_costume_truly_runs() -> None:
    template = load_template()
    form = form_of(template, template.presets["woman"], wearer="woman")
    truth = json.loads((FOLDER / "truth.json").read_text(encoding="utf-8"))["edges"]
    result = study_marks(read_marks(FOLDER / "marks.json").pictures, form)
    scale = 1650.0 / float(np.ptp(form.standing.vertices[:, 2]))
    errors: dict[str, list[float]] = {}
    for reading in result.readings:
        edge = truth[reading.slug]
        curve = form.charts[edge["region"]].points(np.array(edge["station"]), np.array(edge["around"]))
        place = form.charts[reading.region].points(reading.station, reading.around)
        away = distance_to_curve(place, np.vstack([curve, curve[:1]]))[0] * scale
        errors.setdefault(reading.slug, []).append(float(away))
    every = np.concatenate(list(errors.values()))
    assert len(every) > 200
    assert result.refusal_rate < 0.10
    assert np.median(every) < 5.0
    assert np.percentile(every, 95) < 18.0
    for slug, own in errors.items():
        assert np.median(own) < 13.0, slug
