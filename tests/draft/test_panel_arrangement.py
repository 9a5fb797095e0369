"""Dividing a surface along fields, and cutting panels out of it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from layfigure.draft.panels.arrangement import SNAP, arrange
from layfigure.draft.panels.patch import cut_patch
from layfigure.errors import DraftError
from layfigure.geometry.mesh import TriangleMesh

Points = NDArray[np.float64]


def tube(radius: float = 60.0, height: float = 200.0, n: int = 40, rows: int = 21) -> tuple[Points, NDArray]:
    """An upright open tube, faces outward, starting at the bottom."""
    angle = np.arange(n) / n * 2 * np.pi
    z = np.linspace(0.0, height, rows)
    vertices = np.stack(
        [
            np.tile(radius * np.cos(angle), rows),
            np.tile(radius * np.sin(angle), rows),
            np.repeat(z, n),
        ],
        axis=1,
    )
    k, j = np.mgrid[0 : rows - 1, 0:n]
    a, b = k * n + j, k * n + (j + 1) % n
    c, d = a + n, b + n
    faces = np.concatenate([np.stack([a, b, d], -1).reshape(-1, 3), np.stack([a, d, c], -1).reshape(-1, 3)])
    return vertices, faces


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000))
def test_a_divided_surface_covers_the_same_area_and_no_face_straddles(seed: int) -> None:
    rng = np.random.default_rng(seed)
    vertices, faces = tube(n=12, rows=7)
    centres = rng.normal(size=(3, 3)) * 60.0
    fields = np.stack([np.linalg.norm(vertices - c, axis=1) - 90.0 for c in centres], axis=1)
    divided = arrange(faces, fields)
    corners = np.einsum("mcb,mbk->mck", divided.corners, vertices[faces[divided.parent]])
    areas = 0.5 * np.linalg.norm(
        np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1
    )
    by_parent = np.bincount(divided.parent, areas, minlength=len(faces))
    assert by_parent == pytest.approx(TriangleMesh(vertices, faces).face_areas())
    values = divided.values[divided.faces]
    assert not ((values.min(axis=1) < 0.0) & (values.max(axis=1) > 0.0)).any()
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    parents = TriangleMesh(vertices, faces).face_normals()[divided.parent]
    assert (np.einsum("ij,ij->i", normals, parents) > 0.0).all()


def test_a_zero_set_lies_where_its_field_says() -> None:
    vertices, faces = tube()
    divided = arrange(faces, (vertices[:, 2] - 73.3)[:, None])
    corners = np.einsum("mcb,mbk->mck", divided.corners, vertices[faces[divided.parent]])
    on = divided.zero_sides(0)
    ends = np.concatenate([corners[on.nonzero()[0], (on.nonzero()[1] + k) % 3] for k in (1, 2)])
    assert np.abs(ends[:, 2] - 73.3).max() <= SNAP * 10.0  # rows of the tube are 10 mm apart


def test_a_tube_opened_along_one_line_is_a_disk_with_that_line_twice() -> None:
    vertices, faces = tube()
    fields = np.stack([vertices[:, 1], vertices[:, 2] - 25.0, vertices[:, 2] - 171.0], axis=1)
    divided = arrange(faces, fields)
    chosen = (divided.signs[:, 1] > 0) & (divided.signs[:, 2] < 0)
    x = np.einsum("mcb,mbk->mck", divided.corners, vertices[faces[divided.parent]]).mean(axis=1)[:, 0]
    lines = {
        "seam": divided.zero_sides(0) & (x > 0.0)[:, None],
        "bottom": divided.zero_sides(1),
        "top": divided.zero_sides(2),
    }
    patch = cut_patch(divided, chosen, lines, where="tube")
    runs = [patch.names[k] for k in patch.line[np.flatnonzero(patch.line != np.roll(patch.line, 1))]]
    turn = runs.index("bottom")
    assert runs[turn:] + runs[:turn] == ["bottom", "seam", "top", "seam"]
    sides = TriangleMesh(np.zeros((len(patch.origin), 3)), patch.faces).edges()
    assert len(patch.origin) - len(sides) + len(patch.faces) == 1  # Euler characteristic of a disk
    seam = patch.origin[patch.loop[patch.line == 0]]
    _, counts = np.unique(seam, return_counts=True)
    assert (counts <= 2).all()
    assert (counts == 2).sum() >= 10


def test_a_panel_that_leaves_the_surface_is_refused_in_words() -> None:
    vertices, faces = tube()
    divided = arrange(faces, (vertices[:, 2] - 100.0)[:, None])
    with pytest.raises(DraftError, match="runs into the end of the surface"):
        cut_patch(divided, divided.signs[:, 0] > 0, {"edge": divided.zero_sides(0)}, where="tube")


def test_no_cloth_between_edges_is_refused() -> None:
    vertices, faces = tube()
    divided = arrange(faces, (vertices[:, 2] - 100.0)[:, None])
    with pytest.raises(DraftError, match="no cloth is left"):
        cut_patch(divided, np.zeros(len(divided.faces), dtype=bool), {}, where="tube")
