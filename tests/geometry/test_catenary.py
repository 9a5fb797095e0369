"""Hanging chains against the closed form and against a chain of rigid links at rest."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from layfigure.geometry.catenary import catenary, length_for_sag, sag


@pytest.mark.parametrize("a", [50.0, 120.0, 1000.0])
def test_a_level_chain_is_a_catenary(a: float) -> None:
    # y = a cosh(x / a) over a span of 200: length 2 a sinh(100 / a), sag a (cosh(100 / a) - 1).
    length = 2.0 * a * math.sinh(100.0 / a)
    hanging = catenary([-100.0, 5.0, 30.0], [100.0, 5.0, 30.0], length, 201)
    exact = 30.0 + a * (np.cosh(hanging[:, 0] / a) - math.cosh(100.0 / a))
    assert hanging[:, 2] == pytest.approx(exact, abs=1e-6)
    assert hanging[:, 1] == pytest.approx(np.full(201, 5.0))
    assert sag(hanging) == pytest.approx(a * (math.cosh(100.0 / a) - 1.0), rel=1e-9)


@given(st.floats(20.0, 400.0), st.floats(-200.0, 200.0), st.floats(1.01, 3.0), st.floats(0.0, 2.0 * math.pi))
def test_any_chain_is_as_long_as_it_is(h: float, v: float, slack: float, way: float) -> None:
    end = np.array([h * math.cos(way), h * math.sin(way), v])
    length = slack * float(np.linalg.norm(end))
    hanging = catenary([0.0, 0.0, 0.0], end, length, 2001)
    steps = np.linalg.norm(np.diff(hanging, axis=0), axis=1)
    assert steps.sum() == pytest.approx(length, rel=1e-4)
    assert hanging[-1] == pytest.approx(end, abs=1e-9)
    # No chain hangs lower in the middle of its mass than one at rest: any sideways push would lift it.
    assert np.all(np.diff(hanging[:, 2], 2) > -1e-6 * length)


def test_it_rests_like_a_chain_of_rigid_links() -> None:
    # Forty links let fall by a minimiser that knows nothing of cosh: least height of their middles.
    links, each = 40, 8.0
    end = np.array([200.0, 60.0])

    def places(angles: np.ndarray) -> np.ndarray:
        return np.concatenate(
            [[[0.0, 0.0]], np.cumsum(each * np.column_stack([np.cos(angles), np.sin(angles)]), 0)]
        )

    def height(angles: np.ndarray) -> float:
        p = places(angles)
        return float((p[1:, 1] + p[:-1, 1]).sum())

    start = np.linspace(-1.2, 1.2, links)
    found = minimize(
        height,
        start,
        method="SLSQP",
        constraints={"type": "eq", "fun": lambda angles: places(angles)[-1] - end},
        options={"maxiter": 400, "ftol": 1e-10},
    )
    hanging = catenary([0.0, 0.0, 0.0], [end[0], 0.0, end[1]], links * each, links + 1)
    assert np.abs(places(found.x) - hanging[:, [0, 2]]).max() < 0.8


def test_taut_and_upright_chains() -> None:
    straight = catenary([0.0, 0.0, 0.0], [30.0, 40.0, 0.0], 10.0, 3)
    assert straight[1] == pytest.approx([15.0, 20.0, 0.0])
    fold = catenary([0.0, 0.0, 100.0], [0.0, 0.0, 60.0], 140.0, 141)
    assert fold[:, 2].min() == pytest.approx(10.0)  # 90 down and 50 up
    assert fold[-1] == pytest.approx([0.0, 0.0, 60.0])
    assert sag(fold) == pytest.approx(50.0)


@pytest.mark.parametrize("depth", [5.0, 40.0, 150.0])
def test_a_wished_sag_is_met(depth: float) -> None:
    ends = [0.0, 0.0, 0.0], [160.0, 0.0, -70.0]
    length = length_for_sag(*ends, depth)
    assert sag(catenary(*ends, length, 20001)) == pytest.approx(depth, abs=1e-4)
    assert length_for_sag(*ends, 0.0) == pytest.approx(math.hypot(160.0, 70.0))


def test_a_wished_fold_goes_down_and_up() -> None:
    assert length_for_sag([0.0, 0.0, 100.0], [0.0, 0.0, 60.0], 50.0) == pytest.approx(140.0)
