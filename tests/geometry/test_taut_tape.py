"""A tape over shapes whose shortest ways are known."""

from __future__ import annotations

import numpy as np
import pytest

from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.taut_tape import TapedSurface, taut_length


def tube(radii: np.ndarray, heights: np.ndarray, around: int = 256) -> TapedSurface:
    angle = 2.0 * np.pi * np.arange(around) / around
    rings = np.stack(
        [
            radii[:, None] * np.cos(angle),
            radii[:, None] * np.sin(angle),
            np.broadcast_to(heights[:, None], (len(heights), around)),
        ],
        axis=-1,
    )
    index = np.arange(len(heights) * around).reshape(len(heights), around)
    a, b = index[:-1], np.roll(index, -1, axis=1)[:-1]
    c, d = index[1:], np.roll(index, -1, axis=1)[1:]
    faces = np.concatenate([np.stack([a, b, c], -1).reshape(-1, 3), np.stack([b, d, c], -1).reshape(-1, 3)])
    mesh = TriangleMesh(rings.reshape(-1, 3), faces)
    return TapedSurface(vertices=mesh.vertices, edges=mesh.edges())


def test_round_a_cylinder_it_is_the_arc() -> None:
    surface = tube(np.full(40, 100.0), np.linspace(0.0, 400.0, 40))
    start, end = np.array([100.0, 0.0, 200.0]), np.array([0.0, 100.0, 200.0])
    assert taut_length(surface, start, end, np.array([1.0, 1.0, 0.0])) == pytest.approx(
        50.0 * np.pi, rel=1e-3
    )


def test_it_bridges_a_hollow_and_goes_over_a_hill() -> None:
    heights = np.linspace(0.0, 400.0, 81)
    for waist, expected in ((70.0, 400.0), (130.0, 2.0 * np.hypot(200.0, 30.0))):
        surface = tube(np.interp(heights, [0.0, 200.0, 400.0], [100.0, waist, 100.0]), heights)
        start, end = np.array([100.0, 0.0, 0.0]), np.array([100.0, 0.0, 400.0])
        assert taut_length(surface, start, end, np.array([1.0, 0.0, 0.0])) == pytest.approx(
            expected, rel=1e-3
        )


def test_the_other_side_of_the_body_does_not_count() -> None:
    surface = tube(np.full(40, 100.0), np.linspace(0.0, 400.0, 40))
    start, end = np.array([100.0, 0.0, 50.0]), np.array([100.0, 0.0, 350.0])
    assert taut_length(surface, start, end, np.array([1.0, 0.0, 0.0])) == pytest.approx(300.0, rel=1e-6)


def test_no_way_is_no_length() -> None:
    surface = tube(np.full(3, 100.0), np.linspace(0.0, 10.0, 3))
    place = np.array([100.0, 0.0, 5.0])
    assert taut_length(surface, place, place, place) == 0.0


def test_a_tape_that_slides_finds_the_shorter_way_on_skin_that_slopes() -> None:
    # On a cylinder the shortest way is a helix, length hypot(arc, rise). With ends whose outward directions
    # are off, as beside the root of a neck, one plane alone reads too much.
    surface = tube(np.full(161, 100.0), np.linspace(0.0, 400.0, 161))
    turn = np.radians(100.0)
    start, end = np.array([100.0, 0.0, 100.0]), np.array([100.0 * np.cos(turn), 100.0 * np.sin(turn), 250.0])
    shortest = float(np.hypot(100.0 * turn, 150.0))
    askew = np.array([np.cos(0.5 * turn), np.sin(0.5 * turn), 1.0])
    fixed, slid = (taut_length(surface, start, end, askew, slides=slides) for slides in (False, True))
    assert fixed > 1.02 * shortest
    assert slid == pytest.approx(shortest, rel=6e-3)
