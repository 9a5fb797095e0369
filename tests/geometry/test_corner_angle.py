"""Angles of triangles and the curvature they add up to (Gauss and Bonnet; Descartes for solids)."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from layfigure.geometry.corner_angle import angle_defects, corner_angles
from layfigure.geometry.mesh import TriangleMesh


def test_angles_of_a_known_triangle() -> None:
    mesh = TriangleMesh(np.array([[0.0, 0, 0], [1, 0, 0], [0, np.sqrt(3.0), 0]]), np.array([[0, 1, 2]]))
    assert np.degrees(corner_angles(mesh)[0]) == pytest.approx([90.0, 60.0, 30.0])


@pytest.mark.parametrize(
    ("solid", "turns"),
    [
        (trimesh.creation.box((3.0, 4.0, 5.0)), 2.0),
        (trimesh.creation.icosphere(subdivisions=2), 2.0),
        (trimesh.creation.torus(major_radius=5.0, minor_radius=2.0), 0.0),
    ],
)
def test_defects_add_up_to_a_full_turn_for_each_of_euler_s_count(
    solid: trimesh.Trimesh, turns: float
) -> None:
    mesh = TriangleMesh(np.array(solid.vertices), np.array(solid.faces, dtype=np.int64))
    assert angle_defects(mesh).sum() == pytest.approx(2.0 * np.pi * turns, abs=1e-9)
    assert corner_angles(mesh).sum(axis=1) == pytest.approx(np.pi)


def test_a_box_s_corners_lack_a_quarter_turn() -> None:
    box = trimesh.creation.box((3.0, 4.0, 5.0))
    mesh = TriangleMesh(np.array(box.vertices), np.array(box.faces, dtype=np.int64))
    assert angle_defects(mesh) == pytest.approx(0.5 * np.pi)
