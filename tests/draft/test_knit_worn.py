"""How close cloth lies on the standing body, and the elastic at its openings."""

from __future__ import annotations

import numpy as np
import pytest
from knit_requests import draft, lens, preset
from woven_requests import sitting_and_standing

from layfigure.body.form import Form
from layfigure.draft.knit.worn import LIFT, WornPanels
from layfigure.draft.registry import DraftResult
from layfigure.geometry.nearest_face import nearest_faces
from layfigure.geometry.polyline import length
from layfigure.geometry.taut_line import Skin
from layfigure.materials.opening import ELASTIC_OVERLAP
from layfigure.pipeline.collisions import LIMIT, Sheet
from layfigure.units import format_length


@pytest.fixture(scope="module")
def woman() -> Form:
    return preset("woman")


@pytest.fixture(scope="module")
def suit(woman: Form) -> DraftResult:
    edges = {"eye": lens("eye", "torso", 2.2, 0.06, 0.35, 0.045)}
    return draft(woman, edges=edges, windows=("eye",), backing="net", options={"garment": "bodysuit"})


def test_every_panel_lies_on_the_standing_skin_and_not_on_the_arms_of_the_drafting_pose(
    woman: Form, suit: DraftResult
) -> None:
    assert [w.name for w in suit.worn_on(woman)] == [
        "suit_front",
        "suit_front_backing",
        "suit_back",
        "suit_sleeve_left",
        "suit_sleeve_right",
    ]
    for worn in suit.worn_on(woman):
        assert len(worn.mesh.faces) <= 3000
        at = nearest_faces(woman.standing.vertices, woman.standing.faces, worn.mesh.vertices)
        # Only what bridges a hollow lies further off than it was lifted: between and under the breasts.
        assert np.median(at.distance) == pytest.approx(LIFT, abs=1.6)
        assert at.distance.max() < 45.0
        side = worn.name.rpartition("_")[2]
        if side in ("left", "right"):
            assert (np.sign(worn.mesh.vertices[:, 0]) == (1.0 if side == "left" else -1.0)).all()


def test_a_window_is_open_and_its_backing_is_whole(woman: Form, suit: DraftResult) -> None:
    worn = suit.worn_on(woman)
    front, behind = worn[0].mesh, worn[1].mesh
    assert len(front.boundary_loops()) == 2
    assert len(behind.boundary_loops()) == 1
    assert worn[1].cloth == "net"
    hole = front.vertices[front.boundary_loops()[1]]
    (window,) = suit.pieces[0].windows
    assert window.worn is not None
    assert length(hole, closed=True) == pytest.approx(length(window.worn, closed=True), rel=0.05)


def test_a_pair_is_shown_on_both_sides(woman: Form) -> None:
    result = draft(woman, options={"garment": "leggings"})
    left, right = (
        next(w.mesh for w in result.worn_on(woman) if w.name == f"suit_front_{s}") for s in ("left", "right")
    )
    assert left.vertices * (-1.0, 1.0, 1.0) == pytest.approx(right.vertices)
    # Seen from outside both are counter-clockwise: a front's faces look forward (y is to the back).
    for mesh in (left, right):
        assert (mesh.face_normals()[:, 1] * mesh.face_areas()).sum() < 0.0


def test_leg_elastic_is_as_long_as_the_front_edge_and_three_quarters_of_the_back(suit: DraftResult) -> None:
    # craftandfabriclinks.com, elastic instructions: swim-type leg, front 1:1, back 3/4, 1/2 in overlap.
    front, back = (next(p for p in suit.pieces if p.slug == f"suit_{part}") for part in ("front", "back"))
    item = next(item for item in suit.items if item.use.startswith("left leg opening"))
    expected = front.edge("leg_left").length + 0.75 * back.edge("leg_left").length + 12.7
    assert item.length == pytest.approx(expected)
    assert any(f"cut elastic {format_length(expected)} long" in line for line in front.note)


def test_waist_elastic_is_nine_tenths_of_the_waist_it_lies_on(woman: Form) -> None:
    result = draft(woman, options={"garment": "leggings"})
    (item,) = result.items
    girth = float(woman.drafting_charts["torso"].girth(3.0)[()])
    assert item.length == pytest.approx(0.9 * girth + ELASTIC_OVERLAP, rel=0.01)
    assert item.slug == "elastic_20mm"


def test_edges_left_raw_are_said_and_get_no_elastic_and_no_allowance(woman: Form) -> None:
    result = draft(woman, options={"garment": "leggings", "waist": "raw", "hem": "raw"})
    assert result.items == ()
    front = result.pieces[0]
    assert front.edge("hem").allowance == 0.0
    assert any("Left raw, as a knit does not fray: upper edge, left hem" in line for line in front.note)


def test_a_bodysuit_over_leggings_lies_outside_them_and_the_skin_between_the_legs_of_who_sits() -> None:
    form, _ = sitting_and_standing()
    leggings = draft(form, options={"garment": "leggings"})
    suit = draft(form, options={"garment": "bodysuit", "seams": "plain"})
    body = Skin.of(form.standing)
    below = Sheet.of([each.mesh for each in leggings.worn_on(form)], body)
    depth, _ = below.depth(np.concatenate([each.mesh.vertices for each in suit.worn_on(form)]))
    assert depth.max() < LIMIT
    # Cloth in the creases beside what is round between the legs does not draw what is there into the body.
    seated = Skin.of(form.drafting)
    sunk, _ = Sheet.of([form.drafting], seated).depth(drafted_places(suit))
    assert sunk.max() < 3.5


def test_a_stand_collar_stands_up_from_the_neckline_round_the_neck(woman: Form) -> None:
    options = {"garment": "top", "neckline": "stand", "collar_height": "5 cm", "sleeves": False}
    result = draft(woman, options=options)
    (collar,) = [each for each in result.worn_on(woman) if each.name == "suit_collar"]
    (cut,) = [each for each in result.pieces if each.slug == "suit_collar"]
    upper, lower = (collar.mesh.vertices[row] for row in collar.mesh.boundary_loops())
    if upper[:, 2].mean() < lower[:, 2].mean():
        upper, lower = lower, upper
    # Its cloth is cut smaller than the neckline on the body by the ease, 15 % round it at most.
    flat = sum(edge.length for edge in cut.edges if edge.slug.startswith("neck_"))
    assert 1.0 < length(lower, closed=True) / flat < 1.18
    assert np.linalg.norm(upper.mean(axis=0) - lower.mean(axis=0)) == pytest.approx(50.0, abs=8.0)
    skin = Skin.of(woman.standing)
    assert skin.near(collar.mesh.vertices)[2].min() > LIFT - 1.0
    # Seen from outside its faces look outward.
    middle = collar.mesh.vertices.mean(axis=0)
    outward = (collar.mesh.face_corners().mean(axis=1) - middle) * collar.mesh.face_normals()
    assert (outward[:, :2].sum(axis=1) > 0.0).mean() > 0.95


def drafted_places(result: DraftResult) -> np.ndarray:
    """Places of a close knit's panels in the drafting pose."""
    assert isinstance(result.wearing, WornPanels)
    return np.concatenate([panel.places for panel in result.wearing.panels])
