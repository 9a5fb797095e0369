"""The body and its costume on a chair: thighs level, feet on the floor, cloth where the skin went."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from layfigure.body.bent_skin import bending
from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.drawing.glb import Surface
from layfigure.drawing.sitting import sitting_scene, worn_scene
from layfigure.geometry.mesh import TriangleMesh
from layfigure.pipeline.outputs import _costume_glb


@pytest.fixture(scope="module")
def form() -> Form:
    template = load_template()
    return replace(form_of(template, template.presets["woman"], "test"), posture="seated")


def test_thighs_lie_level_and_feet_stand_on_the_floor(form: Form) -> None:
    body, _ = sitting_scene(form, ())
    moved = body.vertices
    assert moved[:, 2].min() == pytest.approx(0.0, abs=1e-6)
    rows = load_template().landmarks
    for side in ("left", "right"):
        knee, ankle = (
            bent_places_of(form, form.charts[f"shank_{side}"].section(station)).mean(axis=0)
            for station in (0.05, 0.95)
        )
        hip = bent_places_of(form, form.charts[f"thigh_{side}"].section(0.3)).mean(axis=0)
        assert abs(hip[2] - knee[2]) < 0.45 * abs(hip[1] - knee[1])
        assert knee[1] < hip[1] - 200.0
        assert abs(knee[1] - ankle[1]) < 80.0
    # She is lower by about a thigh, and what is above the waist stays upright.
    before, after = form.standing.vertices[rows["nape"]], moved[rows["nape"]]
    assert 250.0 < before[2] - after[2] < 500.0
    assert after[1] == pytest.approx(before[1], abs=1.0)


def bent_places_of(form: Form, places: np.ndarray) -> np.ndarray:
    return bending(form, {"thigh": 80.0, "shank": 0.0, "foot": 0.0})(places)


def test_cloth_keeps_its_distance_from_the_skin(form: Form) -> None:
    shell = TriangleMesh(form.standing.vertices * (1.0, 1.0, 1.0) + (0.0, -5.0, 0.0), form.standing.faces)
    body, (surface,) = sitting_scene(form, (Surface(name="s", mesh=shell, shade=(1.0, 1.0, 1.0, 1.0)),))
    apart = np.linalg.norm(surface.mesh.vertices - body.vertices, axis=1)
    assert np.median(apart) == pytest.approx(5.0, abs=0.5)
    assert surface.mesh.faces is shell.faces


def test_nothing_bends_without_a_turn(form: Form) -> None:
    places = form.standing.vertices[::50]
    assert bending(form, {})(places) == pytest.approx(places)


def test_the_file_of_the_costume_sits_where_its_wearer_does(form: Form) -> None:
    shell = TriangleMesh(form.standing.vertices - (0.0, 5.0, 0.0), form.standing.faces)
    worn = (Surface(name="shirt", mesh=shell, shade=(1.0, 1.0, 1.0, 1.0)),)
    heights = {}
    for posture in ("standing", "seated"):
        file = _costume_glb(replace(form, posture=posture), worn)
        scene = trimesh.load(io.BytesIO(file), file_type="glb")
        # glTF has y up, in metres.
        low, high = scene.geometry["body"].bounds[:, 1]
        assert scene.geometry["shirt"].bounds[:, 1] == pytest.approx([low, high], abs=0.02)
        heights[posture] = 1000.0 * (high - low)
    assert heights["standing"] == pytest.approx(np.ptp(form.standing.vertices[:, 2]), abs=0.1)
    # Lower by about a thigh, whose bones lie 80 degrees from upright.
    thigh = float(form.landmarks["crotch"][2] - form.landmarks["kneecap_left"][2])
    assert heights["standing"] - heights["seated"] == pytest.approx(thigh, rel=0.2)
    body, surfaces = worn_scene(replace(form, posture="standing"), worn)
    assert body is form.standing
    assert surfaces == worn
