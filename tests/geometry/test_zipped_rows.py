"""Meshes between rows of any counts: right way up, whole, and no face caught in a corner."""

from __future__ import annotations

import itertools
from fractions import Fraction

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


@given(st.lists(st.integers(1, 9), min_size=3, max_size=6), st.booleans())
def test_faces_are_those_of_a_walk_along_both_rows(fields: list[int], pointed: bool) -> None:
    starts = np.concatenate([[0], np.cumsum(np.array(fields) + 1)])
    rows = [np.arange(a, b) for a, b in itertools.pairwise(starts)]
    walked = []
    for low, high in itertools.pairwise(rows):
        topmost = not pointed and high is rows[-1]
        i = j = 0
        m, n = len(low) - 1, len(high) - 1
        while i < m or j < n:
            own, other = Fraction(2 * i + 1, m), Fraction(2 * j + 1, n)
            tie = own == other
            right_half = Fraction(i, m) + Fraction(j, n) >= 1
            if i == m or (j < n and (other < own or (tie and right_half == topmost))):
                walked.append([low[i], high[j + 1], high[j]])
                j += 1
            else:
                walked.append([low[i], low[i + 1], high[j]])
                i += 1
    tip = int(starts[-1]) if pointed else None
    if pointed:
        walked += [[a, b, tip] for a, b in itertools.pairwise(rows[-1])]
    assert zipped_rows(rows, tip).tolist() == [list(map(int, face)) for face in walked]
