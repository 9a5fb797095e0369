"""The pleated skirt: folded, it has the waist and hips it must have, and its hem hangs level."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from stiff_limbs import ring
from woven_requests import body, draft, faults

from layfigure.draft.woven.options import WovenOptions
from layfigure.draft.woven.skirt_panel import SkirtPanel, skirt_panel
from layfigure.errors import DraftError
from layfigure.geometry.pleat import mirrored
from layfigure.geometry.polyline import length
from layfigure.piece.piece import Piece
from layfigure.piece.seam_allowance import cut_line
from layfigure.piece.toile import toile

PANELS = ("front_left", "back_left", "back_right", "front_right")


def panel(pieces: tuple[Piece, ...], name: str) -> Piece:
    return next(piece for piece in pieces if piece.slug == f"piece_{name}")


@pytest.mark.parametrize("style", ["knife", "box"])
def test_every_pleat_is_true_when_folded(style: str) -> None:
    pieces = draft({"garment": "skirt", "pleat_style": style, "pleats": 12}).pieces
    for name in PANELS:
        piece = panel(pieces, name)
        folds = [line for line in piece.lines if line.label == "fold"]
        places = [line for line in piece.lines if line.label == "the fold comes to here"]
        assert len(folds) == len(places) == sum(edge.slug.startswith("pleat") for edge in piece.edges)
        for fold, place in zip(folds, places, strict=True):
            # The inner fold stands midway, and each line is the other's mirror image in it.
            x = 0.5 * (fold.curve[0, 0] + place.curve[0, 0])
            inner = np.array([[x, 0.0], [x, 1.0]])
            assert mirrored(fold.curve, inner) == pytest.approx(place.curve, abs=1e-6)
            assert length(fold.curve) == pytest.approx(length(place.curve), abs=1e-6)


def test_the_folded_skirt_has_the_waist_of_the_body_and_its_ease() -> None:
    result = draft({"garment": "skirt", "ease_waist": "24 mm", "closure": "back_zip"})
    ring_of_waist = body("woman").charts["torso"].girth([3.0])[0]
    waist = sum(
        edge.length
        for name in PANELS
        for edge in panel(result.pieces, name).edges
        if edge.slug.startswith("waist")
    )
    assert waist == pytest.approx(ring_of_waist + 2.0 * np.pi * 1.0 + 24.0, abs=0.5)
    band = panel(result.pieces, "waistband")
    assert band.totals[0].length == pytest.approx(waist, abs=0.05)
    assert all(check.passed for check in result.checks), [c for c in result.checks if not c.passed]
    assert any(item.slug.startswith("zip") for item in result.items)


def test_its_seams_can_be_walked_and_its_edges_have_their_allowances(tmp_path: Path) -> None:
    result = draft({"garment": "skirt"}, cloths={"lining": "satin", "interfacing": "canvas"})
    assert faults(result, tmp_path) == []
    front = panel(result.pieces, "front_left")
    assert front.edge("hem").allowance == 40.0
    assert front.edge("side_left").allowance == 25.0  # to let out: TRADE 4, common practice
    assert {edge.allowance for edge in front.edges} == {15.0, 25.0, 40.0}
    assert front.side == "left"
    assert any("pleats" in line for line in front.note)
    for piece in result.pieces:
        cut_line(piece.edges)
    assert min(edge.allowance for edge in toile(front).edges) == 25.0
    slugs = {piece.slug for piece in result.pieces}
    assert {"piece_front_facing_left", "piece_waistband_interfacing", "piece_back_left_lining"} <= slugs


def test_the_hem_is_where_it_was_placed_and_level() -> None:
    hem = ring("hem", "thigh_left", 0.6)
    result = draft({"garment": "skirt"}, edges={"hem": hem})
    height = body("woman").charts["thigh_left"].height(0.6)
    mesh = result.worn[0].mesh
    lowest = mesh.vertices.reshape(14, -1, 3)[-1, :, 2]
    assert lowest == pytest.approx(np.full(len(lowest), height), abs=3.0)


def test_as_many_pleats_as_asked_for_and_as_deep() -> None:
    pieces = draft({"garment": "skirt", "pleats": 10, "pleat_depth": "30 mm"}).pieces
    count = sum(edge.slug.startswith("pleat") for name in PANELS for edge in panel(pieces, name).edges)
    assert count == 10
    fold, place = (
        next(line for line in panel(pieces, "back_left").lines if line.label == label)
        for label in ("fold", "the fold comes to here")
    )
    assert abs(fold.curve[0, 0] - place.curve[0, 0]) == pytest.approx(60.0)


def test_a_crowd_of_deep_pleats_is_said_to_be_bulky() -> None:
    result = draft({"garment": "skirt", "pleats": 60, "pleat_depth": "40 mm"})
    failed = [check for check in result.checks if not check.passed]
    assert any("fewer" in check.advice for check in failed)
    assert result.pieces[0].verdict.level == "paper"


def test_a_hem_above_the_waist_is_refused() -> None:
    with pytest.raises(DraftError, match="hem"):
        draft({"garment": "skirt"}, edges={"hem": ring("hem", "torso", 2.5)})


def test_an_odd_number_of_pleats_is_refused() -> None:
    with pytest.raises(ValueError, match="even"):
        WovenOptions(garment="skirt", pleats=7)


def test_a_waist_too_steep_for_its_pleats_is_refused() -> None:
    def panel(slope: float) -> SkirtPanel:
        return skirt_panel(
            [120.0, 120.0],
            lambda along: 180.0 + slope * along,
            hip=230.0,
            hem=400.0,
            depth=30.0,
            facing_right=[True],
            where="piece skirt",
        )

    assert len(panel(0.1).hidden) == 1
    with pytest.raises(DraftError, match="rises too steeply for a pleat of 30 mm"):
        panel(-0.95)
