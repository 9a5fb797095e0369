"""Triangles divided where a flat mesh leaves the surface it stands for."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import Delaunay

from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.mesh_repair import edge_table
from layfigure.geometry.split_sides import followed


def ridge(places: np.ndarray) -> np.ndarray:
    """A sheet creased upward along x = 0.3, at right angles."""
    return np.column_stack([places, 10.0 - np.abs(places[:, 0] - 0.3)])


def test_a_crease_is_followed_and_what_is_flat_stays_as_coarse_as_it_was() -> None:
    grid = np.stack(np.meshgrid(np.arange(-20.0, 21.0, 8.0), np.arange(-20.0, 21.0, 8.0)), axis=-1)
    places = grid.reshape(-1, 2)
    faces = Delaunay(places).simplices.astype(np.int64)
    finer, split, lying = followed(places, faces, ridge, off=0.5, rounds=4)
    assert lying == pytest.approx(ridge(finer))
    assert finer[: len(places)] == pytest.approx(places)
    # The same sheet: as large, without gaps, every face the same way up.
    before, after = (
        TriangleMesh(np.column_stack([p, np.zeros(len(p))]), f).face_normals() * 1.0
        for p, f in ((places, faces), (finer, split))
    )
    assert set(np.sign(after[:, 2])) == set(np.sign(before[:, 2]))
    areas = TriangleMesh(np.column_stack([finer, np.zeros(len(finer))]), split).face_areas()
    assert areas.min() > 0.0
    assert areas.sum() == pytest.approx(40.0 * 40.0)
    sides, _, uses = edge_table(split)
    assert uses.max() == 2
    assert len(TriangleMesh(lying, split).boundary_loops()) == 1
    # Straight sides now run beside the crease by half a millimetre at most, or are as short as they may be.
    middle = finer[sides].mean(axis=1)
    off = np.linalg.norm(ridge(middle) - lying[sides].mean(axis=1), axis=1)
    run = np.linalg.norm(np.diff(finer[sides], axis=1)[:, 0], axis=1)
    assert (run[off > 0.5] <= 8.0 * np.sqrt(2.0) / 2.0**4 + 1e-9).all()
    # Far from the crease no side has changed.
    far = np.abs(places[faces][:, :, 0]).min(axis=1) > 12.0 - 1e-9
    kept = {tuple(sorted(face)) for face in split.tolist()}
    assert {tuple(sorted(face)) for face in faces[far].tolist()} <= kept


def test_a_flat_sheet_is_left_as_it_is() -> None:
    places = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])
    faces = np.array([[0, 1, 2], [0, 2, 3]])
    finer, split, _ = followed(places, faces, lambda p: np.column_stack([p, p[:, 0]]), off=0.1, rounds=3)
    assert len(finer) == 4
    assert split == pytest.approx(faces)
