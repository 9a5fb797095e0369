"""Worn surfaces held against each other: nested spheres, a seeded overlap, an arm beside a pouch."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.design.design import PieceStatement
from layfigure.draft.registry import Check, DraftResult
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.taut_line import Skin
from layfigure.geometry.tube import rows_mesh
from layfigure.piece.worn import HANGS, WornSurface
from layfigure.pipeline.collisions import LIMIT, Sheet, collision_checks, with_checks
from layfigure.pipeline.shown import CLEAR, shown_surfaces

SKIN = 100.0
"""Radius of the round body [mm]."""


def sphere(radius: float, *, low: float = -0.98, high: float = 0.98, count: int = 48) -> TriangleMesh:
    """Between two heights, as shares of the radius."""
    height = np.linspace(low, high, count // 2)
    angle = np.linspace(0.0, 2.0 * np.pi, count, endpoint=False)
    wide = np.sqrt(1.0 - height**2)
    rows = np.stack(
        [
            wide[:, None] * np.cos(angle),
            wide[:, None] * np.sin(angle),
            np.broadcast_to(height[:, None], (len(height), count)),
        ],
        axis=-1,
    )
    return rows_mesh(radius * rows, closed=True)


def body(region: str = "torso") -> Form:
    mesh = sphere(SKIN)
    return Form(
        wearer="test",
        standing=mesh,
        drafting=mesh,
        charts={},
        drafting_charts={},
        region_names=(region,),
        face_region=np.zeros(len(mesh.faces), dtype=np.int64),
        level_heights={},
        landmarks={},
        measures={},
        estimated=frozenset(),
        spreads={},
    )


def piece(slug: str, layer: int) -> PieceStatement:
    return PieceStatement(slug=slug, kind="test", cloth="cloth", layer=layer)


def draft(slug: str, mesh: TriangleMesh) -> DraftResult:
    return DraftResult(pieces=(), worn=(WornSurface(name=slug, mesh=mesh),))


def checked(inner: TriangleMesh, outer: TriangleMesh, *, layer: int = 2) -> dict[str, Check]:
    pieces = [piece("under", 1), piece("over", layer)]
    drafts = {"under": draft("under", inner), "over": draft("over", outer)}
    return collision_checks(pieces, drafts, body(), {})


def test_cloth_that_hangs_lies_down_under_what_is_tied_over_it() -> None:
    pieces = [piece("under", 1), piece("over", 2)]
    hanging = DraftResult(
        pieces=(), worn=(WornSurface(name="under", mesh=sphere(140.0, high=0.2), gives=HANGS),)
    )
    belt = draft("over", sphere(112.0, low=-0.1, high=0.1))
    assert not checked(sphere(140.0, high=0.2), sphere(112.0, low=-0.1, high=0.1))["over"].passed
    assert collision_checks(pieces, {"under": hanging, "over": belt}, body(), {})["over"].passed
    # Its collar does not: it stands.
    collar = replace(hanging, worn=(*hanging.worn, WornSurface(name="collar", mesh=sphere(140.0, high=0.2))))
    assert not collision_checks(pieces, {"under": collar, "over": belt}, body(), {})["over"].passed


def test_a_garment_lies_down_by_its_ease() -> None:
    pieces = [piece("under", 1), piece("over", 2)]
    over = draft("over", sphere(112.0))

    def value(gives: float) -> float:
        under = DraftResult(pieces=(), worn=(WornSurface(name="under", mesh=sphere(120.0), gives=gives),))
        return collision_checks(pieces, {"under": under, "over": over}, body(), {})["over"].value

    assert value(0.0) == pytest.approx(8.0, abs=0.2)
    assert value(5.0) == pytest.approx(3.0, abs=0.2)
    assert value(9.0) == 0.0


def moved(mesh: TriangleMesh, by: NDArray[np.float64]) -> TriangleMesh:
    return TriangleMesh(mesh.vertices + by, mesh.faces)


def test_a_larger_sphere_over_a_smaller_one_passes() -> None:
    check = checked(sphere(110.0), sphere(120.0))["over"]
    assert check.passed
    assert check.value == 0.0


@pytest.mark.parametrize("turned", [False, True])
def test_a_smaller_sphere_over_a_larger_one_lies_as_deep_as_they_differ(turned: bool) -> None:
    inner = sphere(120.0)
    if turned:
        inner = TriangleMesh(inner.vertices, inner.faces[:, ::-1])
    check = checked(inner, sphere(112.0))["over"]
    assert not check.passed
    # Facets of the larger sphere lie up to 1.3 mm within it.
    assert check.value == pytest.approx(8.0, abs=1.3)
    assert "100.0 % of it" in check.what
    assert "under" in check.advice
    assert "move one of the two" in check.advice


def test_a_seeded_overlap_is_found_with_its_share_and_depth() -> None:
    """A sphere moved aside by 16 mm over one 10 mm smaller."""
    check = checked(sphere(110.0), moved(sphere(120.0), np.array([16.0, 0.0, 0.0])))["over"]
    assert check.value == pytest.approx(6.0, abs=1.3)
    share = float(check.what.split("(")[1].split(" %")[0])
    places = sphere(120.0).vertices + np.array([16.0, 0.0, 0.0])
    exact = 100.0 * float((np.linalg.norm(places, axis=1) < 110.0).mean())
    assert share == pytest.approx(exact, abs=4.0)
    assert check.passed is (check.value <= LIMIT)


def test_a_shallow_overlap_passes_and_says_how_deep() -> None:
    check = checked(sphere(120.0), sphere(117.0))["over"]
    assert check.passed
    assert 0.0 < check.value <= LIMIT
    assert check.advice == ""


@pytest.mark.parametrize(("inner", "outer"), [(120.0, 112.0), (112.0, 120.0)])
def test_of_one_layer_one_may_lie_wholly_over_the_other(inner: float, outer: float) -> None:
    assert checked(sphere(inner), sphere(outer), layer=1) == {}


def test_of_one_layer_neither_may_pass_through_the_other() -> None:
    """Equal spheres 16 mm apart: each is up to 16 mm inside the other, at the ends of the line of centres."""
    check = checked(sphere(120.0), moved(sphere(120.0), np.array([16.0, 0.0, 0.0])), layer=1)["over"]
    assert not check.passed
    assert check.value == pytest.approx(16.0, abs=1.3)
    assert "of the same layer" in check.what
    assert "higher layer" in check.advice


def test_of_one_layer_a_shallow_crossing_is_not_told() -> None:
    assert checked(sphere(120.0), moved(sphere(120.0), np.array([4.0, 0.0, 0.0])), layer=1) == {}


def test_what_lies_beside_a_surface_is_not_under_it() -> None:
    """A cap, and a ring lower and narrower than the cap goes on to be."""
    check = checked(sphere(120.0, low=0.5), sphere(112.0, low=-0.3, high=0.3))["over"]
    assert check.value == 0.0


def test_an_arm_gives_way_unless_the_piece_covers_it() -> None:
    form = body("forearm_left")
    pieces = [piece("under", 1), piece("over", 2)]
    drafts = {"under": draft("under", sphere(120.0)), "over": draft("over", sphere(112.0))}
    assert collision_checks(pieces, drafts, form, {})["over"].value == 0.0
    covered = {"over": {"forearm_left": 1.0}}
    assert not collision_checks(pieces, drafts, form, covered)["over"].passed


def test_a_band_on_an_arm_gives_way_beside_the_trunk() -> None:
    pieces = [piece("under", 1), piece("over", 2)]
    drafts = {"under": draft("under", sphere(120.0)), "over": draft("over", sphere(112.0))}
    band = {"upper_arm_left": 1.0}
    form = body("upper_arm_left")

    def passed(under: dict[str, float], over: dict[str, float]) -> bool:
        return collision_checks(pieces, drafts, form, {"under": under, "over": over})["over"].passed

    assert passed({"torso": 1.0}, band)
    assert not passed({"torso": 1.0, "upper_arm_left": 1.0}, band), "a sleeve"
    assert not passed({}, band), "nobody knows where it lies"
    assert not passed({"torso": 1.0}, band | {"torso": 1.0}), "a shoulder cap"


def test_a_closed_surface_holds_what_is_in_it_wherever_it_hangs() -> None:
    ball = sphere(30.0, low=-1.0, high=1.0)
    sheet = Sheet.of([moved(ball, np.array([200.0, 0.0, 0.0]))], Skin.of(sphere(SKIN)))
    depth, _ = sheet.depth(np.array([[180.0, 0.0, 0.0], [220.0, 0.0, 0.0], [160.0, 0.0, 0.0]]))
    assert depth == pytest.approx([10.0, 10.0, 0.0], abs=0.4)


def test_checks_come_last_and_only_where_there_is_something_below() -> None:
    drafts = {"under": draft("under", sphere(110.0)), "over": draft("over", sphere(120.0))}
    checks = collision_checks([piece("under", 1), piece("over", 2)], drafts, body(), {})
    result = with_checks(drafts, checks)
    assert result["under"].checks == ()
    assert result["over"].checks[-1].what.startswith("over: ")


def test_pictures_show_no_skin_through_coarse_cloth() -> None:
    """Few facets round the sphere cut 2.5 mm into the skin between their corners; shown, they do not."""
    form = body()
    coarse = sphere(101.0, count=14)
    drafts = {"over": draft("over", coarse)}
    skin = Skin.of(form.standing)
    before = skin.near(coarse.vertices[coarse.faces].mean(axis=1))[2]
    assert before.min() < -1.0
    shown = shown_surfaces([piece("over", 1)], drafts, form)["over"][0].mesh
    after = skin.near(shown.vertices[shown.faces].mean(axis=1))[2]
    assert after.min() > 0.5 * CLEAR
    assert np.linalg.norm(shown.vertices - coarse.vertices, axis=1).max() < 12.0
    assert drafts["over"].worn[0].mesh is coarse


def test_pictures_leave_a_deep_overlap_to_be_seen() -> None:
    drafts = {"under": draft("under", sphere(130.0)), "over": draft("over", sphere(112.0))}
    shown = shown_surfaces([piece("under", 1), piece("over", 2)], drafts, body())
    assert np.allclose(shown["over"][0].mesh.vertices, sphere(112.0).vertices)
    nearly = {**drafts, "over": draft("over", sphere(127.0))}
    lifted = shown_surfaces([piece("under", 1), piece("over", 2)], nearly, body())["over"][0].mesh
    assert float(np.linalg.norm(lifted.vertices, axis=1).min()) > 129.0


def test_a_form_is_not_changed() -> None:
    form = body()
    kept = replace(form).standing.vertices.copy()
    shown_surfaces([piece("over", 1)], {"over": draft("over", sphere(101.0, count=14))}, form)
    assert np.array_equal(form.standing.vertices, kept)
