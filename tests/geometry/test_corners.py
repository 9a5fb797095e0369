"""Outlines cut where they turn."""

import numpy as np
import pytest
from shapely import Polygon, box

from layfigure.geometry.corners import cut_at_corners, signed_area
from layfigure.geometry.polyline import length, resample


def test_a_rectangle_has_four_edges_from_its_lower_left() -> None:
    ring = np.array(box(0, 0, 60, 40).exterior.coords)[:-1]
    ring = resample(ring if signed_area(ring) > 0 else ring[::-1], 400, closed=True)
    edges = cut_at_corners(ring)
    assert edges[0][0] == pytest.approx([0.0, 0.0])
    assert [round(length(edge)) for edge in edges] == [60, 40, 60, 40]
    assert signed_area(ring) == pytest.approx(2400.0, rel=1e-3)


def test_edges_join_and_lose_nothing() -> None:
    lens = Polygon([(0, 0), (50, -18), (100, 0), (50, 18)]).buffer(-4).buffer(4, quad_segs=32)
    ring = np.array(lens.exterior.coords)[:-1]
    edges = cut_at_corners(ring)
    for one, following in zip(edges, [*edges[1:], edges[0]], strict=True):
        assert one[-1] == pytest.approx(following[0])
    assert sum(map(length, edges)) == pytest.approx(lens.length)


def test_a_round_outline_is_cut_in_half() -> None:
    t = np.arange(300) / 300 * 2 * np.pi
    edges = cut_at_corners(50.0 * np.column_stack([np.cos(t), np.sin(t)]))
    assert len(edges) == 2
    assert length(edges[0]) == pytest.approx(length(edges[1]), rel=0.02)


def test_only_nodes_are_corners() -> None:
    ring = resample(np.array([(0, 0), (60, 0), (60, 40), (0, 40)], dtype=float), 200, closed=True)
    assert len(cut_at_corners(ring, np.array([0, 60]))) == 2
