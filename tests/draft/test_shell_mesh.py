"""Meshes cut and laid flat: exact where the shape is developable, within the limits where it is not."""

from __future__ import annotations

import gzip
import re
from pathlib import Path

import igl
import numpy as np
import pytest
import trimesh
from shells import FOAM, body
from test_shell_dome import mates

from layfigure.design.design import PieceStatement, Trace
from layfigure.draft.flatten.worn_stretch import weighted_quantile
from layfigure.draft.registry import DraftRequest, DraftResult, validated_options
from layfigure.draft.shell import mesh_shell
from layfigure.draft.shell.chart import CutMesh, as_laid, is_clear, lay_alone
from layfigure.draft.shell.chart_agreement import in_agreement, seam_sides, stretch_of
from layfigure.draft.shell.chart_fairing import faired, without_teeth
from layfigure.draft.shell.chart_seams import chain_bevels, chains_of
from layfigure.draft.shell.chart_truing import _bent, bent_outline, true_charts
from layfigure.draft.shell.cut_shell import cut_shell
from layfigure.draft.shell.greedy_cuts import cut_flat
from layfigure.draft.shell.kind import KIND
from layfigure.errors import DraftError, FileError
from layfigure.geometry.depth_inside import DepthInside
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.mesh_divide import divided_at
from layfigure.geometry.mesh_obj import read_obj
from layfigure.geometry.mesh_repair import mend
from layfigure.geometry.mesh_simplify import simplify, without_short_edges
from layfigure.geometry.mesh_smooth import without_detail
from layfigure.geometry.tube import rows_mesh
from layfigure.pipeline.folder import open_costume
from layfigure.place.placement import Placement

HAND = Path(__file__).parents[1] / "data" / "meshes" / "hand_open_wrist.obj.gz"


def as_mesh(solid: trimesh.Trimesh) -> TriangleMesh:
    return mend(TriangleMesh(np.array(solid.vertices), np.array(solid.faces, dtype=np.int64))).mesh


def shell_of(mesh: TriangleMesh, file: str = "prop.obj", **options: object) -> DraftResult:
    statement = PieceStatement(
        slug="prop",
        kind="shell",
        cloth="foam",
        options={"shape": "mesh", **options},
        trace=Trace(file=file, mesh=mesh),
    )
    return KIND.draft(
        DraftRequest(
            statement=statement,
            options=validated_options(KIND, statement.options, where="test"),
            form=body("woman"),
            placement=Placement(wearer="test", edges={}),
            cloths={"foam": FOAM},
        )
    )


def test_a_box_is_cut_into_faces_without_stretch_and_bevelled_at_45_degrees() -> None:
    box = as_mesh(trimesh.creation.box((60.0, 80.0, 100.0)).subdivide().subdivide())
    shell = cut_shell(box, most_pieces=24)
    assert max(laid.most for laid in shell.charts) < 0.02
    # Wherever the cut runs along an edge of the box, plates meet at 90 degrees: 45 from square (TRADE 6).
    sharp = [b for b, chain in zip(shell.bevels, shell.chains, strict=True) if b > 30.0 and not chain.border]
    assert sharp
    whole = CutMesh(box)
    whole.cut[:] = _creases(whole)
    chains = chains_of(whole)
    assert chain_bevels(whole, chains) == pytest.approx(45.0)
    assert len(chains) == 12


def _creases(cut_mesh: CutMesh) -> np.ndarray:
    order = np.argsort(cut_mesh.which.ravel(), kind="stable") // 3
    normal = cut_mesh.mesh.face_normals()
    return (normal[order[::2]] * normal[order[1::2]]).sum(axis=1) < 0.5


