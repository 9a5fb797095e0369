"""The solver of bands and domes, against the general one of scipy (HiGHS), and where no answer is sure."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.sparse import csr_matrix

from layfigure.geometry.least_place import least_place


@pytest.mark.parametrize("seed", range(6))
def test_it_finds_the_vertex_that_a_general_solver_finds(seed: int) -> None:
    rng = np.random.default_rng(seed)
    n, m = 12, 150
    A = rng.normal(size=(m, n)) * (rng.random((m, n)) < 0.5)
    limits = rng.uniform(0.5, 2.0, m)
    # Prices of all rows make the objective, so that there is a best place; room for x = 0 everywhere.
    objective = -(A.T @ rng.random(m)) / m
    found = least_place(objective, csr_matrix(A), limits, np.zeros(n))
    wanted = linprog(objective, A_ub=A, b_ub=limits, bounds=(None, None), method="highs-ds")
    assert found is not None
    assert found == pytest.approx(wanted.x, abs=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_dense_limits_give_the_same_place(seed: int) -> None:
    rng = np.random.default_rng(seed)
    A, limits = rng.normal(size=(150, 12)), rng.uniform(0.5, 2.0, 150)
    objective = -(A.T @ rng.random(150)) / 150
    found = least_place(objective, A, limits, np.zeros(12))
    wanted = linprog(objective, A_ub=A, b_ub=limits, bounds=(None, None), method="highs-ds")
    assert found is not None
    assert found == pytest.approx(wanted.x, abs=1e-9)


def test_of_a_whole_side_of_best_places_it_is_one_inside() -> None:
    square = csr_matrix(np.array([[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]]))
    found = least_place(np.array([1.0, 0.0]), square, np.ones(4), np.array([0.2, 0.5]))
    assert found is not None
    assert found[0] == pytest.approx(-1.0, abs=1e-9)
    assert abs(found[1]) < 0.9


def test_what_no_limits_hold_up_is_left_to_others() -> None:
    """The objective falls along a direction that a limit slows and none ends."""
    wedge = csr_matrix(np.array([[1.0, 1.0], [1.0, -1.0]]))
    assert least_place(np.array([1.0, 0.0]), wedge, np.ones(2), np.zeros(2)) is None


def test_more_limits_than_needed_in_one_point_do_no_harm() -> None:
    sides = csr_matrix(np.array([[-1.0, 0.0], [0.0, -1.0], [-1.0, -1.0], [1.0, 1.0]]))
    limits = np.array([1.0, 1.0, 2.0, 5.0])
    found = least_place(np.array([0.5, 0.5]), sides, limits, np.zeros(2))
    assert found == pytest.approx([-1.0, -1.0], abs=1e-9)


@pytest.mark.parametrize("price", [1e-5, 1e-7, 1e-8])
def test_a_limit_that_costs_nearly_nothing_is_seen_to_hold(price: float) -> None:
    """Its price and its room come near nothing together, so neither tells by itself."""
    square = csr_matrix(np.array([[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]]))
    found = least_place(np.array([1.0, price]), square, np.ones(4), np.array([0.2, 0.5]))
    assert found == pytest.approx([-1.0, -1.0], abs=1e-9)


@pytest.mark.parametrize("within", [1e-6, 1e-7, 1e-8])
def test_a_limit_passed_by_a_hair_is_seen_not_to_hold(within: float) -> None:
    """The corner of the square is cut off by so little that three limits seem to meet in one place."""
    sides = csr_matrix(np.array([[-1.0, 0.0], [0.0, -1.0], [-1.0, -1.0], [1.0, 1.0]]))
    limits = np.array([1.0, 1.0, 2.0 - within, 5.0])
    found = least_place(np.array([1.0, 1.5]), sides, limits, np.zeros(2))
    assert found == pytest.approx([-1.0 + within, -1.0], abs=1e-12)


def test_nothing_is_found_where_there_is_no_end() -> None:
    half = csr_matrix(np.array([[-1.0, 0.0], [0.0, -1.0]]))
    assert least_place(np.array([-1.0, 0.5]), half, np.ones(2), np.zeros(2)) is None
