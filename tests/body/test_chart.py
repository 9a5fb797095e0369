"""Places found on a chart, against all of its triangles tried one by one."""

import numpy as np
import pytest

from layfigure.body.chart import RegionChart


def bent_tube() -> RegionChart:
    """A tube that bends and widens, 20 sections of 24 places."""
    down, angle = np.meshgrid(np.linspace(0.0, 1.0, 20), np.arange(24) / 24 * 2.0 * np.pi, indexing="ij")
    wide = 60.0 + 30.0 * down + 6.0 * np.cos(3.0 * angle)
    sections = np.stack(
        [wide * np.sin(angle), -wide * np.cos(angle) + 80.0 * down**2, 1000.0 - 400.0 * down], axis=2
    )
    return RegionChart(
        region="torso", level_names=("top", "end"), stations=np.linspace(0.0, 1.0, 20), sections=sections
    )


def test_a_place_of_the_chart_is_found_where_it_is() -> None:
    chart, rng = bent_tube(), np.random.default_rng(2)
    station, around = rng.uniform(0.0, 1.0, 200), rng.uniform(0.0, 1.0, 200)
    # The chart's surface is blended within a cell, which its two triangles are not quite.
    found = chart.locate(chart.points(station, around))
    assert found[0] == pytest.approx(station, abs=0.01)
    assert np.abs(np.mod(found[1] - around + 0.5, 1.0) - 0.5).max() < 0.005
    assert found[2].max() < 0.6


def test_it_is_the_nearest_of_all_triangles() -> None:
    chart, rng = bent_tube(), np.random.default_rng(4)
    places = chart.points(rng.uniform(0.0, 1.0, 40), rng.uniform(0.0, 1.0, 40)) + rng.normal(size=(40, 3))
    _, _, distance = chart.locate(places)
    s = np.concatenate([chart.sections, chart.sections[:, :1]], axis=1)
    a, b, c, d = s[:-1, :-1], s[:-1, 1:], s[1:, :-1], s[1:, 1:]
    share = np.linspace(0.0, 1.0, 41)
    u, v = (one[np.add.outer(share, share) <= 1.0 + 1e-9] for one in np.meshgrid(share, share))
    for k, place in enumerate(places):
        near = [
            (p + u[:, None, None, None] * (q - p) + v[:, None, None, None] * (r - p)).reshape(-1, 3)
            for p, q, r in ((a, b, c), (d, c, b))
        ]
        least = min(float(np.linalg.norm(one - place, axis=1).min()) for one in near)
        # Tried at so many places of each triangle, the nearest is missed by less than their spacing.
        assert distance[k] - 1e-9 <= least <= np.hypot(distance[k], 0.6)
