"""How woven garments lie on the standing wearer: as drafted, and over close cloth worn beneath."""

from __future__ import annotations

import knit_requests
import numpy as np
import pytest
from scipy.spatial import cKDTree
from woven_requests import body, draft, sitting_and_standing

from layfigure.body.form import Form
from layfigure.draft.woven.beside_arms import beside_the_arms
from layfigure.draft.woven.worn_collar import neckline_of
from layfigure.geometry.polyline import length, resample
from layfigure.geometry.taut_line import Skin
from layfigure.pipeline.collisions import LIMIT, Sheet

WHO = ("woman", "man", "seated")


def form_named(who: str) -> Form:
    return sitting_and_standing()[0] if who == "seated" else body(who)


@pytest.mark.parametrize("who", WHO)
def test_a_bodice_with_sleeves_lies_over_a_knit_top(who: str) -> None:
    form = form_named(who)
    top = knit_requests.draft(form, options={"garment": "top", "sleeves": True})
    bodice = draft({"garment": "bodice", "sleeves": True}, form=form)
    below = Sheet.of([each.mesh for each in top.worn_on(form)], Skin.of(form.standing))
    places = np.concatenate([each.mesh.vertices for each in bodice.worn_on(form)])
    depth, _ = below.depth(places)
    assert depth.max() < LIMIT
    # Off the arms, where hollows are spanned, it is clear of the knit.
    inward = np.abs(places[:, 0]) < 0.6 * abs(form.landmarks["armpit_left"][0])
    assert depth[inward].max() < 1.5


def test_cloth_on_a_hanging_arm_gives_way_to_the_trunk_beside_it() -> None:
    form = body("man")
    room, skin = beside_the_arms(form), Skin.of(form.standing)
    near = np.isfinite(room)
    assert 50 < near.sum() < 0.3 * len(room)
    assert (room[near] >= 0.0).all()
    # Along the way out, what is across is met no sooner than after twice the room, but for how it turns.
    rows = skin.rows[near[skin.rows]]
    out = skin.normals[near[skin.rows]]
    far = room[rows] > 2.0
    moved = form.standing.vertices[rows] + 0.9 * room[rows, None] * out
    assert np.median(skin.near(moved[far])[2] / room[rows][far]) == pytest.approx(0.9, abs=0.1)


@pytest.mark.parametrize("who", WHO)
def test_a_worn_bodice_ends_at_the_neckline_it_is_drafted_with(who: str) -> None:
    bodice = draft({"garment": "bodice", "closure": "back_zip"}, form=form_named(who))
    drawn = length(neckline_of(bodice.worn[0].mesh), closed=True)
    panels = [piece for piece in bodice.pieces if "facing" not in piece.slug]
    cut = sum(edge.length for piece in panels for edge in piece.edges if edge.slug.startswith("neck"))
    assert drawn == pytest.approx(cut, rel=0.03)


@pytest.mark.parametrize("who", WHO)
@pytest.mark.parametrize("collar", ["stand", "stand_and_fall"])
def test_a_woven_collar_stands_on_its_neckline_and_leans_in_as_it_is_cut(who: str, collar: str) -> None:
    form = form_named(who)
    options = {"garment": "bodice", "closure": "back_zip", "collar": collar, "collar_height": "4 cm"}
    result = draft(options, form=form)
    worn = {surface.name: surface.mesh for surface in result.worn}
    assert ("piece_collar_fall" in worn) is (collar == "stand_and_fall")
    neckline, skin = neckline_of(worn["piece"]), Skin.of(form.standing)
    lower, upper = rims(worn["piece_collar_stand"].vertices, 72)
    assert cKDTree(resample(neckline, 600, closed=True)).query(lower)[0].max() < 1.0
    assert np.linalg.norm(upper.mean(axis=0) - lower.mean(axis=0)) == pytest.approx(40.0, abs=8.0)
    (stand,) = [piece for piece in result.pieces if piece.slug == "piece_collar_stand"]
    cut = [total.length for total in stand.totals]
    assert length(lower, closed=True) == pytest.approx(cut[0], rel=0.04)
    # Where the neck stands out further than the stand leans in, it is drawn longer than it is cut.
    assert cut[1] * 0.97 < length(upper, closed=True) < length(lower, closed=True) * 1.02
    assert skin.near(worn["piece_collar_stand"].vertices)[2].min() > 0.5
    if collar == "stand_and_fall":
        edge, top = rims(worn["piece_collar_fall"].vertices, 72)
        assert np.abs(top - upper).max() < 1e-9
        assert (edge[:, 2] < lower[:, 2] + 2.0).all()
        assert Skin.of(worn["piece"]).near(edge)[2].min() > 3.0


def rims(places: np.ndarray, columns: int) -> tuple[np.ndarray, np.ndarray]:
    """First and last row of a mesh of closed rows."""
    return places[:columns], places[-columns:]
