"""An arrow lies inside its piece whatever the piece's shape."""

import numpy as np
import pytest
from shapely import LineString, Point, Polygon

from layfigure.piece.arrow import arrow_inside


def crescent() -> np.ndarray:
    t = np.linspace(-1.2, 1.2, 60)
    outer = 100.0 * np.column_stack([np.cos(t), np.sin(t)])
    inner = 85.0 * np.column_stack([np.cos(t), np.sin(t)])
    return np.concatenate([outer, inner[::-1]])


@pytest.mark.parametrize("way", [(0.0, 1.0), (1.0, 0.0), (0.6, -0.8)])
def test_it_stays_inside_a_crescent(way: tuple[float, float]) -> None:
    start, end = arrow_inside(crescent(), way)
    assert Polygon(crescent()).contains(LineString([start, end]))
    run = np.subtract(end, start)
    assert run / np.linalg.norm(run) == pytest.approx(way)


def test_it_takes_half_of_the_longest_stretch() -> None:
    start, end = arrow_inside(np.array([(0, 0), (40, 0), (40, 100), (0, 100)], dtype=float), (0, 2))
    assert (start[1], end[1]) == pytest.approx((25.0, 75.0))


def test_an_arrow_lies_beside_a_window_in_its_way() -> None:
    strap = np.array([[0.0, 0.0], [600.0, 0.0], [600.0, 60.0], [0.0, 60.0]])
    hole = Point(300.0, 30.0).buffer(12.0)
    through, beside = (LineString(arrow_inside(strap, (1.0, 0.0), beside=holes)) for holes in ((), (hole,)))
    assert through.intersects(hole)
    assert beside.distance(hole) >= 3.0
    # In the longest room that is left: past the window's side, not between it and an end.
    assert beside.length == pytest.approx(through.length)
    assert Polygon(strap).covers(beside)
