"""Turn and move of least squares in the plane, against a search and where they are known."""

import numpy as np
import pytest
from scipy.optimize import least_squares

from layfigure.geometry.rigid import rigid_onto


def test_a_turn_and_a_move_are_found_again() -> None:
    places = np.random.default_rng(2).normal(size=(9, 2)) * 80.0
    angle = np.radians(37.0)
    turned = places @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]]) + [
        12.0,
        -40.0,
    ]
    turn, move = rigid_onto(places, turned)
    assert places @ turn + move == pytest.approx(turned, abs=1e-9)


def test_nothing_is_nearer_and_nothing_is_turned_over() -> None:
    random = np.random.default_rng(5)
    for _ in range(10):
        places, onto = random.normal(size=(2, 7, 2)) * 50.0

        def off(three: np.ndarray, places=places, onto=onto) -> np.ndarray:  # type: ignore[type-arg,no-untyped-def]
            c, s = np.cos(three[0]), np.sin(three[0])
            return (places @ np.array([[c, s], [-s, c]]) + three[1:] - onto).ravel()

        turn, move = rigid_onto(places, onto)
        found = float(((places @ turn + move - onto) ** 2).sum())
        searched = min(2.0 * least_squares(off, [a, 0.0, 0.0]).cost for a in (0.0, 1.5, 3.0, 4.5))
        assert found == pytest.approx(searched, rel=1e-6)
        assert np.linalg.det(turn) == pytest.approx(1.0)


def test_a_single_place_is_moved_and_not_turned() -> None:
    turn, move = rigid_onto(np.array([[3.0, 4.0]]), np.array([[10.0, 10.0]]))
    assert turn.tolist() == np.eye(2).tolist()
    assert move.tolist() == [7.0, 6.0]
