"""Meshes between rows of any counts: right way up, whole, and no face caught in a corner."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.zipped_rows import zipped_rows


@given(st.lists(st.integers(2, 9), min_size=2, max_size=8))
def test_rows_are_covered_once_and_corners_have_inner_vertices(fields: list[int]) -> None:
    fields = [fields[0], *fields]
    rows, vertices = [], []
    for k, count in enumerate(fields):
        half = 50.0 - 4.0 * k
        rows.append(np.arange(len(vertices), len(vertices) + count + 1))
        vertices += [(x, 10.0 * k) for x in np.linspace(-half, half, count + 1)]
    tip = len(vertices)
    vertices.append((0.0, 10.0 * len(fields)))
    mesh = TriangleMesh(np.array(vertices), zipped_rows(rows, tip))
    assert (mesh.face_areas() > 0.0).all()
    top = 100.0 - 8.0 * (len(fields) - 1)
    assert mesh.face_areas().sum() == pytest.approx(
        0.5 * (100.0 + top) * 10.0 * (len(fields) - 1) + 0.5 * top * 10.0
    )
    (loop,) = mesh.boundary_loops()
    assert not np.isin(mesh.faces, loop).all(axis=1).any()
