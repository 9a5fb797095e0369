"""Edges of windows: folded back with slits, or filled with a set-in piece."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from knit_requests import draft, faults, lens, preset

from layfigure.body.form import Form
from layfigure.draft.window.edge_finish import FOLD_BACK, folded_back
from layfigure.errors import DraftError
from layfigure.piece.piece import Window

EYE = {"eye": lens("eye", "torso", 2.2, 0.06, 0.35, 0.045)}
OPTIONS = {"garment": "top", "sleeves": False}


@pytest.fixture(scope="module")
def woman() -> Form:
    return preset("woman")


def test_a_square_folds_back_ten_millimetres_with_a_slit_to_each_corner() -> None:
    square = np.array([[0.0, 0.0], [60.0, 0.0], [60.0, 60.0], [0.0, 60.0]])
    window, lines = folded_back(Window(slug="pane", curve=square), "window pane")
    assert shapely.Polygon(window.curve).area == pytest.approx(40.0**2)
    slits = [line.curve for line in lines if line.kind == "slit"]
    assert len(slits) == 4
    # From each corner straight to the cut's own corner: 10 mm each way.
    assert [np.linalg.norm(slit[1] - slit[0]) for slit in slits] == pytest.approx(
        [FOLD_BACK * np.sqrt(2.0)] * 4
    )
    (fold,) = [line for line in lines if line.kind == "fold"]
    assert fold.curve == pytest.approx(square)


def test_a_narrow_window_folds_back_less_and_a_slit_not_at_all() -> None:
    narrow = np.array([[0.0, 0.0], [80.0, 0.0], [80.0, 16.0], [0.0, 16.0]])
    window, _ = folded_back(Window(slug="pane", curve=narrow), "window pane")
    assert np.ptp(window.curve[:, 1]) == pytest.approx(1.0)
    with pytest.raises(DraftError, match="too narrow for its edge to be folded back"):
        folded_back(Window(slug="pane", curve=narrow * (1.0, 0.5)), "window pane")


def test_a_folded_window_is_cut_inside_the_line_it_opens_to(woman: Form) -> None:
    raw, folded = (
        draft(woman, edges=EYE, windows=("eye",), options=OPTIONS | {"window_edge": edge}).pieces[0]
        for edge in ("raw", "folded")
    )
    assert shapely.Polygon(raw.windows[0].curve).contains(shapely.Polygon(folded.windows[0].curve))
    (fold,) = [line for line in folded.lines if line.kind == "fold"]
    assert fold.curve == pytest.approx(raw.windows[0].curve)
    assert any("slit to each corner" in line for line in folded.note)


def test_what_is_set_in_has_the_windows_own_edge(woman: Form) -> None:
    held = draft(woman, edges=EYE, windows=("eye",), backing="net", options=OPTIONS)
    result = draft(
        woman, edges=EYE, windows=("eye",), backing="net", options=OPTIONS | {"backing_as": "inset"}
    )
    assert faults(result) == []
    assert [piece.slug for piece in result.pieces] == ["suit_front", "suit_front_eye", "suit_back"]
    front, inset = result.pieces[:2]
    assert inset.cloth == "net"
    assert inset.verdict.level == front.verdict.level
    opening = shapely.Polygon(held.pieces[0].windows[0].curve)
    outline = shapely.Polygon(inset.stitch_line)
    assert outline.symmetric_difference(opening).area < 1e-6 * opening.area
    assert shapely.LinearRing(inset.stitch_line).is_ccw
    assert opening.exterior.distance(shapely.Polygon(front.windows[0].curve)) == pytest.approx(7.0, abs=0.05)
    assert front.windows[0].backing == inset.slug
    marks = [{line.label for line in p.lines if line.kind == "placement"} for p in (front, inset)]
    assert marks[0] == marks[1] == {"1", "2", "3", "4"}
    assert len(inset.totals) == 3


def test_a_mesh_that_stretches_less_than_the_suit_is_pointed_out(woman: Form) -> None:
    result = draft(
        woman,
        edges=EYE,
        windows=("eye",),
        cloth="net",
        backing="lacquer",
        options=OPTIONS | {"backing_as": "inset"},
    )
    assert any("stretches less than the cloth around it" in what for what in faults(result))
