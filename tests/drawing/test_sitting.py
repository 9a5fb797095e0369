"""The body and its costume on a chair: thighs level, feet on the floor, cloth where the skin went."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from layfigure.body.bent_skin import bent_places
from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.drawing.glb import Surface
from layfigure.drawing.sitting import sitting_scene
from layfigure.geometry.mesh import TriangleMesh


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
    return bent_places(form, {"thigh": 80.0, "shank": 0.0, "foot": 0.0}, places)


def test_cloth_keeps_its_distance_from_the_skin(form: Form) -> None:
    shell = TriangleMesh(form.standing.vertices * (1.0, 1.0, 1.0) + (0.0, -5.0, 0.0), form.standing.faces)
    body, (surface,) = sitting_scene(form, (Surface(name="s", mesh=shell, shade=(1.0, 1.0, 1.0, 1.0)),))
    apart = np.linalg.norm(surface.mesh.vertices - body.vertices, axis=1)
    assert np.median(apart) == pytest.approx(5.0, abs=0.5)
    assert surface.mesh.faces is shell.faces


def test_nothing_bends_without_a_turn(form: Form) -> None:
    places = form.standing.vertices[::50]
    assert bent_places(form, {}, places) == pytest.approx(places)
