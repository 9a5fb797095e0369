import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from layfigure.geometry.polyline import length, points_at
from layfigure.piece.thin import SHORTENING, TOLERANCE, thinned, thinned_edge
from sample_pieces import all_samples, arc, frustum_guard, small_tab


def apart(one: np.ndarray, other: np.ndarray) -> float:
    """Greatest distance of either line's points from the other line."""
    lines = shapely.LineString(one), shapely.LineString(other)
    return max(
        float(shapely.distance(shapely.points(p), q).max())
        for p, q in zip((one, other), lines[::-1], strict=True)
    )


@given(st.floats(2.0, 800.0), st.floats(5.0, 180.0))
@settings(max_examples=40, deadline=None)
def test_a_circle_keeps_as_many_points_as_its_sagitta_asks(radius: float, turn: float) -> None:
    line = arc((0, 0), radius, 0.0, turn, 4001)
    thin = thinned(line)
    assert apart(line, thin) <= TOLERANCE + 1e-9
    assert 0.0 <= length(line) - length(thin) <= SHORTENING
    # A chord of a circle lies r (1 - cos(half its angle)) off it: no fewer chords would do, and not many more
    # are used, whichever limit binds. Shortening by n chords: r t - 2 n r sin(t / 2n), about r t^3 / 24 n^2.
    t = np.radians(turn)
    by_place = t / (2.0 * np.arccos(1.0 - TOLERANCE / radius))
    by_length = np.sqrt(radius * t**3 / (24.0 * SHORTENING))
    fewest = max(1.0, by_place, by_length)
    assert fewest - 1.0 <= len(thin) - 1 <= 4.0 * fewest + 2.0


@pytest.mark.parametrize("piece", all_samples(), ids=lambda piece: piece.slug)
def test_edges_keep_place_length_ends_and_notches(piece: object) -> None:
    for edge in piece.edges:  # type: ignore[attr-defined]
        thin = thinned_edge(edge)
        assert (thin[0] == edge.curve[0]).all()
        assert (thin[-1] == edge.curve[-1]).all()
        assert apart(edge.curve, thin) <= TOLERANCE + 1e-9
        assert abs(length(thin) - edge.length) <= SHORTENING
        for at in points_at(edge.curve, [notch.distance for notch in edge.notches]):
            assert np.linalg.norm(thin - at, axis=1).min() < 1e-9


def test_a_closed_line_keeps_its_corners_and_stays_closed() -> None:
    square = np.array([[0.0, 0.0], [90.0, 0.0], [90.0, 40.0], [0.0, 40.0]])
    fine = points_at(square, np.arange(0.0, 260.0, 0.5), closed=True)
    assert thinned(fine, closed=True) == pytest.approx(square)


def test_straight_lines_cost_two_points_and_double_places_none() -> None:
    line = np.linspace([0.0, 0.0], [300.0, 40.0], 500)
    whole = length(line)
    assert len(thinned(line)) == 2
    assert len(thinned(line, keep=[100.0, 100.0, 100.0 + 1e-9, 0.0, whole])) == 3
    assert len(thinned_edge(small_tab().edges[0])) == 2


def test_a_finely_drawn_guard_costs_far_fewer_points() -> None:
    curve = frustum_guard().edge("elbow_edge").curve
    finer = points_at(curve, np.linspace(0.0, length(curve), 3000))
    assert len(thinned(finer)) < 400
