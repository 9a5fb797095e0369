"""Stretch over a bust is shared out: less at its height, hardly more about it."""

from __future__ import annotations

import numpy as np
import pytest
from analytic_panels import Points, meshed_panel, rectangle

from layfigure.draft.flatten import stretch_weights
from layfigure.draft.flatten.arap import flatten_freely, stiffness_of
from layfigure.draft.flatten.panel import Ease
from layfigure.draft.flatten.panel_outline import outline_loop
from layfigure.draft.flatten.rest_shape import rest_triangles
from layfigure.draft.flatten.truing import flatten_panels
from layfigure.draft.flatten.worn_stretch import greatest_stretch_p95

NO_EASE = Ease(around=0.0, along=0.0)


def bust(parameters: Points) -> Points:
    """A sheet with two rounded hills 65 mm high."""
    x, y = parameters.T
    height = sum(65.0 * np.exp(-((x - centre) ** 2 + y**2) / 55.0**2) for centre in (-80.0, 80.0))
    return np.stack([x, y, np.asarray(height)], axis=1)


def test_weighting_lowers_the_stretch_over_a_bust(monkeypatch: pytest.MonkeyPatch) -> None:
    panel = meshed_panel("front", bust, rectangle((-180.0, 180.0), (-160.0, 160.0), left=None, right=None))
    weighted = flatten_panels([panel], NO_EASE)["front"]
    monkeypatch.setattr(stretch_weights, "GREATEST_WEIGHT", 1.0)
    plain = flatten_panels([panel], NO_EASE)["front"]
    assert greatest_stretch_p95(weighted) < 0.7 * greatest_stretch_p95(plain)
    # What the height loses the rest takes up, well within what was the most.
    ours, theirs = (np.quantile(np.abs(flat.stretch).max(axis=1), 0.75) for flat in (weighted, plain))
    assert ours < 1.4 * theirs


def test_a_sheet_that_needs_no_stretch_has_even_weights() -> None:
    def sheet(parameters: Points) -> Points:
        return np.column_stack([parameters, np.zeros(len(parameters))])

    panel = meshed_panel("sheet", sheet, rectangle((0.0, 200.0), (0.0, 200.0), left=None, right=None))
    stiffness = stiffness_of(rest_triangles(panel, NO_EASE), panel.faces, outline_loop(panel))
    weights = stretch_weights.stretch_weights(stiffness, flatten_freely(stiffness))
    np.testing.assert_array_equal(weights, 1.0)
