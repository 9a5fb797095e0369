"""Bands against cases with a known best answer, and random limbs for what must always hold."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from layfigure.geometry import band_fit
from layfigure.geometry.band_fit import BandsImpossible, best_breaks, fit_bands, poke
from layfigure.geometry.support_function import least_radius, section_girth, support_values

ANGLE = 2.0 * np.pi * np.arange(128) / 128
ROUND = np.stack([np.cos(ANGLE), np.sin(ANGLE)], axis=1)


def hulls_of(radii: np.ndarray) -> np.ndarray:
    return support_values(radii[:, None, None] * ROUND, 240)


def test_a_cone_needs_one_band_and_is_met_everywhere() -> None:
    heights = np.linspace(0.0, 200.0, 41)
    hulls = hulls_of(30.0 + 0.1 * heights)
    fit = fit_bands(
        heights,
        hulls,
        best_breaks(heights, hulls, 1, lowest=0, highest=200, least_depth=30),
        least_radius=10.0,
    )
    room = fit.support(heights) - hulls
    assert room.min() >= -1e-9
    assert room.max() < 0.05


@pytest.mark.parametrize("bands", [1, 2])
@pytest.mark.parametrize("radii", [(30.0, 42.0, 50.0), (30.0, 55.0, 40.0)])
def test_round_sections_need_no_general_solver(
    monkeypatch: pytest.MonkeyPatch, radii: tuple[float, ...], bands: int
) -> None:
    """Thousands of limits hold in one place, and others nearly: it is sure all the same which do."""
    monkeypatch.setattr(band_fit, "linprog", None)
    heights = np.linspace(0.0, 200.0, 41)
    hulls = hulls_of(np.interp(heights, [0.0, 120.0, 200.0], radii))
    breaks = best_breaks(heights, hulls, bands, lowest=20.0, highest=180.0, least_depth=30.0)
    fit = fit_bands(heights, hulls, breaks, least_radius=10.0)
    assert (fit.support(heights) - hulls).min() >= -1e-9


def test_two_cones_break_where_they_meet() -> None:
    heights = np.linspace(0.0, 200.0, 41)
    hulls = hulls_of(np.interp(heights, [0.0, 120.0, 200.0], [30.0, 55.0, 40.0]))
    breaks = best_breaks(heights, hulls, 2, lowest=20.0, highest=180.0, least_depth=30.0)
    assert breaks == pytest.approx([0.0, 120.0, 200.0])
    fit = fit_bands(heights, hulls, breaks, least_radius=10.0)
    assert (fit.support(heights) - hulls).max() < 0.05


@pytest.mark.parametrize("seed", range(5))
def test_breaks_leave_the_least_room_that_lines_above_can(seed: int) -> None:
    draw = np.random.default_rng(seed)
    heights = np.sort(draw.uniform(0.0, 200.0, 14))
    hulls = 50.0 + np.cumsum(draw.normal(scale=4.0, size=(14, 5)), axis=0)

    def room(low: int, high: int) -> float:
        z, values = heights[low : high + 1], hulls[low : high + 1]
        # The least area under a line at b + s z that clears all is depth times its height in the middle.
        middle = [
            linprog(
                [1.0, 0.5 * (z[0] + z[-1])],
                A_ub=np.column_stack([-np.ones_like(z), -z]),
                b_ub=-column,
                bounds=(None, None),
            ).fun
            for column in values.T
        ]
        return float((z[-1] - z[0]) * np.mean(middle) - np.trapezoid(values.mean(axis=1), z))

    found = best_breaks(heights, hulls, 2, lowest=40.0, highest=160.0, least_depth=30.0)
    rooms = {
        k: room(0, k) + room(k, 13)
        for k in range(1, 13)
        if 40.0 <= heights[k] <= 160.0 and min(heights[k] - heights[0], heights[-1] - heights[k]) >= 30.0
    }
    assert found == pytest.approx(heights[[0, min(rooms, key=lambda k: rooms[k]), 13]])


def test_a_hollow_limb_is_spanned_by_the_ruling_and_not_followed() -> None:
    heights = np.linspace(0.0, 200.0, 41)
    hulls = hulls_of(np.interp(heights, [0.0, 100.0, 200.0], [50.0, 30.0, 50.0]))
    fit = fit_bands(heights, hulls, heights[[0, -1]], least_radius=10.0)
    assert section_girth(fit.values) == pytest.approx(section_girth(hulls[[0, -1]]), abs=0.1)


def test_a_sharp_section_is_rounded_to_the_least_radius() -> None:
    heights = np.linspace(0.0, 100.0, 11)
    plate = np.array([[40.0, 1.0], [-40.0, 1.0], [-40.0, -1.0], [40.0, -1.0]])
    hulls = support_values(np.repeat(plate[None], 11, axis=0), 240)
    fit = fit_bands(heights, hulls, heights[[0, -1]], least_radius=15.0)
    assert min(least_radius(row) for row in fit.values) >= 15.0 - 1e-3
    assert (fit.support(heights) - hulls).min() >= -1e-9


def test_no_room_for_a_break_is_said() -> None:
    heights = np.linspace(0.0, 60.0, 13)
    hulls = hulls_of(np.full(13, 40.0))
    with pytest.raises(BandsImpossible, match="no room for 3 bands"):
        best_breaks(heights, hulls, 3, lowest=10.0, highest=50.0, least_depth=30.0)


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 100_000), st.integers(1, 3))
def test_random_limbs_never_poke_out(seed: int, bands: int) -> None:
    draw = np.random.default_rng(seed)
    heights = np.linspace(0.0, 240.0, 49)
    knots = np.linspace(0.0, 240.0, 6)
    wide = np.interp(heights, knots, draw.uniform(25.0, 70.0, 6))
    deep = wide * np.interp(heights, knots, draw.uniform(0.6, 1.2, 6))
    shift = np.stack([np.interp(heights, knots, draw.normal(size=6) * 8.0) for _ in range(2)], axis=1)
    points = np.stack([wide, deep], axis=1)[:, None] * ROUND + shift[:, None]
    hulls = support_values(points, 240)
    breaks = best_breaks(heights, hulls[:, ::5], bands, lowest=30.0, highest=210.0, least_depth=40.0)
    fit = fit_bands(heights, hulls, breaks, least_radius=10.0)
    places = np.concatenate([points, np.repeat(heights[:, None, None], 128, axis=1)], axis=2).reshape(-1, 3)
    assert poke(fit, places).max() <= 1e-9
    assert min(least_radius(row) for row in fit.values) >= 10.0 - 1e-3
    for below, above in zip(fit.bands, fit.bands[1:], strict=False):
        assert (below.high == above.low).all()
