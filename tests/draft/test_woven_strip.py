"""The inner edge of a strip: as far from the edge everywhere, and never across itself."""

import numpy as np
import pytest
import shapely
from shapely import LineString, Point

from layfigure.draft.woven.strip import parallel, without_loops


def test_beside_an_arc_it_is_an_arc() -> None:
    angle = np.linspace(0.0, 0.5 * np.pi, 200)
    arc = 300.0 * np.column_stack([np.cos(angle), np.sin(angle)])
    inner = parallel(arc, 60.0, 60.0)
    assert np.linalg.norm(inner, axis=1) == pytest.approx(240.0, abs=0.05)


@pytest.mark.parametrize("bend", [20.0, 50.0, 80.0])
def test_at_a_hollow_kink_it_turns_once_at_the_bisector(bend: float) -> None:
    """By hand: inner edges of two straight edges meet width / cos(half the turn) away."""
    way = np.radians(bend)
    edge = np.array([[-200.0, 0.0], [0.0, 0.0], [200.0 * np.cos(way), 200.0 * np.sin(way)]])
    inner = parallel(edge, 60.0, 60.0)
    assert LineString(inner).is_simple
    corner = 60.0 / np.cos(0.5 * way) * np.array([-np.sin(0.5 * way), np.cos(0.5 * way)])
    assert LineString(inner).distance(Point(corner)) < 1.5
    away = [LineString(edge).distance(Point(place)) for place in inner]
    assert min(away) > 59.0
    assert max(away) < 60.1


def test_a_hollow_end_does_not_hook_over_it() -> None:
    angle = np.linspace(0.0, np.radians(40.0), 60)
    hook = [300.0, 0.0] + 30.0 * np.column_stack([np.sin(angle), 1.0 - np.cos(angle)])
    edge = np.vstack([[0.0, 0.0], hook])
    inner = parallel(edge, 60.0, 60.0)
    strip = shapely.Polygon(np.vstack([edge, inner[::-1]]))
    assert strip.is_valid
    assert np.linalg.norm(inner[-1] - edge[-1]) == pytest.approx(60.0)
    assert np.linalg.norm(inner[0] - edge[0]) == pytest.approx(60.0)


def test_every_loop_is_cut_where_it_begins() -> None:
    """The crossings by another way: the places that shapely finds by noding."""
    looped = np.array(
        [[0, 0], [10, 0], [10, 5], [5, 5], [5, -5], [20, -5], [20, 4], [16, 4], [16, -9]], float
    )
    cut = without_loops(looped)
    line = LineString(cut)
    assert line.is_simple
    assert not LineString(looped).is_simple
    assert line.covers(shapely.MultiPoint([[5, 0], [16, -5]]))
    assert tuple(cut[0]) == (0.0, 0.0)
    assert tuple(cut[-1]) == (16.0, -9.0)
