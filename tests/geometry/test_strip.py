"""Strips between two lines against developments known in closed form: cone, cylinder, torus."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layfigure.geometry.polyline import length
from layfigure.geometry.strip import unroll_strip
from layfigure.geometry.transport import transport_frames
from layfigure.geometry.tube import circumscribed, rows_mesh, tube_rings


def ring(radius: float, height: float, count: int) -> np.ndarray:
    t = np.linspace(0.0, 2.0 * np.pi, count)
    return np.column_stack([radius * np.cos(t), radius * np.sin(t), np.full(count, height)])


def test_a_frustum_unrolls_to_its_sector() -> None:
    # Frustum, radii 20 and 50, height 60: slant 67.08, sector 2 pi (R - r) / s (plane geometry of the cone).
    flat = unroll_strip(ring(20.0, 60.0, 721), ring(50.0, 0.0, 721))
    slant = np.hypot(30.0, 60.0)
    sector = 2.0 * np.pi * 30.0 / slant
    first, last = flat.right[0] - flat.left[0], flat.right[-1] - flat.left[-1]
    turned = np.unwrap(np.arctan2(*(flat.right - flat.left).T[::-1]))
    assert abs(turned[-1] - turned[0]) == pytest.approx(sector, rel=1e-5)
    assert np.linalg.norm(first) == pytest.approx(slant)
    assert np.linalg.norm(last) == pytest.approx(slant)
    apex = flat.left[0] - first / 30.0 * 20.0
    assert np.linalg.norm(flat.left - apex, axis=1) == pytest.approx(slant * 20.0 / 30.0, rel=1e-4)
    assert np.linalg.norm(flat.right - apex, axis=1) == pytest.approx(slant * 50.0 / 30.0, rel=1e-4)


@given(st.integers(0, 10_000), st.integers(3, 30))
def test_every_side_keeps_its_length_whatever_the_lines(seed: int, count: int) -> None:
    draw = np.random.default_rng(seed)
    left = np.cumsum(draw.normal([0, 0, 10.0], 3.0, (count, 3)), axis=0)
    right = left + np.array([30.0, 0.0, 0.0]) + draw.normal(0.0, 2.0, (count, 3))
    flat = unroll_strip(left, right)
    for line, drawn in ((left, flat.left), (right, flat.right)):
        sides = np.linalg.norm(np.diff(line, axis=0), axis=1)
        assert np.linalg.norm(np.diff(drawn, axis=0), axis=1) == pytest.approx(sides, abs=1e-8)
    across = np.linalg.norm(right - left, axis=1)
    assert np.linalg.norm(flat.right - flat.left, axis=1) == pytest.approx(across, abs=1e-8)


def test_a_strip_may_end_in_a_point() -> None:
    left = np.array([[0.0, 0, 0], [5.0, 40.0, 0], [10.0, 80.0, 0]])
    right = np.array([[20.0, 0, 0], [15.0, 40.0, 0], [10.0, 80.0, 0]])
    flat = unroll_strip(left, right)
    assert flat.left == pytest.approx(left[:, :2])
    assert flat.right[-1] == pytest.approx(flat.left[-1])


def test_a_strip_that_goes_on_from_a_point_is_refused() -> None:
    left = np.array([[0.0, 0, 0], [10.0, 40.0, 0], [5.0, 80.0, 0]])
    right = np.array([[20.0, 0, 0], [10.0, 40.0, 0], [15.0, 80.0, 0]])
    with pytest.raises(ValueError, match="no area"):
        unroll_strip(left, right)


def test_strips_of_a_torus_have_the_lengths_of_its_parallels() -> None:
    # A quarter torus, R 120, r 25: the line at angle v of the tube is an arc of radius R + r cos v.
    t = np.linspace(0.0, 0.5 * np.pi, 400)
    middle = np.column_stack([120.0 * np.cos(t), 120.0 * np.sin(t), np.zeros_like(t)])
    tangent = np.column_stack([-np.sin(t), np.cos(t), np.zeros_like(t)])
    frames = transport_frames(middle, [1.0, 0.0, 0.0], tangents=tangent)
    rings = tube_rings(middle, frames, np.full(400, 25.0), 8)
    for side in range(8):
        flat = unroll_strip(rings[:, (side + 1) % 8], rings[:, side])
        for line, corner in ((flat.right, side), (flat.left, side + 1)):
            exact = 0.5 * np.pi * (120.0 + 25.0 * np.cos(2.0 * np.pi * corner / 8))
            assert length(line) == pytest.approx(exact, rel=1e-5)


def test_tubes_face_outward_and_polygons_keep_the_circle_s_girth() -> None:
    middle = np.array([[0.0, 0.0, z] for z in np.linspace(0.0, 100.0, 11)])
    frames = transport_frames(middle, [1.0, 0.0, 0.0])
    corners = circumscribed(30.0, 6)
    rings = tube_rings(middle, frames, np.full(11, float(corners)), 6)
    girth = np.linalg.norm(np.diff(np.vstack([rings[0], rings[0][:1]]), axis=0), axis=1).sum()
    assert girth == pytest.approx(2.0 * np.pi * 30.0)
    mesh = rows_mesh(rings, closed=True)
    centres = mesh.face_corners().mean(axis=1)
    assert ((mesh.face_normals()[:, :2] * centres[:, :2]).sum(axis=1) > 0.0).all()
