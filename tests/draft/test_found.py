"""Things that are not cut: how printed parts scale and split, and what the shopping list gets."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hanging_bodies import ask, line_at, turned_body
from hypothesis import given
from hypothesis import strategies as st

from layfigure.draft.found.kind import KIND
from layfigure.draft.found.printed import fewest_parts, scale_for
from layfigure.errors import DraftError

BODY = replace(
    turned_body([(1300.0, 160.0), (1000.0, 100.0), (800.0, 150.0), (5.0, 150.0)]),
    measures={"head_girth": 577.0, "upper_arm_length_left": 300.0},
    estimated=frozenset({"upper_arm_length_left"}),
)
HELM = {"size": ["200 mm", "240 mm", "260 mm"], "fits": "head_girth", "model_fits": "580 mm"}


def test_a_bought_thing_is_one_line_of_the_list() -> None:
    things = [
        {"name": "Brass ring 30 mm", "count": 14, "mass": "12 g", "price": 0.8, "use": "on the cross strap"},
        {"name": "boots", "source": "altered", "alter": ["cut down to the ankle", "dye black"]},
    ]
    result = ask(KIND, BODY, {}, {"things": things})
    ring, boots = result.items
    assert (ring.slug, ring.count, ring.mass, ring.price) == ("brass_ring_30_mm", 14, 12.0, 0.8)
    assert boots.use == "Alter: cut down to the ankle; dye black."
    assert result.pieces == ()
    assert result.checks == ()


def test_a_girth_grows_by_a_whole_turn_of_the_room() -> None:
    assert scale_for(580.0, 580.0, 10.0, girth=True) == pytest.approx(1.0 + 20.0 * math.pi / 580.0)
    assert scale_for(300.0, 250.0, 5.0, girth=False) == pytest.approx(310.0 / 250.0)
    # A sphere of the scaled model clears a sphere of the measure by the room.
    factor = scale_for(2.0 * math.pi * 90.0, 2.0 * math.pi * 80.0, 6.0, girth=True)
    assert factor * 80.0 - 90.0 == pytest.approx(6.0)


@given(
    st.tuples(*[st.floats(10.0, 900.0)] * 3),
    st.tuples(*[st.floats(80.0, 400.0)] * 3),
    st.floats(0.0, 15.0),
)
def test_every_part_fits_on_the_bed_and_no_other_turn_needs_fewer(
    size: tuple[float, ...], bed: tuple[float, ...], margin: float
) -> None:
    split = fewest_parts(size, bed, margin)
    room = sorted((bed[0] - 2.0 * margin, bed[1] - 2.0 * margin, bed[2] - margin))
    part = sorted(s / n for s, n in zip(size, split.counts, strict=True))
    assert all(p <= r * (1.0 + 1e-6) for p, r in zip(part, room, strict=True))
    # By volume alone it cannot be fewer.
    assert split.parts >= math.prod(size) / math.prod(room) - 1e-6
    assert len(split.names()) == len(set(split.names())) == split.parts
    for axis, places in split.cuts():
        whole = size[("width", "depth", "height").index(axis)]
        edges = np.array([0.0, *places, whole])
        assert np.diff(edges) == pytest.approx(whole / (len(places) + 1))


def test_a_printed_helm_is_scaled_and_cut_in_named_parts() -> None:
    thing = {"name": "helm", "mass": "600 g", "printed": {**HELM, "clearance": "10 mm"}}
    result = ask(KIND, BODY, {}, {"things": [thing]})
    factor = (577.0 + 20.0 * math.pi) / 580.0
    # 222 x 266 x 288 on 210 x 210 x 245 of usable bed: turned, two ways must be cut.
    assert len(result.items) == 4
    assert "lower" in result.items[0].name or "left" in result.items[0].name
    assert f"{100.0 * factor:.1f} %" in result.items[0].use
    assert "mm from its" in result.items[0].use
    assert sum(item.mass or 0.0 for item in result.items) == pytest.approx(600.0 * factor**2)
    assert all(item.source == "printed" for item in result.items)
    assert all(check.passed for check in result.checks)


def test_what_will_not_print_well_is_said() -> None:
    far = {"name": "helm", "printed": {**HELM, "model_fits": "300 mm"}}
    assert any("model_fits" in check.advice for check in ask(KIND, BODY, {}, {"things": [far]}).checks)
    small = {"name": "helm", "printed": {**HELM, "bed": ["100 mm", "100 mm", "100 mm"]}}
    assert any("joins" in check.advice for check in ask(KIND, BODY, {}, {"things": [small]}).checks)
    arm = {"name": "guard", "printed": {**HELM, "fits": "upper_arm_length", "model_fits": "290 mm"}}
    assert any("guess" in check.advice for check in ask(KIND, BODY, {}, {"things": [arm]}).checks)


def test_it_is_shown_where_it_sits() -> None:
    edge = {"at": line_at(BODY, "spot", 950.0, start=0.23, end=0.27)}
    (worn,) = ask(KIND, BODY, edge, {"things": [{"name": "buckle", "size": ["60 mm", "8 mm", "40 mm"]}]}).worn
    middle = worn.mesh.vertices.mean(axis=0)
    assert middle[0] > 100.0
    assert abs(middle[1]) < 10.0
    assert middle[2] == pytest.approx(950.0, abs=5.0)
    assert worn.cloth == ""


@pytest.mark.parametrize(
    ("thing", "words"),
    [
        ({"printed": {**HELM, "model_fits": None}}, "model is made for"),
        ({"printed": {**HELM, "fits": "neck_girth"}}, "not known"),
        ({"printed": {**HELM, "fits": "head_grith"}}, "no measure 'head_grith'"),
        ({"printed": {**HELM, "margin": "40 mm", "bed": ["60 mm", "60 mm", "60 mm"]}}, "nothing of the bed"),
        ({"mass": "12"}, "no unit"),
    ],
)
def test_what_cannot_be_is_refused(thing: dict[str, Any], words: str) -> None:
    with pytest.raises(DraftError, match=words) as caught:
        ask(KIND, BODY, {}, {"things": [{"name": "helm", **thing}]})
    assert "577" not in str(caught.value)
