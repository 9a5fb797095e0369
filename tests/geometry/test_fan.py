"""A fan about a tip, against the development of a cone."""

from __future__ import annotations

import numpy as np
import pytest

from layfigure.geometry.fan import fan_angles, fan_places


def test_a_cone_opens_by_the_angle_of_its_sector() -> None:
    # Cone: sector = 360 R / s (TRADE 14, computed there for base 4, height 7: s 7.280, 98.9 degrees).
    radius, height = 2.0, 7.0
    slant = float(np.hypot(radius, height))
    count = 720
    # Rim chords of the developed sector, straight in the plane.
    sector = 2.0 * np.pi * radius / slant
    rims = np.full(count, 2.0 * slant * np.sin(0.5 * sector / count))
    angles = fan_angles(np.full(count + 1, slant), rims)
    assert np.degrees(angles.sum()) == pytest.approx(98.9, abs=0.05)
    places = fan_places(np.full(count + 1, slant), angles)
    assert np.linalg.norm(places, axis=1) == pytest.approx(slant)
    assert np.linalg.norm(np.diff(places, axis=0), axis=1) == pytest.approx(rims)


def test_a_flat_fan_has_no_gap() -> None:
    corners = np.array([[3.0, 0.0], [1.0, 2.0], [-2.0, 1.0], [-1.0, -3.0], [2.0, -2.0], [3.0, 0.0]])
    spokes = np.linalg.norm(corners, axis=1)
    rims = np.linalg.norm(np.diff(corners, axis=0), axis=1)
    assert fan_angles(spokes, rims).sum() == pytest.approx(2.0 * np.pi)
    assert fan_places(spokes, fan_angles(spokes, rims)) == pytest.approx(corners)


def test_lengths_that_no_triangle_has_lie_straight() -> None:
    assert fan_angles([1.0, 1.0], [5.0]) == pytest.approx([np.pi])
