"""The root of the neck is an oblique ring through the notch and the sides, on bodies of every kind."""

from itertools import pairwise

import numpy as np
import pytest

from layfigure.body.shape import form_of
from layfigure.body.template import load_template


@pytest.mark.parametrize("kind", ["woman", "man"])
@pytest.mark.parametrize("mode", [None, 0, 1, 2])
@pytest.mark.parametrize("amount", [-2.0, 2.0])
def test_the_neck_ends_in_a_ring_at_the_neck_base(kind: str, mode: int | None, amount: float) -> None:
    template = load_template()
    shape = template.presets[kind].copy()
    if mode is not None:
        shape[mode] += amount
    form = form_of(template, shape)
    chart, places = form.charts["neck"], form.landmarks
    root = chart.section(1.0)
    spacing = float(chart.girth(1.0)) / len(root)
    for name, near in (
        ("front_neck", 1.0 + spacing),
        ("neck_side_left", 6.0),
        ("neck_side_right", 6.0),
        ("nape", 30.0),
    ):
        assert np.linalg.norm(root - places[name], axis=1).min() < near, name
    # Not a rectangle over the shoulders: no longer than 1.25 times the polygon through the four places,
    # and nowhere below the notch.
    corners = [places[n] for n in ("front_neck", "neck_side_left", "nape", "neck_side_right", "front_neck")]
    around = sum(float(np.linalg.norm(b - a)) for a, b in pairwise(corners))
    assert around < chart.girth(1.0) < 1.25 * around
    assert root[:, 2].min() > places["front_neck"][2] - 3.0
