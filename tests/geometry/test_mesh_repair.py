"""Meshes broken on purpose are whole again, and those that cannot be mended are refused in words."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.mesh_offset import offset_mesh
from layfigure.geometry.mesh_repair import MeshBroken, mend
from layfigure.geometry.mesh_simplify import simplify


def ball(levels: int = 2, radius: float = 50.0) -> TriangleMesh:
    solid = trimesh.creation.icosphere(subdivisions=levels, radius=radius)
    return TriangleMesh(np.array(solid.vertices), np.array(solid.faces, dtype=np.int64))


def volume(mesh: TriangleMesh) -> float:
    a, b, c = mesh.face_corners().transpose(1, 0, 2)
    return float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6.0


def euler(mesh: TriangleMesh) -> int:
    return len(mesh.vertices) - len(mesh.edges()) + len(mesh.faces)


def whole(mesh: TriangleMesh) -> None:
    other = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    assert other.is_watertight
    assert other.is_winding_consistent
    assert volume(mesh) > 0.0


def test_loose_triangles_are_joined() -> None:
    mesh = ball()
    loose = TriangleMesh(mesh.face_corners().reshape(-1, 3), np.arange(3 * len(mesh.faces)).reshape(-1, 3))
    mended = mend(loose)
    whole(mended.mesh)
    assert len(mended.mesh.vertices) == len(mesh.vertices)
    assert "doubled corners" in mended.mended[0]


def test_turned_empty_and_doubled_faces_and_a_small_hole_are_mended() -> None:
    mesh = ball(3)
    faces = mesh.faces[(mesh.faces != 100).all(axis=1)]
    faces[::7] = faces[::7][:, ::-1]
    faces = np.concatenate([faces, faces[20:25], [[4, 4, 9]]])
    mended = mend(TriangleMesh(mesh.vertices, faces))
    whole(mended.mesh)
    told = " ".join(mended.mended)
    for words in ("empty or doubled", "turned", "small hole"):
        assert words in told
    assert volume(mended.mesh) == pytest.approx(volume(mesh), rel=5e-3)


def test_a_solid_turned_inside_out_faces_outward_again() -> None:
    mesh = ball()
    whole(mend(TriangleMesh(mesh.vertices, mesh.faces[:, ::-1])).mesh)


def test_crumbs_are_left_out_and_touching_corners_parted() -> None:
    mesh, crumb = ball(), ball(1, 1.0)
    both = TriangleMesh(
        np.concatenate([mesh.vertices, crumb.vertices + 90.0]),
        np.concatenate([mesh.faces, crumb.faces + len(mesh.vertices)]),
    )
    mended = mend(both)
    assert len(mended.mesh.faces) == len(mesh.faces)
    assert "crumb" in mended.mended[0]
    fan = np.array([[0, 1, 2], [0, 3, 4]])
    places = np.array([[0.0, 0, 0], [9, 1, 0], [9, -1, 0], [-9, -1, 0], [-9, 1, 0]])
    parted = mend(TriangleMesh(places, fan), small_hole=0.0)
    assert len(parted.mesh.vertices) == 6
    assert len(parted.mesh.boundary_loops()) == 2


def test_a_wide_opening_stays_open() -> None:
    mesh = ball(3)
    cup = TriangleMesh(mesh.vertices, mesh.faces[mesh.face_corners()[:, :, 2].mean(axis=1) < 10.0])
    mended = mend(cup)
    assert len(mended.mesh.boundary_loops()) == 1
    assert euler(mended.mesh) == 1


def test_inner_walls_and_one_sided_bands_are_refused() -> None:
    fin = np.array([[0, 1, 2], [0, 1, 3], [0, 1, 4]])
    places = np.array([[0.0, 0, 0], [0, 0, 9], [9, 0, 5], [-9, 5, 5], [-9, -5, 5]])
    with pytest.raises(MeshBroken, match="three or more sheets"):
        mend(TriangleMesh(places, fin))
    t = np.linspace(0.0, 2.0 * np.pi, 12, endpoint=False)
    across = np.column_stack([np.cos(t / 2) * np.cos(t), np.cos(t / 2) * np.sin(t), np.sin(t / 2)])
    middle = 5.0 * np.column_stack([np.cos(t), np.sin(t), np.zeros(12)])
    a, b = np.arange(12), np.arange(12) + 12
    c, d = np.append(a[1:], 12), np.append(b[1:], 0)
    faces = np.concatenate([np.column_stack([a, c, b]), np.column_stack([c, d, b])])
    with pytest.raises(MeshBroken, match="one side"):
        mend(TriangleMesh(np.concatenate([middle - across, middle + across]), faces))


def test_fewer_triangles_keep_shape_topology_and_rim() -> None:
    mesh = ball(4)
    coarse = simplify(mesh, 600)
    assert len(coarse.faces) <= 600
    assert euler(coarse) == 2
    whole(coarse)
    assert np.linalg.norm(coarse.vertices, axis=1) == pytest.approx(50.0, abs=0.6)
    cup = mend(TriangleMesh(mesh.vertices, mesh.faces[mesh.face_corners()[:, :, 2].mean(axis=1) < 10.0])).mesh
    less = simplify(cup, 400)
    assert euler(less) == 1
    rims = [m.vertices[m.boundary_loops()[0]] for m in (cup, less)]
    assert rims[1][:, 2].mean() == pytest.approx(rims[0][:, 2].mean(), abs=1.5)
    assert less.face_areas().sum() == pytest.approx(cup.face_areas().sum(), rel=0.02)
    assert simplify(less, 4000) is not None


def test_a_torus_keeps_its_handle() -> None:
    solid = trimesh.creation.torus(major_radius=60.0, minor_radius=20.0, major_sections=64, minor_sections=32)
    coarse = simplify(TriangleMesh(np.array(solid.vertices), np.array(solid.faces, dtype=np.int64)), 700)
    assert euler(coarse) == 0


def test_an_offset_ball_and_box_grow_by_the_distance() -> None:
    grown = offset_mesh(ball(3), 4.0)
    assert np.linalg.norm(grown.vertices, axis=1) == pytest.approx(54.0, abs=0.1)
    box = trimesh.creation.box((40.0, 60.0, 80.0))
    grown = offset_mesh(TriangleMesh(np.array(box.vertices), np.array(box.faces, dtype=np.int64)), 3.0)
    # A corner of three square faces moves by the square root of three to keep its distance from each.
    assert np.ptp(grown.vertices, axis=0) == pytest.approx([46.0, 66.0, 86.0], abs=1e-6)
