"""How woven garments lie on the standing wearer: as drafted, and over close cloth worn beneath."""

from __future__ import annotations

import knit_requests
import numpy as np
import pytest
from woven_requests import body, draft, sitting_and_standing

from layfigure.body.form import Form
from layfigure.draft.woven.beside_arms import beside_the_arms
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
