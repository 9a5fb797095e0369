"""Checked against shapely's convex hull and against the exact forms of circles and ellipses."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ellipe
from shapely import MultiPoint, Polygon

from layfigure.geometry.support_function import (
    corner_points,
    directions,
    least_radius,
    section_girth,
    side_lengths,
    spline_basis,
    spline_taps,
    support_values,
)


@settings(deadline=None)
@given(st.integers(0, 10_000), st.integers(24, 360))
def test_the_polygon_holds_the_hull_and_touches_it_on_every_side(seed: int, count: int) -> None:
    points = np.random.default_rng(seed).normal(size=(40, 2)) * [60.0, 30.0] + [5.0, -9.0]
    values = support_values(points, count)
    hull = MultiPoint(points).convex_hull
    assert (points @ directions(count).T <= values + 1e-9).all()
    # A millimetre out, because sides of no length make a polygon shapely calls invalid.
    around = Polygon(corner_points(values + 1.0))
    assert around.contains(hull)
    assert section_girth(values + 1.0) == pytest.approx(around.length)
    assert section_girth(values) >= hull.length - 1e-9


def test_an_ellipse_against_its_exact_girth_and_tightest_bend() -> None:
    a, b = 60.0, 40.0
    angle = 2.0 * np.pi * np.arange(720) / 720
    values = np.hypot(a * np.cos(angle), b * np.sin(angle))
    # E(m) by scipy, independent of the support function
    assert section_girth(values) == pytest.approx(4.0 * a * ellipe(1.0 - (b / a) ** 2), rel=1e-5)
    assert least_radius(values) == pytest.approx(b * b / a, rel=1e-3)


def test_sides_are_the_distances_between_corners() -> None:
    values = support_values(np.random.default_rng(5).normal(size=(30, 2)), 48) + 1.0
    corners = corner_points(values)
    assert np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1) == pytest.approx(
        side_lengths(values)
    )


def test_missing_points_are_left_out() -> None:
    points = np.array([[[1.0, 0.0], [np.nan, np.nan]], [[np.nan, np.nan], [np.nan, np.nan]]])
    values = support_values(points, 4)
    assert values[0] == pytest.approx([1.0, 0.0, -1.0, 0.0], abs=1e-12)
    assert np.isneginf(values[1]).all()


def test_the_spline_basis_makes_circles_and_is_local() -> None:
    basis = spline_basis(*spline_taps(240, 48), 48)
    assert basis.sum(axis=1) == pytest.approx(np.ones(240))
    assert ((basis > 0).sum(axis=1) <= 4).all()
    # A cosine is drawn to the spline's order, and its section is then a shifted point: radius 0.
    angle = 2.0 * np.pi * np.arange(48) / 48
    wave = basis @ np.cos(angle)
    assert wave == pytest.approx(np.cos(2.0 * np.pi * np.arange(240) / 240), abs=0.01)
