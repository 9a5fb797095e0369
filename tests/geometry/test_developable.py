"""Unrolled bands against closed forms (cylinder, cone) and against the lengths they must keep."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layfigure.geometry.developable import Band, isometry_error, unroll
from layfigure.geometry.frustum import flat_frustum
from layfigure.geometry.polyline import length
from layfigure.geometry.support_function import side_lengths, support_values


def random_band(seed: int, count: int = 240) -> Band:
    draw = np.random.default_rng(seed)
    ends = []
    for _ in range(2):
        points = draw.normal(size=(12, 2)) * draw.uniform(15.0, 60.0, 2) + draw.normal(size=2) * 10.0
        ends.append(support_values(points, count) + 6.0)
    return Band(low_height=0.0, high_height=float(draw.uniform(40.0, 250.0)), low=ends[0], high=ends[1])


@settings(deadline=None)
@given(st.integers(0, 10_000))
def test_nothing_is_stretched_by_unrolling(seed: int) -> None:
    band = random_band(seed)
    assert side_lengths(band.low).min() > 0.0
    assert isometry_error(band, unroll(band, first=seed % 240, trapezoids=300)) < 1e-9


@settings(deadline=None)
@given(st.integers(0, 10_000))
def test_a_curve_drawn_on_the_band_keeps_its_length(seed: int) -> None:
    band = random_band(seed)
    ruling = np.arange(4799) / 20.0  # passes through every ruling
    share = 0.5 + 0.4 * np.sin(ruling / 7.0)
    on_band = length(band.points(ruling, share))
    flat = length(unroll(band).points(ruling, share))
    assert flat == pytest.approx(on_band, abs=1e-8)


@settings(deadline=None)
@given(st.integers(0, 10_000))
def test_places_on_the_band_are_found_again(seed: int) -> None:
    band = random_band(seed)
    draw = np.random.default_rng(seed)
    ruling, share = draw.uniform(0.0, 240.0, 40), draw.uniform(0.0, 1.0, 40)
    places = band.points(ruling, share)
    found = band.points(*band.nearest(places))
    assert np.linalg.norm(found - places, axis=1).max() < 1e-9


def test_the_check_of_lengths_can_fail() -> None:
    band = random_band(3)
    flat = unroll(band)
    flat.high[5] += [0.01, 0.0]
    assert isometry_error(band, flat) > 0.005


def test_a_cylinder_unrolls_to_a_rectangle() -> None:
    band = Band(low_height=0.0, high_height=80.0, low=np.full(360, 50.0), high=np.full(360, 50.0))
    flat = unroll(band)
    assert flat.low[:, 1] == pytest.approx(np.zeros(361), abs=1e-9)
    assert flat.high[:, 1] == pytest.approx(np.full(361, 80.0))
    # The polygon round a circle is longer by tan(x)/x.
    assert flat.low[-1, 0] == pytest.approx(2.0 * math.pi * 50.0, rel=3e-5)


def test_a_frustum_unrolls_to_the_ring_sector_of_the_textbook() -> None:
    # radii 2.5 and 4, height 4: inner 7.12, outer 11.39, sector 126.4 degrees (published), in cm here
    sheet = flat_frustum(25.0, 40.0, 40.0)
    band = Band(low_height=0.0, high_height=40.0, low=np.full(720, 25.0), high=np.full(720, 40.0))
    flat = unroll(band)
    first, last = flat.high[0] - flat.low[0], flat.high[-1] - flat.low[-1]
    sector = math.acos(first @ last / (first @ first))
    assert sector == pytest.approx(sheet.sector, rel=2e-5)
    assert np.linalg.norm(first) == pytest.approx(sheet.outer_radius - sheet.inner_radius, rel=1e-5)
    apex = flat.low[0] - first / np.linalg.norm(first) * sheet.inner_radius
    assert np.linalg.norm(flat.low - apex, axis=1) == pytest.approx(
        np.full(721, sheet.inner_radius), abs=0.003
    )
    assert np.linalg.norm(flat.high - apex, axis=1) == pytest.approx(
        np.full(721, sheet.outer_radius), abs=0.003
    )


def test_a_cylinder_cut_obliquely_unrolls_to_a_sine() -> None:
    """The parallel-line development of every sheet-metal book: height = tan(lean) x r cos(angle)."""
    band = Band(low_height=-60.0, high_height=60.0, low=np.full(360, 50.0), high=np.full(360, 50.0))
    angle = np.linspace(0.0, 2.0 * math.pi, 721)
    plane = np.column_stack([50.0 * np.cos(angle), 50.0 * np.sin(angle), 30.0 * np.cos(angle)])
    ruling, share = band.nearest(plane[:-1])
    flat = unroll(band).points(ruling, share)
    order = flat[:, 0].argsort()
    round_girth = flat[order, 0] / 50.0 - math.pi / 360
    assert flat[order, 1] - 60.0 == pytest.approx(30.0 * np.cos(round_girth), abs=0.01)


def test_a_stretch_turned_upright() -> None:
    flat = unroll(random_band(8)).turned(100.0)
    foot, tip = flat.points([100.0, 100.0], [0.0, 1.0])
    assert foot == pytest.approx([0.0, 0.0], abs=1e-9)
    assert tip[0] == pytest.approx(0.0, abs=1e-9)
    assert tip[1] > 0.0
