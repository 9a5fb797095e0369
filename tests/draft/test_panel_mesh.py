"""Panels on tubes with known answers, and on the body."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.draft.flatten.panel import Ease, Panel
from layfigure.draft.flatten.truing import flatten_panels
from layfigure.draft.knit.leggings import leggings_meshes
from layfigure.draft.panels.cloth_surface import cloth_surface
from layfigure.draft.panels.edge_fields import ring
from layfigure.draft.panels.garment import Divided, GarmentPattern, lay_garment, mesh_garment
from layfigure.draft.panels.grid import graded_mesh
from layfigure.draft.panels.leggings import leggings_pattern
from layfigure.draft.panels.panel_mesh import PanelMesh
from layfigure.draft.panels.reference import reference_body
from layfigure.draft.panels.surface import Surface
from layfigure.draft.panels.taut import drawn_taut
from layfigure.draft.panels.top import SIDES, TopCut, top_pattern
from layfigure.draft.panels.topology import GarmentPlan, PanelPlan, SeamUse
from layfigure.errors import DraftError
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.polyline import length

Points = NDArray[np.float64]
RADIUS, LOW, HIGH = 55.0, 30.0, 210.0


def round_tube(n: int = 64, rows: int = 33, height: float = 240.0) -> Surface:
    """An exact cylinder's points with exact normals."""
    angle = np.arange(n) / n * 2 * np.pi + 0.01
    out = np.stack([np.cos(angle), np.sin(angle), np.zeros(n)], axis=1)
    z = np.linspace(0.0, height, rows)
    vertices = np.tile(RADIUS * out, (rows, 1))
    vertices[:, 2] = np.repeat(z, n)
    k, j = np.mgrid[0 : rows - 1, 0:n]
    a, b = k * n + j, k * n + (j + 1) % n
    faces = np.concatenate(
        [np.stack([a, b, b + n], -1).reshape(-1, 3), np.stack([a, b + n, a + n], -1).reshape(-1, 3)]
    )
    down = np.tile([0.0, 0.0, -1.0], (len(vertices), 1))
    return Surface(vertices, faces, np.tile(out, (rows, 1)), down)


def tube_halves() -> GarmentPattern:
    """Front and back of a tube, two side seams."""

    def panel(slug: str, first: str, second: str, against: bool) -> PanelPlan:
        return PanelPlan(
            slug=slug,
            edges=(
                SeamUse(slug="bottom", line="bottom", role="hem"),
                SeamUse(slug=second, line=second, seam=second, against=not against),
                SeamUse(slug="top", line="top", role="hem"),
                SeamUse(slug=first, line=first, seam=first, against=against),
            ),
        )

    plan = GarmentPlan(panels=(panel("front", "right", "left", False), panel("back", "left", "right", False)))

    def select(slug: str, divided: Divided) -> NDArray[np.bool_]:
        chosen = divided.side("depth", -1 if slug == "front" else 1)
        return chosen & divided.side("bottom", 1) & divided.side("top", -1)

    def lines(divided: Divided) -> dict[str, NDArray[np.bool_]]:
        left = divided.centres(SURFACE.vertices)[:, 0] > 0.0
        return {
            "left": divided.on("depth", left),
            "right": divided.on("depth", ~left),
            "bottom": divided.on("bottom"),
            "top": divided.on("top"),
        }

    return GarmentPattern(plan, select, lines)


SURFACE = round_tube()


@pytest.fixture(scope="module")
def halves() -> tuple[tuple[PanelMesh, ...], tuple[Panel, ...]]:
    v = SURFACE.vertices
    fields = {"depth": v[:, 1], "bottom": v[:, 2] - LOW, "top": v[:, 2] - HIGH}
    meshes = mesh_garment(tube_halves(), SURFACE, fields)
    return meshes, lay_garment(meshes, SURFACE)


def test_no_face_has_three_outline_vertices_and_the_mesh_is_a_disk(
    halves: tuple[tuple[PanelMesh, ...], tuple[Panel, ...]],
) -> None:
    for mesh in halves[0]:
        assert not (mesh.faces < mesh.border).all(axis=1).any()
        sides = TriangleMesh(np.zeros((len(mesh.face), 3)), mesh.faces).edges()
        assert len(mesh.face) - len(sides) + len(mesh.faces) == 1
        loop = TriangleMesh(np.zeros((len(mesh.face), 3)), mesh.faces).boundary_loops()
        assert len(loop) == 1
        assert loop[0].tolist() == list(range(mesh.border))


def test_mates_share_their_points(halves: tuple[tuple[PanelMesh, ...], tuple[Panel, ...]]) -> None:
    front, back = halves[1]
    for seam in ("left", "right"):
        first = next(e for e in front.outline if e.seam == seam)
        second = next(e for e in back.outline if e.seam == seam)
        a, b = front.vertices[first.vertices], back.vertices[second.vertices[::-1]]
        assert np.abs(a - b).max() < 1e-6


