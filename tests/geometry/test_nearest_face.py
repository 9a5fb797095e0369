"""Nearest faces against a reference library."""

from __future__ import annotations

import igl
import numpy as np
import trimesh

from layfigure.geometry.nearest_face import nearest_faces


def test_places_near_a_sphere_meet_the_faces_that_a_reference_library_finds() -> None:
    ball = trimesh.creation.icosphere(subdivisions=3, radius=100.0)
    rng = np.random.default_rng(4)
    out = rng.normal(size=(400, 3))
    places = out / np.linalg.norm(out, axis=1, keepdims=True) * rng.uniform(85.0, 120.0, (400, 1))
    found = nearest_faces(ball.vertices, ball.faces, places)
    square, *_ = igl.point_mesh_squared_distance(places, ball.vertices, ball.faces)
    assert np.abs(found.distance - np.sqrt(square)).max() < 1e-6
    carried = found.carried(ball.faces, ball.vertices)
    assert np.abs(np.linalg.norm(carried - places, axis=1) - found.distance).max() < 1e-9


def test_a_place_in_the_plane_keeps_its_weights() -> None:
    square = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])
    faces = np.array([[0, 1, 2], [0, 2, 3]])
    found = nearest_faces(square, faces, np.array([[7.0, 2.0], [2.0, 7.0], [-3.0, 5.0]]))
    assert found.face.tolist() == [0, 1, 1]
    assert np.allclose(found.carried(faces, square), [[7.0, 2.0], [2.0, 7.0], [0.0, 5.0]])
