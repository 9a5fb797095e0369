"""Our mesh readers against a reader and writer that is not ours (trimesh), and against broken files."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh

from layfigure.errors import FileError
from layfigure.geometry.mesh_read import read_mesh


def solid() -> trimesh.Trimesh:
    return trimesh.creation.capsule(height=40.0, radius=12.0, count=[12, 12])


def written(folder: Path, name: str, data: bytes | str) -> Path:
    path = folder / name
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    return path


def same_surface(path: Path, other: trimesh.Trimesh, *, places: float = 1e-4) -> None:
    mesh = read_mesh(path)
    corners = np.sort(mesh.face_corners().mean(axis=1), axis=0)
    assert corners == pytest.approx(np.sort(other.triangles_center, axis=0), abs=places)
    volume = np.einsum(
        "ij,ij->", mesh.face_corners()[:, 0], np.cross(mesh.face_corners()[:, 1], mesh.face_corners()[:, 2])
    )
    assert volume / 6.0 == pytest.approx(other.volume, rel=1e-4)


@pytest.mark.parametrize("kind", ["obj", "stl", "stl_ascii", "ply", "ply_ascii"])
def test_what_another_program_writes_is_read_alike(tmp_path: Path, kind: str) -> None:
    mesh = solid()
    if kind.startswith("ply"):
        data = trimesh.exchange.ply.export_ply(mesh, encoding="ascii" if kind.endswith("ascii") else "binary")
    else:
        data = mesh.export(file_type=kind)
    same_surface(written(tmp_path, f"a.{kind.split('_')[0]}", data), mesh)


def test_a_glb_is_read_as_its_nodes_place_it_and_turned_z_up(tmp_path: Path) -> None:
    mesh = solid()
    scene = trimesh.Scene()
    placed = trimesh.transformations.rotation_matrix(0.7, [1.0, 2.0, 0.5])
    placed[:3, 3] = [5.0, -3.0, 8.0]
    scene.add_geometry(mesh, transform=placed)
    path = written(tmp_path, "a.glb", trimesh.exchange.gltf.export_glb(scene))
    expected = mesh.copy()
    expected.apply_transform(placed)
    x, y, z = expected.vertices.T
    expected.vertices = np.column_stack([x, -z, y])
    same_surface(path, expected, places=1e-3)


def test_faces_of_many_corners_negative_and_slashed_indices_in_an_obj(tmp_path: Path) -> None:
    text = "# a square\nv 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nvt 0 0\nf -4/1 -3/1/1 3//1 4\n"
    mesh = read_mesh(written(tmp_path, "a.obj", text))
    assert mesh.faces.tolist() == [[0, 1, 2], [0, 2, 3]]
    assert mesh.face_areas().sum() == pytest.approx(1.0)


def test_quads_in_a_big_endian_ply(tmp_path: Path) -> None:
    header = (
        "ply\nformat binary_big_endian 1.0\nelement vertex 4\nproperty double x\nproperty double y\n"
        "property double z\nelement face 1\nproperty list uchar int vertex_indices\n"
        "property uchar red\nend_header\n"
    )
    corners = np.array([[0, 0, 0], [2, 0, 0], [2, 3, 0], [0, 3, 0]], dtype=">f8").tobytes()
    face = b"\x04" + np.array([0, 1, 2, 3], dtype=">i4").tobytes() + b"\xff"
    mesh = read_mesh(written(tmp_path, "a.ply", header.encode() + corners + face))
    assert mesh.face_areas().sum() == pytest.approx(6.0)


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("a.3ds", b"", "OBJ, STL, PLY or GLB"),
        ("a.obj", b"v 0 0 0\n", "no triangles"),
        ("a.obj", b"v 0 0\nf 1 1 1\n", "line 1"),
        ("a.obj", b"v 0 0 0\nf 1 2 3\n", "does not have"),
        ("a.obj", b"v 0 0 nan\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", "nowhere"),
        ("a.stl", b"\0" * 80 + b"\x09\0\0\0" + b"\0" * 50, "ends before"),
        (
            "a.ply",
            b"ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nend_header\n",
            "cannot be read",
        ),
        ("a.glb", b"glTF\x01\0\0\0", "version 2"),
    ],
)
def test_broken_files_are_refused_in_words(tmp_path: Path, name: str, data: bytes, told: str) -> None:
    with pytest.raises(FileError) as error:
        read_mesh(written(tmp_path, name, data))
    assert told in str(error.value)
    assert name in error.value.where


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="no such mesh"):
        read_mesh(tmp_path / "b.obj")
