"""Imported helms and masks on a head: size, room, the way in, halves, pads and straps."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from shapely import MultiPoint
from shells import body
from test_shell_dome import mates
from test_shell_mesh import as_mesh, shell_of

from layfigure.draft.registry import DraftResult
from layfigure.draft.shell.behind import length_behind
from layfigure.draft.shell.mesh_opening import passage, plane_section
from layfigure.draft.shell.mesh_place import head_need, placed_mesh
from layfigure.draft.shell.options import ShellOptions
from layfigure.errors import DraftError
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.mesh_divide import divided_at
from layfigure.geometry.nearest_face import nearest_faces

THICK = 5.0


def egg(
    size: float = 1.0, shape: tuple[float, float, float] = (126.0, 147.0, 168.0), *, fine: int = 2
) -> TriangleMesh:
    ball = trimesh.creation.icosphere(subdivisions=fine, radius=1.0)
    return as_mesh(trimesh.Trimesh(size * np.array(ball.vertices) * shape, ball.faces, process=False))


def values(result: DraftResult) -> dict[str, float]:
    return {check.what.split(": ")[1]: check.value for check in result.checks}


def options(**said: object) -> ShellOptions:
    return ShellOptions(shape="mesh", on="over_head", **said)


def test_a_small_helm_is_told_its_factor_and_where_it_is_too_small() -> None:
    need = head_need(body("woman"), options(), 0.0)
    small = placed_mesh(egg(0.75), need, options(), THICK, "helm.obj")
    large = placed_mesh(egg(1.0), need, options(), THICK, "helm.obj")
    assert small.spare.min() < -1.0
    assert large.spare.min() >= -0.01
    # What it takes does not depend on the size it came in.
    fitted = placed_mesh(egg(0.3), need, options(fit="head"), THICK, "h")
    assert 0.75 * small.fits == pytest.approx(0.3 * fitted.factor, rel=0.01)
    assert 0.0 <= fitted.spare.min() <= 0.2
    closer = placed_mesh(egg(0.97 * 0.3 * fitted.factor), need, options(), THICK, "h")
    assert closer.spare.min() < 0.0


def test_room_is_measured_to_the_inside_of_the_sheet_and_the_helm_rests_on_the_crown() -> None:
    form = body("woman")
    said = options(padding="14 mm", hair="9 mm")
    placed = placed_mesh(egg(), head_need(form, said, 0.0), said, THICK, "helm.obj")
    crown = form.landmarks["crown"][None]
    off = float(nearest_faces(placed.mesh.vertices, placed.mesh.faces, crown).distance[0])
    assert 14.0 + 9.0 + THICK - 0.1 <= off <= 14.0 + 9.0 + THICK + 4.0
    assert placed.spare.min() == pytest.approx(0.0, abs=0.1)


def test_a_level_cut_of_an_egg_is_its_ellipse() -> None:
    # Area of an ellipse pi a b, at height z of an ellipsoid both axes shrink by sqrt(1 - (z / c)^2).
    section = plane_section(egg(fine=4), 84.0)
    assert section is not None
    assert section.area == pytest.approx(np.pi * 126.0 * 147.0 * 0.75, rel=0.01)


@pytest.mark.parametrize(("rim", "passes"), [(0.55, False), (0.97, True)])
def test_a_neck_narrower_than_the_head_stops_it(rim: float, passes: bool) -> None:
    form = body("woman")
    said = options()
    placed = placed_mesh(egg(), head_need(form, said, 0.0), said, THICK, "helm.obj")
    middle = placed.mesh.vertices.mean(axis=0)
    # Where the egg has shrunk to a share of its width, by the ellipsoid's own equation.
    height = middle[2] - 168.0 * np.sqrt(1.0 - rim**2)
    opened = divided_at(placed.mesh, np.array([0.0, 0.0, 1.0]), np.array([0.0, 0.0, height])).part_ahead()
    way = passage(opened, form, thickness=THICK, hair=5.0)
    assert (way.spare > 0.0) is passes
    # By hand: the inner half width of that rim against the head's, hair on it.
    head = form.standing.vertices[form.standing.faces[_head_faces(form)]].reshape(-1, 3)
    hull = MultiPoint(head[head[:, 2] > height + 2.0][:, :2]).convex_hull
    low, high = np.array(hull.bounds[:2]), np.array(hull.bounds[2:])
    across = min(126.0 * rim - 0.5 * (high - low)[0], 147.0 * rim - 0.5 * (high - low)[1]) - THICK - 5.0
    assert way.spare <= across + 3.0


def _head_faces(form: object) -> np.ndarray:
    wanted = np.array([name == "head" for name in form.region_names])
    return wanted[form.face_region]


def test_a_closed_helm_is_opened_split_and_clipped() -> None:
    result = shell_of(egg(), unit="mm", on="over_head", fit="head", most_pieces=20)
    found = values(result)
    assert found["how far head, hair and padding stand out of it"] == pytest.approx(0.0, abs=0.5)
    assert all(check.passed for check in result.checks)
    mates(result)
    split = [edge for piece in result.pieces for edge in piece.edges if edge.slug.startswith("split")]
    assert {edge.role for edge in split} == {"closure"}
    seams = [edge.seam for edge in split]
    assert sorted(seams) == sorted(2 * list(dict.fromkeys(seams)))
    clips = next(item for item in result.items if item.slug == "turn_clip")
    assert clips.count >= np.ceil(sum(edge.length for edge in split) / 2.0 / 80.0)
    assert sum("pad" in item.name.lower() for item in result.items) >= 4
    marked = {line.label for piece in result.pieces for line in piece.lines if line.label.startswith("pad")}
    assert "pad, forehead" in marked
    assert any("comes apart" in note for note in result.notes)
    glued = shell_of(egg(), unit="mm", on="over_head", fit="head", halves="no", most_pieces=20)
    assert not all(check.passed for check in glued.checks)


def test_a_mask_is_strapped_round_the_head() -> None:
    form = body("woman")
    result = shell_of(egg(0.95, (110.0, 120.0, 150.0)), unit="mm", on="face", most_pieces=20)
    assert values(result)["how far head, hair and padding stand out of it"] <= 0.5
    straps = [item for item in result.items if item.slug == "elastic_20mm"]
    assert len(straps) == 2
    assert all(150.0 < strap.length < 450.0 for strap in straps)
    assert result.worn[0].mesh.vertices[:, 1].min() < form.landmarks["brow"][1]


def test_the_way_behind_a_round_limb_is_half_its_girth() -> None:
    turn = np.linspace(0.0, 2.0 * np.pi, 720, endpoint=False)
    round_limb = np.column_stack([50.0 * np.cos(turn), 50.0 * np.sin(turn), np.zeros(720)])
    ends = np.array([[50.0, 0.0, 0.0], [-50.0, 0.0, 0.0]])
    assert length_behind(round_limb, ends, np.array([0.0, -1.0])) == pytest.approx(50.0 * np.pi, rel=1e-3)


def test_what_holds_no_head_is_refused() -> None:
    bar = as_mesh(trimesh.creation.box((300.0, 8.0, 8.0)).subdivide().subdivide())
    with pytest.raises(DraftError, match="holds no head at any size"):
        shell_of(bar, unit="mm", on="over_head")
    with pytest.raises(DraftError, match="head girth is not known"):
        shell_of(egg(), unit="mm", on="over_head", model_head="56 cm")