def test_a_cone_s_mantle_needs_one_straight_cut() -> None:
    # Base radius 40, slant s: the unrolled mantle is a sector of area pi r s (plane geometry of the cone).
    t = np.linspace(0.0, 2.0 * np.pi, 48, endpoint=False)
    rows = [
        np.column_stack([r * np.cos(t), r * np.sin(t), np.full(48, 2.0 * (40.0 - r))])
        for r in (40, 30, 20, 10)
    ]
    vertices = np.vstack([*rows, [[0.0, 0.0, 80.0]]])
    ring = np.arange(48)
    faces = [
        face
        for k in range(3)
        for a, b in zip(ring, np.roll(ring, -1), strict=True)
        for face in (
            (48 * k + a, 48 * k + b, 48 * (k + 1) + b),
            (48 * k + a, 48 * (k + 1) + b, 48 * (k + 1) + a),
        )
    ] + [(144 + a, 144 + b, 192) for a, b in zip(ring, np.roll(ring, -1), strict=True)]
    cut_mesh = CutMesh(TriangleMesh(vertices, np.array(faces)))
    (laid,) = cut_flat(cut_mesh, most_pieces=1, margin=0.9)
    assert laid.most < 1e-3
    assert laid.clear
    assert cut_mesh.cut.sum() == 4
    assert laid.areas.sum() == pytest.approx(np.pi * 40.0 * np.hypot(40.0, 80.0), rel=0.01)


def test_a_ball_of_foam_is_drafted_within_the_limits_and_joins() -> None:
    ball = as_mesh(trimesh.creation.icosphere(subdivisions=2, radius=60.0))
    result = shell_of(ball, unit="mm")
    values = {check.what.split(": ")[1]: check for check in result.checks}
    assert values["how far the sheet must stretch or shrink, but for 5 % of its area"].passed
    assert values["how many of its triangles would lie upside down"].passed
    assert values["how far edges that are joined differ in length between notches"].passed
    mates(result)
    assert {len(piece.totals) for piece in result.pieces} == {3}
    area = sum(0.5 * abs(_doubled_area(piece.stitch_line)) for piece in result.pieces)
    # Half a foam's thickness inside the ball that was asked for.
    assert area == pytest.approx(ball.face_areas().sum() * (57.5 / 60.0) ** 2, rel=0.02)


def _doubled_area(outline: np.ndarray) -> float:
    x, y = outline.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1))


def test_seams_are_smooth_enough_to_cut_and_stay_on_the_surface() -> None:
    ball = as_mesh(trimesh.creation.icosphere(subdivisions=3, radius=60.0))
    cut_mesh = CutMesh(ball)
    cut_mesh.cut[_halved(cut_mesh)] = True
    before = _sharpest(ball.vertices, chains_of(cut_mesh))
    without_teeth(cut_mesh)
    chains = chains_of(cut_mesh)
    places = faired(cut_mesh, chains)
    assert _sharpest(places, chains) < 0.5 * before
    assert np.linalg.norm(places, axis=1) == pytest.approx(60.0, abs=0.6)
    assert (TriangleMesh(places, ball.faces).face_areas() > 0.1 * ball.face_areas()).all()


def _halved(cut_mesh: CutMesh) -> np.ndarray:
    """Edges between faces above and below a slanting plane: a jagged ring."""
    order = np.argsort(cut_mesh.which.ravel(), kind="stable") // 3
    above = cut_mesh.mesh.face_corners().mean(axis=1) @ np.array([0.2, 0.3, 1.0]) > 7.0
    return above[order[::2]] != above[order[1::2]]


def _sharpest(places: np.ndarray, chains: list) -> float:
    """Mean turn from side to side along the seams [rad]."""
    turns = []
    for chain in chains:
        sides = np.diff(places[chain.vertices], axis=0)
        sides /= np.linalg.norm(sides, axis=1, keepdims=True)
        turns.append(np.arccos(np.clip((sides[1:] * sides[:-1]).sum(axis=1), -1.0, 1.0)))
    return float(np.concatenate(turns).mean())


def test_an_outline_takes_the_lengths_it_is_given() -> None:
    turn = np.linspace(0.0, 2.0 * np.pi, 40, endpoint=False)
    places = 50.0 * np.cos(turn) + 30.0j * np.sin(turn)
    lengths = np.abs(np.roll(places, -1) - places) * (1.0 + 0.03 * np.sin(3.0 * turn))
    bent = bent_outline(places, lengths)
    assert np.abs(np.roll(bent, -1) - bent) == pytest.approx(lengths, abs=1e-8)
    assert np.abs(bent - places).max() < 1.5
    with pytest.raises(ValueError, match="longer than all the others"):
        bent_outline(np.array([0.0, 1.0, 1j]), np.array([5.0, 1.0, 1.0]))


