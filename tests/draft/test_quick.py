"""One piece from a few tapes: what the tapes say must be on the paper, and assumptions in the verdict."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from layfigure.draft.quick.limb import limb_form, oval
from layfigure.draft.quick.limb_pieces import LIMB_PIECES
from layfigure.draft.quick.piece import quick_piece, quick_recipes
from layfigure.draft.registry import find_kind
from layfigure.errors import DraftError, MeasureError, MeasureMissing
from layfigure.geometry.polyline import length
from layfigure.materials.cloth import Cloth

TAPES = {
    "forearm_guard": {"wrist_girth": 165.0, "forearm_girth": 260.0, "forearm_length": 250.0},
    "upper_arm_band": {"upper_girth": 300.0, "lower_girth": 280.0, "band_height": 60.0},
    "thigh_band": {"upper_girth": 560.0, "lower_girth": 480.0, "band_height": 120.0},
    "shin_guard": {"ankle_girth": 220.0, "calf_girth": 370.0, "shin_length": 400.0},
    "belt": {"upper_girth": 760.0, "belt_girth": 800.0, "lower_girth": 850.0},
}
FLAT_TAPES = {
    "circle_skirt": {"waist_girth": 26.0 * 25.4, "skirt_length": 600.0},
    "cape": {"neck_base_girth": 400.0, "cape_length": 900.0},
    "ruffle": {"edge_length": 500.0, "ruffle_depth": 80.0},
    "hanging_panel": {"panel_width": 180.0, "panel_length": 700.0},
    "sash": {"sash_girth": 800.0, "sash_width": 150.0},
    "pouch": {"thing_length": 150.0, "thing_width": 75.0, "thing_thickness": 9.0},
}
CARD = Cloth(slug="card", kind="paper", name="card", width=700.0, areal_mass=200.0, tested=True)


def test_every_quick_kind_is_tried_here() -> None:
    assert set(TAPES) == set(LIMB_PIECES)
    assert set(TAPES) | set(FLAT_TAPES) <= set(quick_recipes())


@pytest.mark.parametrize("kind", TAPES)
def test_a_piece_comes_out_whole_and_is_never_trusted_at_once(kind: str) -> None:
    result = quick_piece(kind, TAPES[kind], cloth=CARD)
    for piece in result.pieces:
        assert Polygon(piece.stitch_line).is_valid
        assert piece.verdict.level == "scrap"
        assert any("taken for" in reason.why for reason in piece.verdict.reasons)
        assert len(piece.totals) == 3
    failed = [check.what for check in result.checks if not check.passed]
    assert all("slides" in what for what in failed)


@pytest.mark.parametrize("name", FLAT_TAPES)
def test_a_flat_piece_comes_out_whole_without_a_body(name: str) -> None:
    result = quick_piece(name, FLAT_TAPES[name])
    for piece in result.pieces:
        assert Polygon(piece.stitch_line).is_valid
        assert piece.verdict.level == "scrap"
        assert piece.note
    assert all(check.passed for check in result.checks)


def test_a_quick_skirt_has_the_published_radius() -> None:
    # Half a circle at waist 26 in: 8.276 in exactly, 8.2 as printed (prettyquirkypants.com 2014/03/07).
    options = {"circle": "half", "ease": "0 mm"}
    panels = quick_piece("circle_skirt", FLAT_TAPES["circle_skirt"], options).pieces
    assert np.linalg.norm(panels[0].edge("top").curve, axis=1) == pytest.approx(8.276 * 25.4, rel=1e-4)


def test_a_kind_brings_its_own_quick_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = find_kind("belt")
    kind = replace(whole, name="sling", quick=(replace(whole.quick[0], name="sling_belt"),))
    monkeypatch.setattr("layfigure.draft.quick.piece.known_kinds", lambda: {"belt": whole, "sling": kind})
    assert quick_piece("sling_belt", TAPES["belt"], cloth=CARD).pieces[0].kind == "sling"
    twice = replace(whole, name="again")
    monkeypatch.setattr("layfigure.draft.quick.piece.known_kinds", lambda: {"belt": whole, "again": twice})
    with pytest.raises(DraftError, match="made by two kinds"):
        quick_recipes()


@pytest.mark.parametrize("kind", ["upper_arm_band", "thigh_band"])
def test_a_band_is_the_cone_between_its_two_tapes(kind: str) -> None:
    tapes = TAPES[kind]
    (piece,) = quick_piece(kind, tapes, {"air": "0 mm"}, cloth=CARD).pieces
    # No thickness and no room: the edges are the tapes.
    assert piece.edge("top").length == pytest.approx(tapes["upper_girth"], rel=1e-3)
    assert piece.edge("bottom").length == pytest.approx(tapes["lower_girth"], rel=1e-3)
    assert piece.totals[2].length == pytest.approx(tapes["band_height"], rel=0.01)


def test_a_guard_reaches_the_wrist_with_room() -> None:
    (piece,) = quick_piece("forearm_guard", TAPES["forearm_guard"], {"air": "3 mm"}, cloth=CARD).pieces
    # 5 mm above the wrist, on the straight run from the fullest place at a quarter.
    girth = 165.0 + (260.0 - 165.0) * (5.0 / 250.0) / 0.75
    assert piece.edge("bottom").length == pytest.approx(girth + 2.0 * math.pi * 3.0, rel=0.012)


def test_a_contour_belt_from_three_tapes() -> None:
    piece = quick_piece("belt", TAPES["belt"], {"shape": "contour", "air": "0 mm"}, cloth=CARD).pieces[0]
    assert piece.totals[0].length == pytest.approx(802.0, abs=4.0)
    assert piece.totals[1].length < piece.totals[0].length < piece.totals[2].length


def test_a_point_in_front() -> None:
    piece = quick_piece("thigh_band", TAPES["thigh_band"], point=40.0, cloth=CARD).pieces[0]
    assert [edge.slug for edge in piece.edges if edge.slug.startswith("top")] == ["top_1", "top_2"]
    assert piece.totals[2].length == pytest.approx(120.0, rel=0.01)


@settings(max_examples=12, deadline=None)
@given(st.floats(140.0, 200.0), st.floats(1.1, 1.8), st.floats(200.0, 300.0), st.sampled_from([0.0, 25.0]))
def test_any_forearm_gives_a_guard(wrist: float, swell: float, reach: float, point: float) -> None:
    tapes = {"wrist_girth": wrist, "forearm_girth": wrist * swell, "forearm_length": reach}
    result = quick_piece("forearm_guard", tapes, point=point)
    assert all(check.passed for check in result.checks if "slides" not in check.what)


@given(st.floats(100.0, 1200.0), st.floats(0.6, 1.5))
@settings(deadline=None)
def test_an_oval_has_its_girth(girth: float, flat: float) -> None:
    points = oval(girth, flat)
    assert length(points, closed=True) == pytest.approx(girth)
    assert np.ptp(points[:, 0]) / np.ptp(points[:, 1]) == pytest.approx(flat, rel=2e-3)
    assert points[0, 0] == pytest.approx(0.0, abs=1e-9)  # starts in front
    assert points[0, 1] < 0.0


def test_the_body_reads_back_its_tapes() -> None:
    form = limb_form(LIMB_PIECES["shin_guard"], TAPES["shin_guard"])
    chart = form.charts["shank_left"]
    assert chart.girths.max() == pytest.approx(370.0, rel=2e-3)
    assert chart.girth([0.88])[0] == pytest.approx(220.0, rel=0.01)
    assert chart.height([0.0])[0] - chart.height([1.0])[0] == pytest.approx(400.0)


@pytest.mark.parametrize(
    ("kind", "tapes", "error", "words"),
    [
        (
            "forearm_guard",
            {"wrist_girth": 165.0, "forearm_girth": 260.0},
            MeasureMissing,
            "needs forearm_length",
        ),
        ("forearm_guard", {**TAPES["forearm_guard"], "wrist_girth": -3.0}, MeasureError, "not a size"),
        ("forearm_guard", {**TAPES["forearm_guard"], "wrist_girth": 16.5}, MeasureError, "no person has"),
        ("thigh_band", {**TAPES["thigh_band"], "lower_girth": 60.0}, MeasureError, "do not belong"),
        (
            "forearm_guard",
            {**TAPES["forearm_guard"], "knee": 300.0},
            MeasureError,
            "does not use the tape 'knee'",
        ),
        ("thigh_band", {**TAPES["thigh_band"], "band_height": 8.0}, MeasureError, "does not go with"),
        ("forearm_gard", TAPES["forearm_guard"], DraftError, "no quick piece"),
    ],
)
def test_tapes_that_cannot_be(kind: str, tapes: dict[str, float], error: type, words: str) -> None:
    with pytest.raises(error, match=words) as caught:
        quick_piece(kind, tapes)
    # A body's sizes never reach a message.
    assert not any(str(size) in str(caught.value) for size in tapes.values())
