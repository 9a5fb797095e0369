"""Frames that do not turn about their curve, against curves whose torsion is known."""

from __future__ import annotations

import numpy as np
import pytest

from layfigure.geometry.transport import tangents_of, transport_frames


def helix(radius: float, pitch: float, turns: float, count: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    t = np.linspace(0.0, 2.0 * np.pi * turns, count)
    rise = pitch / (2.0 * np.pi)
    points = np.column_stack([radius * np.cos(t), radius * np.sin(t), rise * t])
    inward = np.column_stack([-np.cos(t), -np.sin(t), np.zeros_like(t)])
    tangent = np.column_stack([-radius * np.sin(t), radius * np.cos(t), np.full_like(t, rise)])
    return points, inward, tangent / np.hypot(radius, rise)


def test_on_a_helix_the_frame_turns_against_the_principal_normal_by_the_torsion() -> None:
    # Frenet: the normal turns about the tangent at the torsion; helix torsion = c / (r² + c²).
    radius, pitch, turns = 40.0, 90.0, 2.0
    points, inward, tangent = helix(radius, pitch, turns, 801)
    frames = transport_frames(points, inward[0], tangents=tangent)
    rise = pitch / (2.0 * np.pi)
    along = np.linspace(0.0, 2.0 * np.pi * turns, 801) * np.hypot(radius, rise)
    binormal = np.cross(frames.tangent, inward)
    angle = np.unwrap(np.arctan2((frames.first * binormal).sum(1), (frames.first * inward).sum(1)))
    assert angle == pytest.approx(-rise / (radius**2 + rise**2) * along, abs=1e-5)


def test_frames_are_orthonormal_and_plane_curves_keep_their_normal() -> None:
    t = np.linspace(0.0, 5.0, 120)
    points = np.column_stack([80.0 * np.sin(t), t * 30.0, np.zeros_like(t)])
    frames = transport_frames(points, [0.0, 0.0, 1.0])
    assert frames.first == pytest.approx(np.tile([0.0, 0.0, 1.0], (120, 1)), abs=1e-12)
    gram = np.stack([frames.tangent, frames.first, frames.second], axis=1)
    assert gram @ gram.transpose(0, 2, 1) == pytest.approx(np.tile(np.eye(3), (120, 1, 1)), abs=1e-12)
    assert np.linalg.det(gram) == pytest.approx(1.0)


def test_tangents_come_from_the_points() -> None:
    points, _, tangent = helix(40.0, 90.0, 1.0, 400)
    assert tangents_of(points) == pytest.approx(tangent, abs=2e-4)


def test_a_first_direction_along_the_curve_is_refused() -> None:
    with pytest.raises(ValueError, match="runs along"):
        transport_frames([[0, 0, 0], [0, 0, 1.0]], [0, 0, 1.0])