def test_unit_scale_and_size_are_asked_for() -> None:
    ball = as_mesh(trimesh.creation.icosphere(subdivisions=1, radius=5.0))
    with pytest.raises(DraftError, match="does not say its unit"):
        shell_of(ball)
    with pytest.raises(DraftError, match="mm long"):
        shell_of(ball, unit="mm")
    with pytest.raises(DraftError, match="no mesh"):
        KIND.draft(
            DraftRequest(
                statement=PieceStatement(slug="prop", kind="shell", cloth="foam", options={"shape": "mesh"}),
                options=validated_options(KIND, {"shape": "mesh"}, where="test"),
                form=body("woman"),
                placement=Placement(wearer="test", edges={}),
                cloths={"foam": FOAM},
            )
        )
    drafted = shell_of(ball, unit="cm", on="head")
    assert np.ptp(drafted.worn[0].mesh.vertices, axis=0) == pytest.approx(95.0, rel=0.06)
    # The outside stands on the crown, and what is cut lies within the foam above it.
    above = drafted.worn[0].mesh.vertices[:, 2].min() - body("woman").landmarks["crown"][2]
    assert 0.0 < above < FOAM.thickness


def test_a_mesh_in_the_costume_s_folder_is_read_with_it(tmp_path: Path) -> None:
    solid = trimesh.creation.box((3.0, 4.0, 5.0))
    (tmp_path / "prop.stl").write_bytes(solid.export(file_type="stl"))
    (tmp_path / "costume.toml").write_text(
        'format = 1\nname = "Prop"\n\n[[pieces]]\nslug = "prop"\nkind = "shell"\ncloth = "eva_foam_5mm"\n'
        'trace = { file = "prop.stl" }\noptions = { shape = "mesh", unit = "cm" }\n'
    )
    (piece,) = open_costume(tmp_path).costume.pieces
    assert piece.trace is not None
    assert piece.trace.mesh is not None
    assert piece.trace.mesh.face_areas().sum() == pytest.approx(94.0)
    (tmp_path / "prop.stl").unlink()
    with pytest.raises(FileError, match="no such mesh"):
        open_costume(tmp_path)


def test_what_was_mended_is_told_and_what_cannot_be_is_refused() -> None:
    ball = as_mesh(trimesh.creation.icosphere(subdivisions=1, radius=60.0))
    loose = TriangleMesh(ball.face_corners().reshape(-1, 3), np.arange(3 * len(ball.faces)).reshape(-1, 3))
    assert any("doubled corners" in note for note in shell_of(loose, unit="mm").notes)
    fin = np.array([[0, 1, 2], [0, 1, 3], [0, 1, 4]])
    places = 9.0 * np.array([[0.0, 0, 0], [0, 0, 9], [9, 0, 5], [-9, 5, 5], [-9, -5, 5]])
    with pytest.raises(DraftError, match="three or more sheets"):
        shell_of(TriangleMesh(places, fin), unit="mm")


def test_a_mesh_that_no_sheet_follows_is_refused_with_how_many_pieces_it_takes() -> None:
    mesh = mend(read_obj(gzip.decompress(HAND.read_bytes()))).mesh
    size = 300.0 / np.ptp(mesh.vertices, axis=0).max()
    hand = simplify(TriangleMesh(size * mesh.vertices, mesh.faces), 500)
    with pytest.raises(DraftError, match="asks the sheet to stretch by") as refused:
        shell_of(hand, unit="mm", most_pieces=14)
    told = re.search(r"Say most_pieces = (\d+)", refused.value.advice)
    assert told is not None
    result = shell_of(hand, unit="mm", most_pieces=int(told[1]))
    assert len(result.pieces) <= int(told[1])
    values = {check.what.split(": ")[1]: check for check in result.checks}
    assert values["how far it must stretch or shrink at the worst place"].value <= 6.0
    assert values["how far the sheet must stretch or shrink, but for 5 % of its area"].value <= 3.0