def test_sides_are_as_long_as_the_arcs_they_span(
    halves: tuple[tuple[PanelMesh, ...], tuple[Panel, ...]],
) -> None:
    # A side between two points of a cylinder, dz apart and d_theta round: sqrt(dz^2 + (r d_theta)^2).
    panel = halves[1][0]
    i, j = panel.faces[:, [1, 2, 0]], panel.faces[:, [2, 0, 1]]
    p, q = panel.vertices[i], panel.vertices[j]
    turn = np.abs(np.angle((q[..., 0] + 1j * q[..., 1]) / (p[..., 0] + 1j * p[..., 1])))
    exact = np.hypot(q[..., 2] - p[..., 2], RADIUS * turn)
    chord = np.linalg.norm(q - p, axis=2)
    assert panel.side_lengths is not None
    # Points lie on the 64-gon, whose circumference is short of the circle's by 0.04 %.
    assert panel.side_lengths.sum() == pytest.approx(exact.sum(), rel=6e-4)
    assert abs(panel.side_lengths.sum() - exact.sum()) < abs(chord.sum() - exact.sum())


def test_half_a_cylinder_unrolls_to_its_rectangle(
    halves: tuple[tuple[PanelMesh, ...], tuple[Panel, ...]],
) -> None:
    flats = flatten_panels(halves[1], Ease(around=0.0, along=0.0))
    for flat in flats.values():
        assert length(flat.curves["top"]) == pytest.approx(np.pi * RADIUS, rel=1e-3)
        assert length(flat.curves["left"]) == pytest.approx(HIGH - LOW, rel=1e-3)
        assert np.abs(flat.stretch).max() < 0.01


def test_the_direction_round_the_body_is_the_circles_own(
    halves: tuple[tuple[PanelMesh, ...], tuple[Panel, ...]],
) -> None:
    for panel in halves[1]:
        middle = panel.vertices[panel.faces].mean(axis=1)
        tangent = np.stack([-middle[:, 1], middle[:, 0], np.zeros(len(middle))], axis=1)
        tangent /= np.linalg.norm(tangent, axis=1, keepdims=True)
        assert np.abs(np.einsum("ij,ij->i", tangent, panel.around)).min() > 0.99


def test_an_edge_placed_elsewhere_on_the_wearer_is_met_and_seams_stay_shared(
    halves: tuple[tuple[PanelMesh, ...], tuple[Panel, ...]],
) -> None:
    angle = np.linspace(0.0, 2 * np.pi, 200)
    top = np.stack([RADIUS * np.cos(angle), RADIUS * np.sin(angle), HIGH + 8.0 + 5.0 * np.sin(angle)], axis=1)
    front, back = lay_garment(halves[0], SURFACE, {"top": top})
    for panel in (front, back):
        edge = next(e for e in panel.outline if e.slug == "top")
        z = panel.vertices[edge.vertices]
        wanted = HIGH + 8.0 + 5.0 * np.sin(np.arctan2(z[:, 1], z[:, 0]))
        assert np.abs(z[:, 2] - wanted).max() < 0.2
        assert TriangleMesh(panel.vertices, panel.faces).face_areas().min() > 5.0
    a = next(e for e in front.outline if e.seam == "left")
    b = next(e for e in back.outline if e.seam == "left")
    assert np.abs(front.vertices[a.vertices] - back.vertices[b.vertices[::-1]]).max() < 1e-6


def test_an_outline_that_crosses_itself_is_refused() -> None:
    t = np.linspace(0.0, 2 * np.pi, 60, endpoint=False)
    eight = 100.0 * np.stack([np.sin(t), np.sin(2 * t)], axis=1)
    with pytest.raises(DraftError, match="crosses itself"):
        graded_mesh(eight, 9.0)


@pytest.mark.parametrize(
    "plan",
    [
        leggings_pattern(("left", "right")).plan,
        leggings_pattern(("left",)).plan,
        leggings_pattern(("left", "right"), panels_a_leg=1).plan,
        top_pattern(TopCut(legs=True, sleeves=SIDES)).plan,
        top_pattern(TopCut(sleeves=("left",))).plan,
        top_pattern(TopCut(legs=True, sleeves=SIDES, princess=True)).plan,
        top_pattern(TopCut(princess=True, pointed=True)).plan,
    ],
)
def test_every_seam_of_every_garment_has_two_opposite_uses(plan: GarmentPlan) -> None:
    assert plan.faults() == []


