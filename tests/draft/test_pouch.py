"""Pouches: what must fit fits, and every seam of the shell closes."""

from __future__ import annotations

import itertools
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hanging_bodies import FOAM, HIDE, WOOL, ask, line_at, proper, turned_body
from hypothesis import given, settings
from hypothesis import strategies as st

from layfigure.draft.pouch.contents import Content, Inside, room_around
from layfigure.draft.pouch.kind import KIND
from layfigure.errors import DraftError
from layfigure.piece.seam_allowance import cut_line

BODY = turned_body([(1300.0, 160.0), (1000.0, 100.0), (800.0, 150.0), (5.0, 150.0)])
PHONE = {"name": "telephone", "length": "150 mm", "width": "75 mm", "thickness": "9 mm"}
BOTTLE = {"name": "bottle", "length": "200 mm", "diameter": "65 mm"}
CARDS = {"name": "cards", "length": "60 mm", "width": "90 mm", "thickness": "20 mm"}
BRUSHES = [
    {"name": "fine brush", "count": 5, "length": "180 mm", "diameter": "6 mm"},
    {"name": "flat brush", "count": 2, "length": "220 mm", "width": "25 mm", "thickness": "8 mm"},
    {"name": "big brush", "length": "240 mm", "diameter": "15 mm"},
]


@pytest.mark.parametrize("form", ["box", "flat", "roll"])
@pytest.mark.parametrize("flap", ["0 %", "40 %"])
def test_every_seam_closes(form: str, flap: str, tmp_path: Path) -> None:
    contents = BRUSHES if form == "roll" else [PHONE, BOTTLE]
    result = ask(KIND, BODY, {}, {"form": form, "contents": contents, "flap": flap}, cloth=HIDE,
                 cloths={"lining": "silk"})  # fmt: skip
    proper(result.pieces, tmp_path)
    assert all(check.passed for check in result.checks)
    assert result.items
    assert {piece.cloth for piece in result.pieces} == {"hide", "silk"}


def test_a_box_has_the_size_of_what_lies_in_it_side_by_side() -> None:
    options = {"contents": [PHONE, BOTTLE], "arrangement": "row", "clearance": "5 mm"}
    front, strip, back, _ = ask(KIND, BODY, {}, options, cloth=HIDE).pieces
    # 75 + 65 across, 65 front to back, 200 high; room, and half the 2 mm sheet on either side.
    width, depth, height = 140.0 + 7.0, 65.0 + 7.0, 200.0 + 7.0
    assert front.edge("bottom").length == pytest.approx(width)
    assert front.edge("left").length == pytest.approx(height)
    assert strip.edge("left_end").length == pytest.approx(depth)
    assert strip.totals[0].length == pytest.approx(width + 2.0 * height)
    assert np.ptp(back.stitch_line[:, 1]) == pytest.approx(height + depth + 0.4 * height)


def test_foam_is_cut_to_its_outer_face_and_mitred(tmp_path: Path) -> None:
    result = ask(KIND, BODY, {}, {"contents": [PHONE], "clearance": "5 mm", "loops": 0}, cloth=FOAM)
    proper(result.pieces, tmp_path)
    front = result.pieces[0]
    # Outside a box is larger than inside by two thicknesses: 75 + 5 + 10.
    assert np.ptp(cut_line(front.edges)[:, 0]) == pytest.approx(90.0, abs=0.01)
    assert any("45 degrees" in line for line in front.note)


def test_the_smaller_footprint_is_chosen() -> None:
    thin = {"name": "cards", "count": 3, "length": "90 mm", "width": "60 mm", "thickness": "5 mm"}
    front, strip, *_ = ask(KIND, BODY, {}, {"contents": [thin], "clearance": "0 mm"}, cloth=HIDE).pieces
    side_by_side = ask(
        KIND, BODY, {}, {"contents": [thin], "clearance": "0 mm", "arrangement": "row"}, cloth=HIDE
    ).pieces
    footprint = front.edge("bottom").length * strip.edge("left_end").length
    assert footprint <= side_by_side[0].edge("bottom").length * side_by_side[1].edge("left_end").length + 1e-6


def test_a_flat_pouch_goes_round_what_is_in_it() -> None:
    front = ask(
        KIND, BODY, {}, {"form": "flat", "contents": [PHONE], "clearance": "4 mm"}, cloth=WOOL
    ).pieces[0]
    # Two layers sewn at both sides: a tape round the slab is 2 (75 + 9).
    inside = 2.0 * (front.edge("bottom").length - WOOL.thickness)
    assert inside == pytest.approx(2.0 * (75.0 + 9.0) + 4.0 * 4.0)


