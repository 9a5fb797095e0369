"""Bézier curves flattened to a stated tolerance."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layfigure.geometry.bezier import flattened_bezier

PLACE = st.tuples(st.floats(-500, 500), st.floats(-500, 500))


@given(corners=st.lists(PLACE, min_size=3, max_size=4), flatness=st.sampled_from([0.02, 0.5]))
def test_no_chord_is_further_from_the_curve_than_stated(
    corners: list[tuple[float, float]], flatness: float
) -> None:
    control = np.array(corners)
    points = np.vstack([control[:1], flattened_bezier(control, flatness)])
    count = len(points) - 1
    for share in (0.25, 0.5, 0.75):
        t = (np.arange(count) + share) / count
        level = [np.broadcast_to(place, (count, 2)) for place in control]
        while len(level) > 1:  # de Casteljau's own construction
            level = [a * (1.0 - t)[:, None] + b * t[:, None] for a, b in pairwise(level)]
        chord = points[:-1] * (1.0 - share) + points[1:] * share
        assert np.linalg.norm(level[0] - chord, axis=1).max() <= flatness * 1.0001 + 1e-9


def test_a_line_stays_one_step() -> None:
    line = np.array([[0.0, 0.0], [30.0, 40.0]])
    assert flattened_bezier(line, 0.1) == pytest.approx(line[1:])
