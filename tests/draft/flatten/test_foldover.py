"""Faces turned over by hand are turned back while what must stay does."""

from __future__ import annotations

import numpy as np
import pytest
from analytic_panels import meshed_panel, rectangle

from layfigure.draft.flatten.foldover import unfolded
from layfigure.draft.flatten.panel import Ease
from layfigure.draft.flatten.panel_outline import outline_loop
from layfigure.draft.flatten.rest_shape import face_stretches, rest_triangles


def flat_sheet(parameters: np.ndarray) -> np.ndarray:
    return np.column_stack([parameters, np.zeros(len(parameters))])


@pytest.fixture(scope="module")
def sheet():
    panel = meshed_panel("sheet", flat_sheet, rectangle((0.0, 160.0), (0.0, 120.0), left=None, right=None))
    rest = rest_triangles(panel, Ease(around=0.0, along=0.0))
    return panel, rest, panel.vertices[:, 0] + 1j * panel.vertices[:, 1], outline_loop(panel)


def test_a_flat_panel_without_turned_faces_is_returned_as_it_is(sheet) -> None:
    panel, rest, flat, loop = sheet
    assert unfolded(rest, panel.faces, flat, loop) is flat


@pytest.mark.parametrize("seed", range(5))
def test_scattered_vertices_are_unfolded_and_the_outline_stays(sheet, seed: int) -> None:
    panel, rest, flat, loop = sheet
    inner = np.setdiff1d(np.arange(flat.size), loop)
    random = np.random.default_rng(seed)
    chosen = random.choice(inner, 12, replace=False)
    tangled = flat.copy()
    tangled[chosen] += 25.0 * np.exp(2j * np.pi * random.random(12))
    assert np.any(face_stretches(rest, tangled, panel.faces)[1] < 0.0)
    repaired = unfolded(rest, panel.faces, tangled, loop)
    assert repaired is not None
    assert np.all(face_stretches(rest, repaired, panel.faces)[1] > 0.0)
    np.testing.assert_array_equal(repaired[loop], flat[loop])


def test_an_outline_that_is_turned_over_itself_cannot_be_unfolded(sheet) -> None:
    panel, rest, flat, loop = sheet
    assert unfolded(rest, panel.faces, flat.conj(), loop) is None


def test_a_corner_that_is_turned_in_comes_out_again_where_nothing_must_stay(sheet) -> None:
    panel, rest, flat, loop = sheet
    tangled = flat.copy()
    corner = loop[np.argmax(np.abs(flat[loop] - flat.mean()))]
    tangled[corner] += 30.0 * (flat.mean() - flat[corner]) / np.abs(flat.mean() - flat[corner])
    assert np.any(face_stretches(rest, tangled, panel.faces)[1] < 0.0)
    assert unfolded(rest, panel.faces, tangled, loop) is None
    freed = unfolded(rest, panel.faces, tangled, np.empty(0, dtype=np.int64))
    assert freed is not None
    assert np.all(face_stretches(rest, freed, panel.faces)[1] > 0.0)
