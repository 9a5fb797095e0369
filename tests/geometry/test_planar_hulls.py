"""Hulls of many planar sets at once, against a library's hull of each."""

import numpy as np
import pytest
from shapely import MultiPoint

from layfigure.geometry.planar_hulls import hull_loops


@pytest.mark.parametrize("seed", range(5))
def test_every_loop_is_the_hull_of_its_set_begun_on_its_right(seed: int) -> None:
    rng = np.random.default_rng(seed)
    points = rng.normal(size=(12, 30, 2)) * rng.uniform(0.5, 40.0, (12, 1, 2))
    points[3:6, 10:] = points[3:6, :1]  # sets with fewer points repeat one
    points[7, 20:] = points[7, :10]
    for own, loop in zip(points, hull_loops(points), strict=True):
        assert loop[0] == own[:, 0].argmax()
        assert loop[-1] == loop[0]
        corners = list(dict.fromkeys(loop.tolist()))
        area = MultiPoint(own).convex_hull
        assert {tuple(p) for p in own[corners]} == set(area.exterior.coords)
        x, y = own[corners].T
        assert 0.5 * (x * np.roll(y, -1) - np.roll(x, -1) * y).sum() == pytest.approx(area.area)


def test_points_on_a_side_do_not_lead_it_astray() -> None:
    grid = np.stack(np.meshgrid(np.arange(5.0), np.arange(4.0)), axis=-1).reshape(1, -1, 2)
    taut = grid[0, hull_loops(grid)[0]]
    assert np.linalg.norm(np.diff(taut, axis=0), axis=1).sum() == pytest.approx(14.0)