@given(st.floats(3.0, 30.0), st.integers(1, 12), st.floats(0.0, 10.0))
@settings(max_examples=25, deadline=None)
def test_pockets_of_a_roll_hold_a_tape_round_each_brush(diameter: float, count: int, room: float) -> None:
    brush = {"name": "brush", "count": count, "length": "200 mm", "diameter": f"{diameter:.6f} mm"}
    options = {"form": "roll", "contents": [brush], "clearance": f"{room:.6f} mm"}
    pockets = ask(KIND, BODY, {}, options, cloth=WOOL).pieces[1]
    stitched = [line.curve[0, 0] for line in pockets.lines if line.kind == "stitch"]
    assert len(stitched) == count + 1
    # Two layers between stitch lines: twice the width is a tape round the brush, with room.
    for a, b in itertools.pairwise(stitched):
        assert 2.0 * (b - a) == pytest.approx(math.pi * diameter + 2.0 * room + 4.0 * 0.9, abs=1e-4)


def test_a_belt_passes_the_loops() -> None:
    options = {
        "contents": [PHONE],
        "belt_width": "55 mm",
        "belt_thickness": "3 mm",
        "loops": 3,
        "loop_width": "2 cm",
    }
    loop = ask(KIND, BODY, {}, options, cloth=HIDE).pieces[-1]
    assert loop.count == 3
    assert loop.totals[2].length > 55.0 + 2.0 * 3.0
    back = ask(KIND, BODY, {}, options, cloth=HIDE).pieces[2]
    marks = [line for line in back.lines if line.kind == "placement"]
    assert len(marks) == 6
    heights = sorted({float(line.curve[0, 1]) for line in marks})
    assert heights[1] - heights[0] == pytest.approx(loop.totals[2].length)


def loops_of(options: dict[str, Any]) -> tuple[list[np.ndarray], np.ndarray, Any]:
    """Marks of the loops on the back, the loop's own marks, and the back."""
    pieces = {piece.slug: piece for piece in ask(KIND, BODY, {}, options, cloth=HIDE).pieces}
    back, loop = pieces["thing_back"], pieces["thing_loop"]
    marks = [line.curve for line in back.lines if line.kind == "placement"]
    sewn = np.array(sorted(line.curve[0, 0] for line in loop.lines if line.kind == "stitch"))
    ends = np.array([0.0, loop.totals[0].length])
    return marks, np.abs(sewn - ends), back


@given(
    st.floats(20.0, 200.0), st.floats(17.0, 200.0), st.floats(10.0, 90.0), st.integers(1, 6),
    st.sampled_from(["box", "flat"]),
)  # fmt: skip
@settings(max_examples=40, deadline=None)
def test_all_that_is_sewn_of_a_loop_lies_on_the_back_and_on_no_other_loop(
    height: float, width: float, belt: float, count: int, form: str
) -> None:
    options = {
        "form": form, "inside_width": f"{width} mm", "inside_height": f"{height} mm", "inside_depth": "20 mm",
        "belt_width": f"{belt} mm", "loops": count,
    }  # fmt: skip
    marks, tabs, back = loops_of(options)
    below = any("hangs below" in line for piece in ask(KIND, BODY, {}, options, cloth=HIDE).pieces
                for line in piece.note)  # fmt: skip
    tall, broad = back.totals[2].length, back.edge("bottom").length
    tab = float(tabs[0])
    heights = [mark[0, 1] for mark in marks]
    # Sewn above and below a belt, ends reach on past both rows; below it, both lie between them.
    assert max(heights) + (0.0 if below else tab) <= tall
    assert min(heights) - (0.0 if below else tab) >= 0.0
    assert below == (tall < belt + 8.0 + 6.0 + 30.0)
    sides = sorted({(float(mark[0, 0]), float(mark[1, 0])) for mark in marks})
    assert sides[0][0] >= 0.0
    assert sides[-1][1] <= broad
    assert all(a[1] <= b[0] for a, b in itertools.pairwise(sides))


