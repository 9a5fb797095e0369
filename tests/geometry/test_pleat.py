"""Folding the paper again: what a pleat hides must end on the line that covers it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layfigure.geometry.pleat import hidden_edge, mirrored


def folded(points: np.ndarray, crease: np.ndarray, inner: np.ndarray) -> np.ndarray:
    """Where hidden cloth lies when folded: its far half turns about the inner fold, then all about the
    crease."""
    along = inner[1] - inner[0]
    beyond = along[0] * (points - inner[0])[:, 1] - along[1] * (points - inner[0])[:, 0] < -1e-9
    half = points.copy()
    half[beyond] = mirrored(points[beyond], inner)
    return mirrored(half, crease)


@given(st.floats(-0.15, 0.15), st.floats(-0.3, 0.3), st.floats(20.0, 60.0))
def test_all_three_layers_end_on_one_line(lean: float, slope: float, depth: float) -> None:
    crease = np.array([[100.0, 0.0], [100.0 - lean * 80.0, 80.0]])
    inner = np.array([[100.0 + depth, 0.0], [100.0 + depth, 90.0]])
    away = np.linspace(0.0, 90.0, 30)
    cover = crease[1] + np.stack([-away, slope * away + 0.002 * away**2], axis=1)
    hidden = hidden_edge(cover, crease, inner)
    assert hidden[0] == pytest.approx(cover[0])
    # The crease comes to lie on its own image in the inner fold.
    assert hidden[-1] == pytest.approx(mirrored(crease[1:], inner)[0], abs=1e-6)
    lying = folded(hidden, crease, inner)
    order = np.argsort(-cover[:, 0])
    heights = np.interp(-lying[:, 0], -cover[order, 0], cover[order, 1])
    assert lying[:, 1] == pytest.approx(heights, abs=1e-6)


def test_a_straight_pleat_square_to_its_edge_hides_a_straight_edge() -> None:
    crease, inner = np.array([[50.0, 0.0], [50.0, 10.0]]), np.array([[75.0, 0.0], [75.0, 10.0]])
    hidden = hidden_edge(np.array([[50.0, 10.0], [0.0, 10.0]]), crease, inner)
    assert hidden[:, 1] == pytest.approx(10.0)
    assert np.linalg.norm(np.diff(hidden, axis=0), axis=1).sum() == pytest.approx(50.0)


def test_a_fold_out_of_reach_is_refused() -> None:
    with pytest.raises(ValueError, match="does not meet"):
        hidden_edge(
            np.array([[0.0, 0.0], [-9.0, 0.0]]),
            np.array([[0.0, 0.0], [0.0, 1.0]]),
            np.array([[-5.0, 400.0], [5.0, 400.01]]),
        )
