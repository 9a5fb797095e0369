"""A panel reduced to its outline, against an independent library's stiffness (libigl) reduced densely."""

from __future__ import annotations

import igl
import numpy as np
import pytest
from analytic_panels import meshed_panel, rectangle, tube

from layfigure.draft.flatten.arap import PanelStiffness, reweighted, stiffness_of
from layfigure.draft.flatten.connections import connections_of
from layfigure.draft.flatten.panel import Ease, Panel
from layfigure.draft.flatten.panel_outline import outline_loop
from layfigure.draft.flatten.rest_shape import rest_triangles
from layfigure.draft.flatten.settling import settled_panels


@pytest.fixture(scope="module")
def panel() -> Panel:
    laid = meshed_panel(
        "calf",
        tube(lambda turn, v: 55.0 + 25.0 * np.sin(v / 130.0) + 9.0 * np.cos(2.0 * turn), 380.0),
        rectangle((0.0, 190.0), (0.0, 300.0), left=None, right=None),
    )
    # On chords, as libigl measures.
    return Panel(
        slug=laid.slug,
        vertices=laid.vertices,
        faces=laid.faces,
        outline=laid.outline,
        around=laid.around,
    )


@pytest.fixture(scope="module")
def stiffness(panel: Panel) -> PanelStiffness:
    rest = rest_triangles(panel, Ease(around=0.0, along=0.0))
    return stiffness_of(rest, panel.faces, outline_loop(panel))


def dense(panel: Panel) -> np.ndarray:
    return -np.asarray(igl.cotmatrix(panel.vertices, panel.faces).todense())


def test_the_stiffness_is_that_of_libigl_in_every_order(panel: Panel, stiffness: PanelStiffness) -> None:
    theirs, mesh = dense(panel), stiffness.mesh
    for ours, rows, columns in (
        (stiffness.between_inner(), mesh.inner, mesh.inner),
        (stiffness.between_free(), mesh.free, mesh.free),
        (stiffness.between_outline(), mesh.loop, mesh.loop),
        (stiffness.coupling(), mesh.inner, mesh.loop),
    ):
        assert ours.toarray() == pytest.approx(theirs[np.ix_(rows, columns)], abs=1e-9)
    inner = mesh.inner.size
    assert stiffness.reducing()[:inner, :inner].toarray() == pytest.approx(
        stiffness.between_inner().toarray()
    )
    assert stiffness.reducing()[inner:, :inner].toarray() == pytest.approx(stiffness.coupling().toarray().T)
    assert not stiffness.reducing()[:inner, inner:].nnz
    assert sorted([*mesh.inner, *mesh.loop]) == list(range(len(panel.vertices)))
    assert sorted([*mesh.free, mesh.loop[0]]) == list(range(len(panel.vertices)))


def test_what_is_left_at_the_outline_is_what_elimination_leaves(
    panel: Panel, stiffness: PanelStiffness
) -> None:
    theirs, mesh = dense(panel), stiffness.mesh
    across = theirs[np.ix_(mesh.inner, mesh.loop)]
    within = theirs[np.ix_(mesh.inner, mesh.inner)]
    left = theirs[np.ix_(mesh.loop, mesh.loop)] - across.T @ np.linalg.solve(within, across)
    settled = settled_panels(stiffness)
    assert settled.outline_stiffness[0] == pytest.approx(left, abs=1e-8)
    moves = np.random.default_rng(5).normal(size=(mesh.loop.size, 3))
    assert settled.followed(moves) == pytest.approx(-np.linalg.solve(within, across @ moves), abs=1e-9)


def test_faces_that_count_double_resist_double(panel: Panel, stiffness: PanelStiffness) -> None:
    weights = np.random.default_rng(6).uniform(1.0, 9.0, len(panel.faces))
    once, twice = (reweighted(stiffness, share * weights) for share in (1.0, 2.0))
    assert twice.between_free().toarray() == pytest.approx(2.0 * once.between_free().toarray())
    flat = panel.vertices @ [1.0, 0.3j, 1j]
    assert twice.energy(flat) == pytest.approx(2.0 * once.energy(flat))
    assert twice.best_turns(flat) == pytest.approx(stiffness.best_turns(flat), abs=1e-9)


def test_a_mesh_is_looked_at_once_whoever_wears_it(panel: Panel) -> None:
    loop = outline_loop(panel)
    assert connections_of(panel.faces, loop) is connections_of(panel.faces.copy(), loop.copy())
