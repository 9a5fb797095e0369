"""A skirt drawn under its belt: laid down where the belt holds it, as far as it gives, and nowhere else."""

import numpy as np
import pytest

from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.mesh_quartered import quartered
from layfigure.geometry.taut_line import Skin
from layfigure.geometry.tube import rows_mesh
from layfigure.piece.worn import HANGS, WornSurface
from layfigure.pipeline.pressed import UNDER, pressed_surfaces


def tube(radius: float, low: float, high: float, *, rows: int = 30) -> TriangleMesh:
    angle = np.linspace(0.0, 2.0 * np.pi, 96, endpoint=False)
    ring = np.column_stack([np.cos(angle), np.sin(angle)])
    return rows_mesh(
        np.stack([np.column_stack([radius * ring, np.full(96, z)]) for z in np.linspace(low, high, rows)]),
        closed=True,
    )


BODY = Skin.of(tube(100.0, -300.0, 300.0))


def drawn(gives: float, *, skirt: float = 115.0, belt_layer: int = 2) -> TriangleMesh:
    worn = {
        "skirt": (WornSurface(name="skirt", mesh=tube(skirt, -150.0, 60.0), gives=gives),),
        "belt": (WornSurface(name="belt", mesh=tube(103.0, -25.0, 25.0)),),
    }
    return pressed_surfaces(worn, {"skirt": 1, "belt": belt_layer}, BODY)["skirt"][0].mesh


def test_cloth_lies_under_the_belt_and_as_it_fell_elsewhere() -> None:
    mesh = drawn(HANGS)
    radius, height = np.linalg.norm(mesh.vertices[:, :2], axis=1), np.abs(mesh.vertices[:, 2])
    flat = 103.0 * (1.0 - np.cos(np.pi / 96))  # between its corners a ring is a polygon
    assert radius[height < 23.0] == pytest.approx(103.0 - UNDER, abs=2.0 * flat + 0.05)
    assert radius[height > 28.0].min() > 114.9


@pytest.mark.parametrize(("gives", "layer"), [(5.0, 2), (0.0, 2), (HANGS, 1), (HANGS, 0)])
def test_what_gives_less_or_lies_above_stays(gives: float, layer: int) -> None:
    mesh = drawn(gives, belt_layer=layer)
    assert np.array_equal(mesh.vertices, tube(115.0, -150.0, 60.0).vertices)


def test_quarters_are_the_same_surface() -> None:
    mesh = tube(80.0, 0.0, 50.0, rows=4)
    fine = quartered(mesh)
    assert len(fine.faces) == 4 * len(mesh.faces)
    assert np.array_equal(fine.vertices[: len(mesh.vertices)], mesh.vertices)

    def squares(of: TriangleMesh) -> np.ndarray:
        a, b, c = (of.vertices[of.faces[:, k]] for k in range(3))
        return np.cross(b - a, c - a)

    assert squares(fine).sum(axis=0) == pytest.approx(squares(mesh).sum(axis=0), abs=1e-6)
    assert np.linalg.norm(squares(fine), axis=1).sum() == pytest.approx(
        np.linalg.norm(squares(mesh), axis=1).sum()
    )
    assert len(fine.boundary_loops()) == len(mesh.boundary_loops())