def test_the_check_of_plans_can_fail() -> None:
    edge = SeamUse(slug="a", line="a", seam="side")
    lonely = GarmentPlan(panels=(PanelPlan(slug="p", edges=(edge,)),))
    assert lonely.faults() == ["seam side has 1 uses instead of two"]
    twins = GarmentPlan(panels=(PanelPlan(slug="p", edges=(edge,)), PanelPlan(slug="q", edges=(edge,))))
    assert twins.faults() == ["both uses of seam side run the same way"]


def test_cloth_round_the_trunk_is_as_long_as_the_tape() -> None:
    template = load_template()
    form = form_of(template, template.presets["woman"])
    surface = cloth_surface(form)
    chart = form.drafting_charts["torso"]
    sides = TriangleMesh(surface.vertices, surface.faces).edges()
    for station in (1.0, 3.0, 4.0):
        height = float(chart.section(station)[:, 2].mean())
        z = surface.vertices[:, 2]
        low, high = sides[:, 0], sides[:, 1]
        crossing = (z[low] - height) * (z[high] - height) < 0.0
        a, b = low[crossing], high[crossing]
        t = ((height - z[a]) / (z[b] - z[a]))[:, None]
        at = ((1 - t) * surface.vertices[a] + t * surface.vertices[b])[:, :2]
        at = at[np.abs(at[:, 0]) < 1.2 * np.abs(chart.section(station)[:, 0]).max()]
        order = np.argsort(np.arctan2(*(at - at.mean(axis=0)).T))
        own = length(at[order], closed=True)
        skin = form.drafting.vertices
        bare = ((1 - t) * skin[a] + t * skin[b])[:, :2]
        bare = bare[np.abs(bare[:, 0]) < 1.2 * np.abs(chart.section(station)[:, 0]).max()]
        order = np.argsort(np.arctan2(*(bare - bare.mean(axis=0)).T))
        tape = float(chart.girth(station)[()])
        assert own == pytest.approx(tape, rel=0.008)
        assert abs(own - tape) <= abs(length(bare[order], closed=True) - tape) + 0.5


def test_cloth_bridges_a_dent_and_lies_on_a_dome() -> None:
    outline = np.array([[0.0, 0.0], [200.0, 0.0], [200.0, 200.0], [0.0, 200.0]])
    ring = np.concatenate(
        [np.linspace(outline[k], outline[(k + 1) % 4], 22, endpoint=False) for k in range(4)]
    )
    flat, faces = graded_mesh(ring, 9.0)
    bump = 25.0 * np.exp(-(((flat - 100.0) / 25.0) ** 2).sum(axis=1))
    for sign, expected in ((-1.0, "bridged"), (1.0, "kept")):
        vertices = np.column_stack([flat, sign * bump])
        taut, _ = drawn_taut(vertices, faces, len(ring))
        inside = np.linalg.norm(flat - 100.0, axis=1) < 12.0
        if expected == "bridged":
            assert taut[inside, 2].min() > -12.0
        else:
            assert taut[inside, 2].max() > 22.0


def test_a_right_leg_is_meshed_as_a_left_one_in_the_mirror() -> None:
    """Vertex for vertex across the middle of the mean body, whose own two sides differ by 0.03 mm."""
    top = ring("torso", 3.0)
    hems = (ring("shank_left", 0.93), ring("shank_right", 0.93))
    _, meshes = leggings_meshes(("left", "right"), 2, top, hems)
    _, surface = reference_body()
    for left, right in (meshes[0], meshes[2]), (meshes[1], meshes[3]):
        assert [edge.slug for edge in right.plan.edges[1:]] == [e.slug for e in left.plan.edges[:0:-1]]
        count = len(left.plan.edges)
        for k in range(count):
            own = surface.places(left.face, left.weights)[left.edge_vertices(k)]
            other = surface.places(right.face, right.weights)[right.edge_vertices(-k % count)]
            np.testing.assert_allclose(other[::-1], own * (-1.0, 1.0, 1.0), atol=0.05)
        corners = surface.places(right.face, right.weights)[right.faces]
        outward = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        normals = surface.normals_at(right.face, right.weights)[right.faces].mean(axis=1)
        assert (np.einsum("md,md->m", outward, normals) > 0.0).mean() > 0.99


def test_panels_are_laid_together_as_each_is_alone() -> None:
    _, meshes = leggings_meshes(("left",), 2, ring("torso", 3.0), (ring("shank_left", 0.93),))
    _, surface = reference_body()
    for mesh, panel in zip(meshes, lay_garment(meshes, surface), strict=True):
        (alone,) = lay_garment((mesh,), surface)
        np.testing.assert_array_equal(panel.faces, alone.faces)
        np.testing.assert_allclose(panel.vertices, alone.vertices, atol=1e-9)
        np.testing.assert_allclose(panel.around, alone.around, atol=1e-9)
        assert panel.side_lengths is not None
        np.testing.assert_allclose(panel.side_lengths, alone.side_lengths, atol=1e-9)
