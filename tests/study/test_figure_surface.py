"""The template's skin in the figure's charts: itself when nothing changed, and true to a known change."""

from dataclasses import replace

import numpy as np
import pytest

from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.study.figure_surface import figure_surface


@pytest.fixture(scope="module")
def neutral() -> Form:
    template = load_template()
    return form_of(template, template.presets["woman"], "template")


def test_the_template_itself_is_not_moved(neutral: Form) -> None:
    surface = figure_surface(neutral.charts, neutral)
    moved = np.linalg.norm(surface.vertices - neutral.standing.vertices, axis=1)
    assert moved.max() < 0.01


def test_a_body_twice_the_size_is_met_everywhere(neutral: Form) -> None:
    doubled = {name: replace(chart, sections=2.0 * chart.sections) for name, chart in neutral.charts.items()}
    surface = figure_surface(doubled, neutral)
    miss = np.linalg.norm(surface.vertices - 2.0 * neutral.standing.vertices, axis=1)
    # Shoulders, armpits and seat lie between regions and follow like a plate: 2 % of a 3.3 m body at most.
    assert np.quantile(miss, 0.8) < 0.01
    assert np.quantile(miss, 0.95) < 20.0
    assert miss.max() < 80.0
    assert (surface.faces == neutral.standing.faces).all()


def test_a_stretched_shank_stretches_only_the_leg_below_the_knee(neutral: Form) -> None:
    charts = dict(neutral.charts)
    chart = charts["shank_left"]
    wide = chart.sections - chart.sections.mean(axis=1, keepdims=True)
    charts["shank_left"] = replace(chart, sections=chart.sections + 0.5 * wide * [1.0, 1.0, 0.0])
    surface = figure_surface(charts, neutral)
    moved = np.linalg.norm(surface.vertices - neutral.standing.vertices, axis=1)
    vertices = neutral.standing.vertices
    calf = (vertices[:, 0] > 0) & (np.abs(vertices[:, 2] - chart.height(0.3)) < 15.0)
    assert moved[calf].min() > 5.0
    assert moved[vertices[:, 2] > 900.0].max() < 1.0
