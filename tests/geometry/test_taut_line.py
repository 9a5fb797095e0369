"""A taut string against exact shortest lines: sphere, cylinder, two spheres with a hollow between, ellipsoid.

Sources: great circle; helix of a rolled-up cylinder; common tangents; exact geodesics on a mesh by libigl
(Mitchell, Mount and Papadimitriou 1987), an independent library used in tests only.
"""

from __future__ import annotations

import math

import igl
import numpy as np
import pytest
import trimesh

from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.taut_line import Skin, taut_line
from layfigure.geometry.tube import rows_mesh


def ball(radius: float, at: tuple[float, float, float] = (0.0, 0.0, 0.0), fine: int = 4) -> TriangleMesh:
    sphere = trimesh.creation.icosphere(subdivisions=fine, radius=radius)
    return TriangleMesh(np.array(sphere.vertices) + at, np.array(sphere.faces))


def cylinder(radius: float, tall: float) -> TriangleMesh:
    turn = 2.0 * np.pi * np.arange(180) / 180
    rows = [
        np.column_stack([radius * np.cos(turn), radius * np.sin(turn), np.full(180, height)])
        for height in np.linspace(-0.5 * tall, 0.5 * tall, 81)
    ]
    return rows_mesh(rows, closed=True)


@pytest.mark.parametrize("degrees", [40.0, 110.0, 165.0])
def test_on_a_sphere_it_is_a_great_circle(degrees: float) -> None:
    angle, u = math.radians(degrees), np.linspace(0.0, 1.0, 9)
    loose = 100.0 * np.column_stack([np.cos(angle * u), np.sin(angle * u), 0.3 * np.sin(np.pi * u)])
    line = taut_line(Skin.of(ball(100.0)), loose)
    assert line.length == pytest.approx(100.0 * angle, rel=1e-3)
    assert np.abs(line.points[:, 2]).max() < 0.5
    assert np.abs(line.gap[1:-1]).max() < 0.05


@pytest.mark.parametrize(("degrees", "rise"), [(90.0, 80.0), (200.0, 300.0), (320.0, 100.0)])
def test_on_a_cylinder_it_is_a_helix(degrees: float, rise: float) -> None:
    # Kept 5 mm off a cylinder of 100 mm, it lies on one of 105.
    angle, u = math.radians(degrees), np.linspace(0.0, 1.0, 12)
    loose = np.column_stack(
        [100 * np.cos(angle * u), 100 * np.sin(angle * u), rise * u - rise / 2 + 15.0 * np.sin(np.pi * u)]
    )
    line = taut_line(Skin.of(cylinder(100.0, 700.0)), loose, clearance=5.0)
    assert line.length == pytest.approx(math.hypot(105.0 * angle, rise), rel=5e-4)
    assert line.gap.min() > 4.9


def test_over_a_hollow_it_is_straight() -> None:
    # From the far side of one ball over both to the far side of the other: two quarter circles and a tangent.
    near, far = ball(60.0), ball(60.0, (150.0, 0.0, 0.0))
    both = TriangleMesh(
        np.concatenate([near.vertices, far.vertices]),
        np.concatenate([near.faces, far.faces + len(near.vertices)]),
    )
    loose = [[-60.0, 0.0, 0.0], [-40.0, 0.0, 60.0], [75.0, 4.0, 70.0], [190.0, 0.0, 60.0], [210.0, 0.0, 0.0]]
    line = taut_line(Skin.of(both), loose, step=5.0)
    assert line.length == pytest.approx(math.pi * 60.0 + 150.0, rel=1e-3)
    # Midway between the balls the string spans sqrt(75^2 + 60^2) - 60 from either.
    assert line.gap.max() == pytest.approx(math.hypot(75.0, 60.0) - 60.0, abs=0.5)


def test_on_an_ellipsoid_it_agrees_with_exact_geodesics() -> None:
    mesh = ball(1.0)
    vertices = mesh.vertices * (140.0, 90.0, 200.0)
    skin = Skin.of(TriangleMesh(vertices, mesh.faces))
    source = int(np.argmin(np.linalg.norm(vertices - (0.0, -90.0, 0.0), axis=1)))
    for wanted in ((99.0, 0.0, 141.0), (-80.0, 40.0, -130.0)):
        target = int(np.argmin(np.linalg.norm(vertices - wanted, axis=1)))
        exact = float(
            igl.exact_geodesic(
                vertices, mesh.faces, np.array([source]), np.array([]), np.array([target]), np.array([])
            )[0]
        )
        middle = 0.5 * (vertices[source] + vertices[target])
        line = taut_line(skin, [vertices[source], 1.5 * middle, vertices[target]])
        assert line.length == pytest.approx(exact, rel=2e-3)


def test_which_way_round_is_told_by_the_loose_line() -> None:
    skin = Skin.of(cylinder(100.0, 400.0))
    turn = np.linspace(0.0, 1.0, 9)
    lengths = []
    for way in (0.5, -1.5):
        angle = way * np.pi * turn
        loose = np.column_stack([100 * np.cos(angle), 100 * np.sin(angle), np.zeros(9)])
        lengths.append(taut_line(skin, loose).length)
    assert lengths == pytest.approx([50.0 * math.pi, 150.0 * math.pi], rel=1e-3)
