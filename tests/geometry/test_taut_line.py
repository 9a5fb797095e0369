"""A taut string against exact shortest lines: sphere, cylinder, two spheres with a hollow between, ellipsoid;
its ends straight over their places, on these, on a plane and beside a wall.

Sources: great circle; helix of a rolled-up cylinder; common tangents; exact geodesics on a mesh by libigl
(Mitchell, Mount and Papadimitriou 1987), an independent library used in tests only.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

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


def grid(span: float, count: int, bend: Callable[[np.ndarray], np.ndarray]) -> TriangleMesh:
    """A sheet of square faces, each of two triangles, seen from above; bend : where its flat places go."""
    ticks = np.linspace(-span, span, count)
    flat = np.stack(np.meshgrid(ticks, ticks, indexing="xy"), axis=-1).reshape(-1, 2)
    k = (np.arange(count - 1)[:, None] * count + np.arange(count - 1)).ravel()
    faces = np.concatenate(
        [np.stack([k, k + 1, k + count + 1], axis=1), np.stack([k, k + count + 1, k + count], axis=1)]
    )
    return TriangleMesh(bend(flat), faces)


def on_faces(mesh: TriangleMesh, faces: Sequence[int]) -> np.ndarray:
    """Places on some faces, nearer to one corner than to the others."""
    placed: np.ndarray = np.einsum("c,fcd->fd", np.array([0.7, 0.2, 0.1]), mesh.vertices[mesh.faces[faces]])
    return placed


STEPS = (3.0, 8.0, 20.0)
"""From point to point: lines of few points, pulled once more as fine as they were, and of many [mm]."""


@pytest.mark.parametrize("under", [0.0, 7.0])
@pytest.mark.parametrize("step", STEPS)
def test_over_a_plane_its_ends_and_its_length_are_those_of_the_places(step: float, under: float) -> None:
    plane = grid(200.0, 41, lambda flat: np.column_stack([flat, np.zeros(len(flat))]))
    places = np.array([[-103.0, -71.0, -under], [88.0, 64.0, -under]])
    line = taut_line(Skin.of(plane), places, clearance=9.0, step=step)
    assert line.points[[0, -1]] == pytest.approx(places * (1.0, 1.0, 0.0) + (0.0, 0.0, 9.0), abs=1e-6)
    assert line.length == pytest.approx(math.hypot(191.0, 135.0), abs=1e-3)


@pytest.mark.parametrize("clearance", [6.0, 25.0])
@pytest.mark.parametrize("step", STEPS)
def test_over_a_sphere_its_ends_lie_straight_over_the_places(step: float, clearance: float) -> None:
    # Coarse as a body: faces of 15 mm, whose planes lean by up to 5 degrees from the sphere.
    mesh = ball(100.0, fine=3)
    skin, places = replace(Skin.of(mesh), normals=mesh.vertices / 100.0), on_faces(mesh, [5, 700])
    line = taut_line(skin, places, clearance=clearance, step=step)
    ends, outward = line.points[[0, -1]], places / np.linalg.norm(places, axis=1, keepdims=True)
    beside = ends - np.einsum("kd,kd->k", ends, outward)[:, None] * outward
    assert np.linalg.norm(beside, axis=1).max() < 1e-6
    assert line.gap[[0, -1]] == pytest.approx([clearance, clearance], abs=0.002)


@pytest.mark.parametrize("step", STEPS)
def test_over_a_sphere_it_is_as_long_as_the_arc_from_place_to_place(step: float) -> None:
    mesh = ball(100.0, fine=5)
    places = on_faces(mesh, [11, 9000])
    line = taut_line(Skin.of(mesh), places, clearance=25.0, step=step)
    a, b = places / np.linalg.norm(places, axis=1, keepdims=True)
    # A face's middle lies 0.02 mm beneath the sphere.
    assert line.length == pytest.approx(125.0 * math.acos(a @ b), abs=0.06)


@pytest.mark.parametrize("clearance", [6.0, 25.0])
@pytest.mark.parametrize("step", STEPS)
def test_over_a_cylinder_its_ends_lie_straight_over_the_places_and_it_is_a_helix(
    step: float, clearance: float
) -> None:
    turn = np.radians([3.7, 152.5])
    flat = np.cos(np.radians(1.0)) / np.cos(np.radians([0.7, 0.5]))
    low, high = -40.0, 61.0
    places = np.column_stack([100.0 * flat * np.cos(turn), 100.0 * flat * np.sin(turn), [low, high]])
    loose = np.stack([places[0], [0.0, 150.0, 0.0], places[1]])
    line = taut_line(Skin.of(cylinder(100.0, 400.0)), loose, clearance=clearance, step=step)
    ends = line.points[[0, -1]]
    assert np.arctan2(ends[:, 1], ends[:, 0]) == pytest.approx(turn, abs=1e-6)
    assert ends[:, 2] == pytest.approx([low, high], abs=1e-6)
    assert np.hypot(ends[:, 0], ends[:, 1]) == pytest.approx(100.0 * flat + clearance, abs=0.01)
    round_ = (100.0 + clearance) * (turn[1] - turn[0])
    assert line.length == pytest.approx(math.hypot(round_, high - low), abs=0.05)


@pytest.mark.parametrize("aside", [3.0, 12.0])
@pytest.mark.parametrize("step", STEPS)
def test_beside_a_wall_an_end_goes_straight_out_till_it_is_clear_of_the_wall_too(
    step: float, aside: float
) -> None:
    # A floor and a wall that leans back 30 degrees from upright: over a place x beside the wall's foot and t
    # up, the wall is x cos 30 + t sin 30 away.
    lean = math.radians(30.0)

    def folded(flat: np.ndarray) -> np.ndarray:
        x, beyond = np.maximum(flat[:, 0], 0.0), np.maximum(-flat[:, 0], 0.0)
        return np.column_stack([x - beyond * math.sin(lean), flat[:, 1], beyond * math.cos(lean)])

    skin = Skin.of(grid(60.0, 121, folded))
    line = taut_line(skin, [[aside, -50.0, 0.0], [aside, 50.0, 0.0]], clearance=8.0, step=step)
    up = max(8.0, (8.0 - aside * math.cos(lean)) / math.sin(lean))
    assert line.points[[0, -1]] == pytest.approx(np.array([[aside, -50.0, up], [aside, 50.0, up]]), abs=0.002)


def test_in_a_fold_too_narrow_an_end_keeps_clear_of_its_own_side() -> None:
    # Two walls 10 mm apart, joined beneath: nowhere between them is 8 mm away from both.
    def folded(flat: np.ndarray) -> np.ndarray:
        along = np.abs(flat[:, 0])
        return np.column_stack(
            [np.sign(flat[:, 0]) * np.minimum(along, 5.0), flat[:, 1], np.maximum(along - 5.0, 0.0)]
        )

    skin = Skin.of(grid(60.0, 121, folded))
    line = taut_line(skin, [[5.0, -50.0, 30.0], [5.0, 50.0, 30.0]], clearance=8.0)
    assert line.points[[0, -1]] == pytest.approx(
        np.array([[-3.0, -50.0, 30.0], [-3.0, 50.0, 30.0]]), abs=0.002
    )


def test_over_a_hollow_an_end_stays_where_it_is() -> None:
    places = np.array([[0.0, 0.0, 112.0], [0.0, 112.0, 0.0]])
    line = taut_line(Skin.of(ball(100.0)), places, clearance=6.0)
    assert line.points[[0, -1]] == pytest.approx(places, abs=1e-12)
