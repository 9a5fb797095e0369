"""The sheet against closed solutions of the theory of elasticity."""

from __future__ import annotations

import numpy as np
import pytest

from layfigure.draft.window import window_mesh
from layfigure.draft.window.membrane import corner_forces, equilibrium
from layfigure.draft.window.membrane_law import MembraneLaw
from layfigure.draft.window.window_mesh import sampled_outline, sheet_with_holes

RADIUS = 20.0
COUNT = 120


@pytest.fixture
def pierced_square(monkeypatch: pytest.MonkeyPatch):
    """A wide square with a round hole, far larger than the hole."""
    monkeypatch.setattr(window_mesh, "GROWTH", 0.1)
    monkeypatch.setattr(window_mesh, "COARSE", 40.0)
    half = 20.0 * RADIUS
    square = np.array([[-half, -half], [half, -half], [half, half], [-half, half]])
    outline, _ = sampled_outline(square, 40.0)
    angle = np.linspace(0.0, 2 * np.pi, COUNT, endpoint=False)
    hole = RADIUS * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    vertices, faces = sheet_with_holes(outline, [hole])
    return vertices, faces, np.arange(len(outline), len(vertices)), len(outline) + np.arange(COUNT), angle


def test_a_hole_in_a_pulled_sheet_opens_as_kirsch_found(pierced_square) -> None:
    # G. Kirsch (1898); S. Timoshenko, J. N. Goodier, Theory of Elasticity, art. 35 (from memory): under a
    # pull s along x the edge of a hole of radius r moves by (s r / E)(1 + 2 cos 2t) outward and
    # -(2 s r / E) sin 2t round. Our mesh is stiffer than the sheet by 1.2 %; twice as coarse, by 2.2 %.
    vertices, faces, free, hole, angle = pierced_square
    narrowing, strain = 0.3, 1e-4
    law = MembraneLaw(narrowing=narrowing, along_stiffness=1.0)
    worn = vertices * (1.0 + strain * np.array([1.0, -narrowing]))
    worn = equilibrium(vertices, worn, faces, free, law.stiffness(), sought="worn", tolerance=1e-7)
    move = (worn - vertices)[hole] / (strain * RADIUS)
    outward = np.sum(move * np.stack([np.cos(angle), np.sin(angle)], 1), axis=1)
    sideways = np.sum(move * np.stack([-np.sin(angle), np.cos(angle)], 1), axis=1)
    np.testing.assert_allclose(outward, 1.0 + 2.0 * np.cos(2.0 * angle), atol=0.04)
    np.testing.assert_allclose(sideways, -2.0 * np.sin(2.0 * angle), atol=0.04)


def test_the_sheet_without_pull_exerts_no_force(pierced_square) -> None:
    vertices, faces, *_ = pierced_square
    law = MembraneLaw(narrowing=0.4, along_stiffness=2.0)
    turned = vertices @ np.array([[0.8, 0.6], [-0.6, 0.8]])
    assert np.abs(corner_forces(vertices[faces], turned[faces], law.stiffness())).max() < 1e-9


def test_forward_and_backward_are_inverse(pierced_square) -> None:
    vertices, faces, free, *_ = pierced_square
    stiffness = MembraneLaw(narrowing=0.35, along_stiffness=1.5).stiffness()
    shares = np.array([1.15, 1.03])
    worn = equilibrium(vertices, vertices * shares, faces, free, stiffness, sought="worn", tolerance=1e-8)
    back = equilibrium(worn / shares, worn, faces, free, stiffness, sought="rest", tolerance=1e-8)
    np.testing.assert_allclose(back, vertices, atol=1e-6)


@pytest.mark.parametrize("ratio", [0.8, 1.0, 2.5])
def test_a_strip_pulled_along_one_axis_narrows_by_its_own_law(ratio: float) -> None:
    # Uniaxial stress: across strain over along strain is Poisson's ratio of that direction.
    law = MembraneLaw(narrowing=0.35, along_stiffness=ratio)
    compliance = np.linalg.inv(law.stiffness())
    assert compliance[0, 0] == pytest.approx(1.0)
    assert compliance[1, 1] == pytest.approx(1.0 / ratio)
    narrowing_both = np.sqrt(compliance[0, 1] ** 2 / compliance[0, 0] / compliance[1, 1])
    assert narrowing_both == pytest.approx(0.35)
