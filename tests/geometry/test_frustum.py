"""Sources: frustum and cone rows from published drawing-office pages and Longfield, Sheet Metal Drafting
(1921), problems 19 and 30B; contour belts by the same formula; values recomputed to the digits shown."""

import math

import numpy as np
import pytest

from layfigure.geometry.frustum import flat_frustum, flat_frustum_by_slant, sector_arc
from layfigure.geometry.polyline import length


@pytest.mark.parametrize(
    ("radius", "larger", "height", "inner", "outer", "sector"),
    [
        (2.5, 4.0, 4.0, 7.1200, 11.3920, 126.404),
        (2.0, 4.0, 4.0, 4.472, 8.944, 161.0),
        (0.0, 4.0, 7.0, 0.0, 8.062, 178.6),
    ],
)
def test_frustums(
    radius: float, larger: float, height: float, inner: float, outer: float, sector: float
) -> None:
    flat = flat_frustum(radius, larger, height)
    assert flat.inner_radius == pytest.approx(inner, abs=0.0006)
    assert flat.outer_radius == pytest.approx(outer, abs=0.0006)
    assert math.degrees(flat.sector) == pytest.approx(sector, abs=0.05)


def test_lateral_area_of_the_textbook_pail() -> None:
    # Longfield, problem 30B: diameters 3 and 6, height 3
    flat = flat_frustum(1.5, 3.0, 3.0)
    assert flat.outer_radius - flat.inner_radius == pytest.approx(3.354, abs=0.0005)
    assert flat.area == pytest.approx(47.42, abs=0.005)


def test_full_cones() -> None:
    # base diameter 5, slant 12: girth 15.708, area 94.248; base diameter 4, height 7: sector 98.9 degrees
    cone = flat_frustum_by_slant(0.0, math.pi * 5.0, 12.0)
    assert cone.sector * cone.outer_radius == pytest.approx(15.708, abs=0.0005)
    assert cone.area == pytest.approx(94.248, abs=0.0005)
    assert math.degrees(flat_frustum(0.0, 2.0, 7.0).sector) == pytest.approx(98.9, abs=0.05)


def test_a_cone_with_a_right_angled_point() -> None:
    # slant = r sqrt 2: sector 360 / sqrt 2 = 254.6 degrees
    assert math.degrees(flat_frustum(0.0, 1.0, 1.0).sector) == pytest.approx(254.6, abs=0.05)


@pytest.mark.parametrize(
    ("top", "bottom", "depth", "radius", "sector"),
    [(760.0, 800.0, 50.0, 950.0, 45.84), (900.0, 960.0, 80.0, 1200.0, 42.97)],
)
def test_contour_belts(top: float, bottom: float, depth: float, radius: float, sector: float) -> None:
    flat = flat_frustum_by_slant(top, bottom, depth)
    assert flat.inner_radius == pytest.approx(radius)
    assert math.degrees(flat.sector) == pytest.approx(sector, abs=0.005)


def test_an_arc_is_sampled_as_finely_as_asked() -> None:
    arc = sector_arc(950.0, 0.8)
    assert np.linalg.norm(np.diff(arc, axis=0), axis=1).max() <= 2.0
    assert length(arc) == pytest.approx(950.0 * 0.8, abs=1e-3)
    assert arc[len(arc) // 2] == pytest.approx([0.0, 950.0])


def test_girths_that_no_cone_joins_are_refused() -> None:
    with pytest.raises(ValueError, match="no cone joins"):
        flat_frustum_by_slant(700.0, 1100.0, 50.0)
    with pytest.raises(ValueError, match="smaller girth"):
        flat_frustum_by_slant(700.0, 700.0, 50.0)
