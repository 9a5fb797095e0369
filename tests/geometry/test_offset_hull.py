"""Grown hulls against solids whose reach is known: a ball and a box with rounded edges."""

from __future__ import annotations

import numpy as np
import pytest

from layfigure.geometry.offset_hull import offset_hull, sphere_directions

CORNERS = np.array([[x, y, z] for x in (-40.0, 40.0) for y in (-30.0, 30.0) for z in (-50.0, 50.0)])


def test_a_ball_grown_is_a_larger_ball() -> None:
    hull = offset_hull(80.0 * sphere_directions(4000), [0.0, 0.0, 0.0], 12.0)
    assert hull.radius(sphere_directions(777)) == pytest.approx(92.0, rel=2e-3)


def test_a_grown_box_has_flat_faces_and_round_corners() -> None:
    # Minkowski sum of box and ball: d beyond a face, d beyond a corner, and never inside either.
    hull = offset_hull(CORNERS, [0.0, 0.0, 0.0], 10.0)
    for face, exact in (([1.0, 0.0, 0.0], 50.0), ([0.0, -1.0, 0.0], 40.0), ([0.0, 0.0, -1.0], 60.0)):
        assert hull.radius(face) == pytest.approx(exact, abs=1e-6)
    corner = CORNERS[-1]
    reach = np.linalg.norm(corner)
    assert hull.radius(corner / reach) == pytest.approx(reach + 10.0, abs=0.3)
    assert hull.radius(corner / reach) >= reach + 10.0


def test_no_point_stands_out_wherever_the_centre_lies() -> None:
    draw = np.random.default_rng(3)
    points = draw.normal(size=(300, 3)) * [40.0, 60.0, 25.0]
    for centre in ([0.0, 0.0, 0.0], [5.0, -10.0, 4.0]):
        away = points - centre
        distance = np.linalg.norm(away, axis=1)
        assert (offset_hull(points, centre, 0.0).radius(away / distance[:, None]) >= distance - 1e-9).all()


def test_a_hull_and_its_mirror_image_reach_alike_and_as_far_as_many_planes_say() -> None:
    draw = np.random.default_rng(7)
    points = draw.normal(size=(200, 3)) * [60.0, 40.0, 50.0]
    mirror = np.array([-1.0, 1.0, 1.0])
    toward = sphere_directions(500)
    left = offset_hull(points, [0.0, 0.0, 0.0], 8.0).radius(toward)
    right = offset_hull(points * mirror, [0.0, 0.0, 0.0], 8.0).radius(toward * mirror)
    assert right == pytest.approx(left, abs=1e-6)
    planes = sphere_directions(200_000)
    scaled = planes / ((points @ planes.T).max(axis=0) + 8.0)[:, None]
    exact = 1.0 / np.array([(scaled @ way).max() for way in toward])
    # Of so many planes none lies quite on a flat face: they err outward, by less than 0.3 %.
    assert (left - exact).max() < 0.1
    assert ((exact - left) / left).max() < 0.01


def test_a_centre_outside_is_refused() -> None:
    with pytest.raises(ValueError, match="outside"):
        offset_hull(CORNERS, [100.0, 0.0, 0.0], 5.0)
