"""Plain flattening against an independent library (libigl) and against refinement of the mesh."""

from __future__ import annotations

import igl
import numpy as np
import pytest
from analytic_panels import Points, meshed_panel, rectangle, tube

from layfigure.draft.flatten.arap import conformal_start, flatten_freely, stiffness_of
from layfigure.draft.flatten.panel import Ease, Panel
from layfigure.draft.flatten.panel_outline import outline_loop
from layfigure.draft.flatten.rest_shape import face_stretches, rest_triangles


def saddle(parameters: Points) -> Points:
    """Inner side of a torus of radii 160 and 80 mm: Gaussian curvature is negative all over."""
    around, across = parameters[:, 0] / 120.0, np.pi + parameters[:, 1] / 80.0
    ring = 160.0 + 80.0 * np.cos(across)
    return np.stack([ring * np.cos(around), ring * np.sin(around), 80.0 * np.sin(across)], axis=1)


def calf(turn: Points, v: Points) -> Points:
    return np.asarray(55.0 + 25.0 * np.sin(v / 130.0) + 9.0 * np.cos(2.0 * turn))


SURFACES = {
    "saddle": (saddle, rectangle((-100.0, 100.0), (-90.0, 90.0), left=None, right=None)),
    "calf": (tube(calf, 380.0), rectangle((0.0, 190.0), (0.0, 420.0), left=None, right=None)),
}


def on_chords(panel: Panel) -> Panel:
    """The panel as libigl sees it, without curvature correction."""
    return Panel(
        slug=panel.slug,
        vertices=panel.vertices,
        faces=panel.faces,
        outline=panel.outline,
        around=panel.around,
    )


@pytest.fixture(params=sorted(SURFACES))
def panel(request: pytest.FixtureRequest) -> Panel:
    return on_chords(meshed_panel(request.param, *SURFACES[request.param]))


def system_of(panel: Panel):
    return stiffness_of(rest_triangles(panel, Ease(around=0.0, along=0.0)), panel.faces, outline_loop(panel))


def test_flattening_reaches_the_energy_of_libigl(panel: Panel) -> None:
    system = system_of(panel)
    fixed = np.array([outline_loop(panel)[0]])
    far = int(np.argmax(np.linalg.norm(panel.vertices - panel.vertices[fixed[0]], axis=1)))
    pinned = np.array([fixed[0], far])
    places = np.array(
        [[0.0, 0.0], [float(np.linalg.norm(panel.vertices[far] - panel.vertices[fixed[0]])), 0.0]]
    )
    start, _ = igl.lscm(panel.vertices, panel.faces, pinned, places)
    data = igl.ARAPData()
    data.max_iter = 300
    data.energy = igl.ARAP_ENERGY_TYPE_ELEMENTS
    igl.arap_precomputation(panel.vertices, panel.faces, 2, fixed.astype(np.int32), data)
    theirs = igl.arap_solve(np.zeros((1, 2)), data, start)
    their_energy = system.energy(theirs[:, 0] + 1j * theirs[:, 1])
    our_energy = system.energy(flatten_freely(system, steps=300))
    assert our_energy == pytest.approx(their_energy, rel=1e-3)


def conformal_error(system, flat) -> float:
    """Mean over the area of (greatest - least) / (greatest + least) stretch, 0 for similar faces."""
    stretch, _ = face_stretches(system.rest, flat, system.faces)
    least, greatest = 1.0 / (1.0 + stretch[:, 1]), 1.0 / (1.0 + stretch[:, 0])
    u, v = (system.rest[:, k] - system.rest[:, 0] for k in (1, 2))
    areas = (u.conj() * v).imag
    return float(np.average((greatest - least) / (greatest + least), weights=areas))


def test_the_start_is_as_conformal_as_that_of_libigl(panel: Panel) -> None:
    system = system_of(panel)
    loop = outline_loop(panel)
    pinned = np.array([loop[0], loop[loop.size // 2]])
    flat, _ = igl.lscm(panel.vertices, panel.faces, pinned, np.array([[0.0, 0.0], [300.0, 0.0]]))
    theirs = conformal_error(system, flat[:, 0] + 1j * flat[:, 1])
    ours = conformal_error(system, conformal_start(system))
    assert ours < 2.0 * theirs + 0.005


def test_obtuse_faces_do_no_harm() -> None:
    # Halving a long thin strip of quadrilaterals leaves angles near 160 degrees.
    shear = tube(lambda turn, v: np.full_like(turn, 70.0), 440.0)

    def sheared(parameters: Points) -> Points:
        return shear(np.stack([parameters[:, 0] + 2.5 * parameters[:, 1], parameters[:, 1]], axis=1))

    panel = on_chords(
        meshed_panel("strip", sheared, rectangle((0.0, 150.0), (0.0, 120.0), left=None, right=None))
    )
    system = system_of(panel)
    angles = np.angle(
        (np.roll(system.rest, -1, 1) - system.rest).conj() * (np.roll(system.rest, -2, 1) - system.rest)
    )
    assert np.degrees(angles.max()) > 150.0
    flat = flatten_freely(system, steps=200)
    assert np.all(face_stretches(system.rest, flat, panel.faces)[1] > 0.0)
    assert system.energy(flat) < 1e-3 * float(np.sum((system.rest[:, 1].conj() * system.rest[:, 2]).imag))
