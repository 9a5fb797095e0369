"""A band keeps its planes and its points, and loses the jitter of the marks."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layfigure.place.band import smooth_band

ROUND = np.linspace(0.0, 1.0, 400, endpoint=False)


def tilted(around: np.ndarray, rise: float, way: float) -> np.ndarray:
    return 0.5 + rise * np.cos(2 * np.pi * (around - way))


@given(st.floats(0.0, 0.4), st.floats(0.0, 1.0), st.integers(8, 24))
def test_a_plane_cut_is_met_wherever_it_was_marked(rise: float, way: float, count: int) -> None:
    marks = np.linspace(0.0, 1.0, count, endpoint=False)
    band = smooth_band(marks, tilted(marks, rise, way), np.full(count, 0.01), np.empty(0))
    assert band.station(ROUND) == pytest.approx(tilted(ROUND, rise, way), abs=2e-3)


def test_jitter_is_smoothed_to_well_below_its_own_size() -> None:
    rng = np.random.default_rng(5)
    worst = []
    for _ in range(20):
        marks = np.sort(rng.uniform(0, 1, 20))
        noisy = tilted(marks, 0.15, 0.2) + rng.normal(0, 0.03, 20)
        band = smooth_band(marks, noisy, np.full(20, 0.03), np.empty(0))
        worst.append(np.sqrt(np.mean((band.station(ROUND) - tilted(ROUND, 0.15, 0.2)) ** 2)))
    assert np.median(worst) < 0.02


def test_the_back_follows_the_plane_that_the_front_shows() -> None:
    marks = np.linspace(-0.22, 0.22, 9) % 1.0
    band = smooth_band(marks, tilted(marks, 0.1, 0.05), np.full(9, 0.01), np.empty(0))
    assert np.abs(band.station(ROUND) - tilted(ROUND, 0.1, 0.05)).max() < 0.06


def test_a_point_stays_sharp_and_the_rest_does_not_ring() -> None:
    peak = np.abs(np.mod(ROUND - 0.25 + 0.5, 1.0) - 0.5)
    truth = 0.5 - 0.2 * np.maximum(0.0, 1.0 - peak / 0.5)
    marks = ROUND[::20]
    band = smooth_band(marks, truth[::20], np.full(20, 0.01), np.array([0.25]))
    step = 1e-4
    left, right = band.station(np.array([0.25 - step, 0.25 + step])) - band.station(np.array([0.25]))
    assert (left + right) / step > 0.5, "the slope breaks at the corner"
    assert np.abs(band.station(ROUND) - truth).max() < 0.02


def test_a_sure_mark_counts_for_more_than_an_unsure_one() -> None:
    marks = np.linspace(0.0, 1.0, 12, endpoint=False)
    station = 0.5 + 0.008 * np.random.default_rng(2).standard_normal(12)
    station[4] = 0.6
    spread = np.full(12, 0.01)
    spread[4] = 0.2
    unsure = smooth_band(marks, station, spread, np.empty(0)).station(marks[4:5])[0]
    spread[4] = 0.01
    sure = smooth_band(marks, station, spread, np.empty(0)).station(marks[4:5])[0]
    assert abs(unsure - 0.5) < abs(sure - 0.5)
    assert abs(unsure - 0.5) < 0.015
