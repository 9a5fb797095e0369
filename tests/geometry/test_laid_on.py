"""An outline moved and turned by a known amount is laid back where it was; what differs is measured.

Expected values are worked out by hand from the shapes.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layfigure.geometry.laid_on import farthest_apart, farthest_beyond, laid_on

SHAPE = np.array([[0.0, 0.0], [180.0, 0.0], [200.0, 90.0], [60.0, 140.0], [0.0, 70.0]])


def turned(points, degrees, move):
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return points @ np.array([[c, s], [-s, c]]) + move


@given(st.floats(-180, 180), st.floats(-500, 500), st.floats(-500, 500))
def test_a_moved_and_turned_outline_comes_back_exactly(degrees, x, y):
    turn, move = laid_on(turned(SHAPE, degrees, [x, y]), SHAPE)
    back = turned(SHAPE, degrees, [x, y]) @ turn + move
    assert farthest_apart(back, SHAPE) == pytest.approx(0.0, abs=1e-3)


def test_it_is_never_turned_over():
    turn, _ = laid_on((SHAPE * [-1.0, 1.0])[::-1], SHAPE)
    assert np.linalg.det(turn) == pytest.approx(1.0)


def test_how_far_one_reaches_beyond_the_other():
    square = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]])
    wider = np.array([[0.0, 0.0], [106.0, 0.0], [106.0, 100.0], [0.0, 100.0]])
    assert farthest_beyond(wider, square) == pytest.approx(6.0)
    assert farthest_beyond(square, wider) == 0.0
    assert farthest_apart(square, wider) == pytest.approx(6.0)


def test_a_difference_is_shared_out_between_both_ends():
    """A strip 8 mm longer, laid best, is 4 mm off at either end."""
    strip = np.array([[0.0, 0.0], [300.0, 0.0], [300.0, 40.0], [0.0, 40.0]])
    longer = np.array([[0.0, 0.0], [308.0, 0.0], [308.0, 40.0], [0.0, 40.0]])
    turn, move = laid_on(turned(strip, 30.0, [5.0, 5.0]), longer)
    laid = turned(strip, 30.0, [5.0, 5.0]) @ turn + move
    assert farthest_apart(laid, longer) == pytest.approx(4.0, abs=0.2)