def test_a_mesh_that_no_number_of_pieces_helps_is_told_to_lose_its_details(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(mesh_shell, "MOST_PIECES", 3)
    ball = as_mesh(trimesh.creation.icosphere(subdivisions=1, radius=60.0))
    out = np.where(np.arange(len(ball.vertices)) % 5, 1.0, 3.0)[:, None]
    with pytest.raises(DraftError, match="asks the sheet") as refused:
        shell_of(TriangleMesh(ball.vertices * out, ball.faces), unit="mm", most_pieces=2)
    assert "Even 3 pieces would not do" in refused.value.advice
    assert "detail = '40 mm'" in refused.value.advice


def test_charts_that_settle_together_disagree_less_and_stretch_less_when_trued() -> None:
    cut_mesh = CutMesh(as_mesh(trimesh.creation.icosphere(subdivisions=2, radius=60.0)))
    charts = cut_flat(cut_mesh, most_pieces=8, margin=1.5)
    together = in_agreement(charts)
    assert _disagreement(together) < 0.3 * _disagreement(charts)
    alone, agreed = (stretch_of(true_charts(each))[1] for each in (charts, together))
    assert agreed < 0.9 * alone
    assert _disagreement(true_charts(together)) < 1e-6


def _disagreement(charts: list) -> float:
    """Largest difference in length between both uses of a side of a seam [mm]."""
    sides = seam_sides(charts)
    loops = [laid.flat[laid.stiffness.loop] for laid in charts]
    lengths = np.concatenate([np.abs(np.roll(loop, -1) - loop) for loop in loops])
    return float(2.0 * np.abs(lengths - sides.means(lengths)).max())


def test_small_things_are_smoothed_away_and_large_ones_stay() -> None:
    # A wave of length L keeps 1 - (1 - 1/(1 + (finest/L)^2))^2 of its height (computed).
    # On a tube the wave runs along; its own ends are held, far from the waves looked at.
    z, t = np.meshgrid(
        np.arange(0.0, 401.0, 5.0), np.linspace(0.0, 2.0 * np.pi, 48, endpoint=False), indexing="ij"
    )
    for wave in (40.0, 120.0):
        ring = 400.0 + 0.5 * np.cos(2.0 * np.pi * z / wave)
        rows = np.stack([ring * np.cos(t), ring * np.sin(t), z], axis=2)
        smooth = without_detail(rows_mesh(rows, closed=True), 60.0).vertices.reshape(rows.shape)
        away = np.linalg.norm(smooth[:, :, :2], axis=2).mean(axis=1)
        within = slice(16, 64)
        model = np.column_stack([np.cos(2.0 * np.pi * z[within, 0] / wave), np.ones(48)])
        kept = np.linalg.lstsq(model, away[within], rcond=None)[0][0] / 0.5
        gain = 1.0 / (1.0 + (60.0 / wave) ** 2)
        assert kept == pytest.approx(1.0 - (1.0 - gain) ** 2, abs=0.04)


def test_needles_are_drawn_together() -> None:
    ball = as_mesh(trimesh.creation.icosphere(subdivisions=3, radius=60.0))
    places = ball.vertices.copy()
    edges = ball.edges()[::97]
    # Some corners slid nearly onto their neighbours leave needles.
    places[edges[:, 0]] += 0.9 * (places[edges[:, 1]] - places[edges[:, 0]])
    shortest = 0.35 * 9.0
    assert (_edge_lengths(TriangleMesh(places, ball.faces)) < shortest).sum() >= len(edges)
    mended = without_short_edges(TriangleMesh(places, ball.faces), shortest)
    assert _edge_lengths(mended).min() >= shortest
    assert mended.face_areas().sum() == pytest.approx(ball.face_areas().sum(), rel=0.02)
    assert not mended.boundary_loops()


def _edge_lengths(mesh: TriangleMesh) -> np.ndarray:
    ends = mesh.vertices[mesh.edges()]
    return np.linalg.norm(ends[:, 0] - ends[:, 1], axis=1)


def test_a_plane_divides_a_ball_as_archimedes_says() -> None:
    # The area of a cap of height h is 2 pi r h (Archimedes, On the Sphere and Cylinder).
    ball = as_mesh(trimesh.creation.icosphere(subdivisions=4, radius=60.0))
    divided = divided_at(ball, np.array([0.0, 0.0, 1.0]), np.array([0.0, 0.0, 10.0]))
    assert divided.part_ahead().face_areas().sum() == pytest.approx(2.0 * np.pi * 60.0 * 50.0, rel=0.004)
    assert divided.mesh.face_areas().sum() == pytest.approx(ball.face_areas().sum(), rel=1e-3)
    (rim,) = divided.part_ahead().boundary_loops()
    assert len(rim) == divided.along.sum()
    assert divided.part_ahead().vertices[rim, 2] == pytest.approx(10.0)


def test_depth_in_a_ball_is_its_radius_less_the_distance_from_its_middle() -> None:
    ball = as_mesh(trimesh.creation.icosphere(subdivisions=4, radius=60.0))
    places = np.random.default_rng(4).normal(scale=40.0, size=(400, 3))
    depth, border = DepthInside(ball).at(places)
    assert depth == pytest.approx(60.0 - np.linalg.norm(places, axis=1), abs=0.12)
    assert not border.any()


def beside_reference(mesh: TriangleMesh) -> tuple[float, float, float]:
    """Area p95 of stretch, on the same cuts: ours before truing, libigl's plain ARAP, and its LSCM."""
    cut_mesh = CutMesh(mesh)
    ours, arap, lscm, areas = [], [], [], []
    for laid in cut_flat(cut_mesh, most_pieces=12, margin=0.9):
        chart, loop = laid.chart, laid.stiffness.loop
        v, f = chart.mesh.vertices, chart.mesh.faces
        far = int(np.linalg.norm(v[loop] - v[loop[0]], axis=1).argmax())
        pins = np.array([[0.0, 0.0], [np.linalg.norm(v[loop[far]] - v[loop[0]]), 0.0]])
        first, _ = igl.lscm(v, f, loop[[0, far]].astype(np.int64), pins)
        solver = igl.ARAPData()
        solver.max_iter = 100
        solver.energy = igl.ARAP_ENERGY_TYPE_ELEMENTS
        igl.arap_precomputation(v, f, 2, loop[:1].astype(np.int32), solver)
        free = igl.arap_solve(first[loop[:1]], solver, first)
        ours.append(lay_alone(chart, loop).stretch)
        for places, into in ((first, lscm), (free, arap)):
            flat = np.ascontiguousarray(places[:, :2]).view(np.complex128)[:, 0]
            into.append(as_laid(chart, laid.stiffness, flat).stretch)
        areas.append(laid.areas)
    weights = np.concatenate(areas)
    return tuple(weighted_quantile(np.concatenate(each), weights, 0.95) for each in (ours, arap, lscm))


def test_a_ball_beside_libigl_on_the_same_cuts() -> None:
    ours, arap, lscm = beside_reference(as_mesh(trimesh.creation.icosphere(subdivisions=2, radius=60.0)))
    assert ours <= 1.15 * arap + 1e-3
    assert ours < lscm


def test_a_hand_beside_libigl_on_the_same_cuts() -> None:
    mesh = mend(read_obj(gzip.decompress(HAND.read_bytes()))).mesh
    size = 190.0 / np.ptp(mesh.vertices, axis=0).max()
    ours, arap, lscm = beside_reference(simplify(TriangleMesh(size * mesh.vertices, mesh.faces), 900))
    assert ours <= 1.15 * arap + 1e-3
    assert ours < lscm


def test_a_narrow_bent_dart_does_not_close_over_itself() -> None:
    ring = 50.0 * np.exp(1j * np.linspace(0.1, 2.0 * np.pi - 0.1, 24))
    bent = np.array([20.0 - 0.3j, 5.0 + 8.0j, 20.0 + 0.3j])
    places = np.concatenate([ring, bent])
    sides = np.abs(np.roll(places, -1) - places)
    # The upper side of the dart is to be longer, as a mate that stretched more would have it.
    lengths = sides + np.array([0.0] * 25 + [0.5, 0.8])
    assert is_clear(places)
    assert not is_clear(_bent(places, lengths, apart=False))
    outline = bent_outline(places, lengths)
    assert is_clear(outline)
    assert np.abs(np.roll(outline, -1) - outline) == pytest.approx(lengths, abs=1e-6)
    assert np.abs(outline - places).max() < 2.0