def test_a_pouch_too_low_for_its_belt_hangs_below_it_and_says_so() -> None:
    line = {"line": line_at(BODY, "belt", 950.0)}
    result = ask(KIND, BODY, line, {"contents": [CARDS], "belt_width": "50 mm"}, cloth=HIDE)
    loop = result.pieces[-1]
    # Right round a belt of 50 x 4 mm at the least, and room.
    assert 2.0 * (50.0 + 4.0) < loop.totals[2].length < 2.0 * (50.0 + 4.0) + 40.0
    assert any("hangs below the belt" in words for words in result.pieces[0].note)
    # Its top is below the lower edge of the belt.
    assert result.worn[0].mesh.vertices[:, 2].max() < 950.0 - 25.0
    high = ask(KIND, BODY, line, {"contents": [PHONE], "belt_width": "50 mm"}, cloth=HIDE)
    assert high.worn[0].mesh.vertices[:, 2].max() > 950.0 + 25.0
    assert not any("hangs below" in words for words in high.pieces[0].note)
    lower = ask(KIND, BODY, line, {"contents": [PHONE], "hangs": "below_belt"}, cloth=HIDE)
    assert any("hangs below the belt" in words for words in lower.pieces[0].note)


def test_a_narrow_back_has_as_many_loops_as_it_has_room_for() -> None:
    thing = {"name": "brush", "length": "150 mm", "diameter": "15 mm"}
    pieces = ask(KIND, BODY, {}, {"contents": [thing]}, cloth=HIDE).pieces
    assert pieces[-1].count == 1
    assert pieces[-1].totals[1].length == pytest.approx(pieces[2].edge("bottom").length - 10.0)
    assert any("There is room for one belt loop" in line for line in pieces[0].note)


@given(*[st.floats(5.0, 100.0)] * 6)
def test_what_is_said_to_fit_fits_in_some_turn(
    a: float, b: float, c: float, w: float, d: float, h: float
) -> None:
    thing = Content(name="x", breadth=a, depth=b, height=c, round=False)
    room = room_around(thing, Inside(width=w, depth=d, height=h), soft=False)
    # Sorted against sorted decides for boxes that stay square to each other.
    fits = all(s <= r for s, r in zip(sorted((a, b, c)), sorted((w, d, h)), strict=True))
    assert (room >= 0.0) == fits


def test_a_thing_that_does_not_go_in_is_named() -> None:
    options = {
        "contents": [BOTTLE],
        "inside_width": "60 mm",
        "inside_depth": "60 mm",
        "inside_height": "210 mm",
    }
    result = ask(KIND, BODY, {}, options, cloth=HIDE)
    (check,) = [check for check in result.checks if not check.passed]
    assert "bottle" in check.what
    assert check.value == pytest.approx(-5.0)
    assert result.pieces[0].verdict.level == "paper"


@pytest.mark.parametrize("at", ["front", "left", "back", "right"])
@pytest.mark.parametrize("form", ["box", "roll"])
def test_it_hangs_on_the_belt_outside_the_body(at: str, form: str) -> None:
    line = {"line": line_at(BODY, "belt", 950.0)}
    contents = BRUSHES if form == "roll" else [PHONE]
    (worn,) = ask(KIND, BODY, line, {"form": form, "contents": contents, "at": at}, cloth=HIDE).worn
    vertices = worn.mesh.vertices
    assert np.linalg.norm(vertices[:, :2], axis=1).min() > 99.0
    axis, sign = {"front": (1, -1.0), "back": (1, 1.0), "left": (0, 1.0), "right": (0, -1.0)}[at]
    assert sign * vertices[:, axis].mean() > 100.0
    # Faces look outward: the signed volume is the solid's own.
    a, b, c = (vertices[worn.mesh.faces[:, k]] for k in range(3))
    assert np.einsum("ij,ij->i", a, np.cross(b, c)).sum() > 0.0


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({}, "what must fit"),
        ({"form": "roll"}, "what lies in its pockets"),
        (
            {"contents": [{"name": "x", "length": "10 mm", "diameter": "5 mm"}], "clearance": "1 mm"},
            "too small to sew",
        ),
        ({"contents": [CARDS], "hangs": "on_belt"}, "too low for loops"),
        (
            {"contents": [{"name": "x", "length": "10 mm", "width": "5 mm"}]},
            "width and thickness, or diameter",
        ),
    ],
)
def test_what_cannot_be_is_refused(options: dict[str, Any], words: str) -> None:
    with pytest.raises(DraftError, match=words):
        ask(KIND, BODY, {}, options, cloth=HIDE)
