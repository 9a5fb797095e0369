"""Facings of a fly, of a waist without a band, of armholes without sleeves: they mate with what they face."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import Polygon
from woven_requests import body, draft, faults

from layfigure.draft.registry import DraftResult, validated_options
from layfigure.draft.woven.kind import KIND
from layfigure.errors import DraftError
from layfigure.piece.piece import Piece
from layfigure.piece.seam_allowance import cut_line
from layfigure.piece.toile import toile

CLOTHS = {"facing": "satin", "interfacing": "canvas", "lining": "satin"}


def piece_of(result: DraftResult, name: str) -> Piece:
    return next(piece for piece in result.pieces if piece.slug == f"piece_{name}")


def mates(result: DraftResult, piece: Piece, slug: str) -> list[tuple[Piece, float]]:
    """What else an edge is sewn to, and how long that is."""
    edge = piece.edge(slug)
    assert edge.seam is not None
    return [
        (other, own.length)
        for other in result.pieces
        for own in other.edges
        if own.seam == edge.seam and other is not piece
    ]


@pytest.mark.parametrize("preset", ["woman", "man"])
@pytest.mark.parametrize("band", [True, False])
def test_trousers_have_a_fly_and_a_waist_facing_without_a_band(
    preset: str, band: bool, tmp_path: Path
) -> None:
    result = draft({"garment": "trousers", "waistband": band}, preset=preset, cloths=CLOTHS)
    assert faults(result, tmp_path) == []
    for side, name in (("left", "fly_facing"), ("right", "fly_shield")):
        fly = piece_of(result, name)
        assert fly.cloth == "satin"
        ((front, size),) = mates(result, fly, "fly")
        assert front.slug == f"piece_front_{side}"
        assert fly.edge("fly").length == pytest.approx(size, abs=0.05)
        assert fly.edge("fly").length == pytest.approx(180.0, abs=0.5)
        assert fly.edge("fly").notches[0].name == front.edge("fly").notches[0].name
        assert piece_of(result, f"{name}_interfacing").cloth == "canvas"
    facings = [piece for piece in result.pieces if "waist_facing" in piece.slug and piece.cloth == "satin"]
    assert len(facings) == (0 if band else 4)
    for facing in facings:
        for edge in facing.edges:
            if edge.slug.startswith("waist"):
                ((_, size),) = mates(result, facing, edge.slug)
                assert edge.length == pytest.approx(size, abs=0.05)
        assert Polygon(facing.stitch_line).is_valid
        # As wide as was asked for, all along.
        area, whole = Polygon(facing.stitch_line).area, facing.edge("inner").length
        edge_length = sum(edge.length for edge in facing.edges if edge.slug.startswith("waist"))
        assert area == pytest.approx(60.0 * 0.5 * (whole + edge_length), rel=0.02)
    for piece in result.pieces:
        cut_line(piece.edges)
        cut_line(toile(piece).edges)


def faced(result: DraftResult, count: int, tmp_path: Path) -> list[Piece]:
    """Waist facings, each stretch as long as the one stretch of a panel that it is sewn to, all along as wide
    as asked.
    """
    assert faults(result, tmp_path) == []
    facings = [piece for piece in result.pieces if "waist_facing" in piece.slug and piece.cloth == "satin"]
    assert len(facings) == count
    for facing in facings:
        outline = Polygon(facing.stitch_line)
        assert outline.is_valid
        assert outline.exterior.is_ccw
        sewn = [edge for edge in facing.edges if edge.slug.startswith("waist")]
        for edge in sewn:
            ((panel, size),) = mates(result, facing, edge.slug)
            assert "facing" not in panel.slug
            assert edge.length == pytest.approx(size, abs=0.05)
            other = next(own for own in panel.edges if own.seam == edge.seam)
            assert other.against is not edge.against
        whole, inner = sum(edge.length for edge in sewn), facing.edge("inner").length
        assert outline.area == pytest.approx(60.0 * 0.5 * (whole + inner), rel=0.02)
        assert any("waist edge" in text for text in facing.note)
        (fused,) = (piece for piece in result.pieces if piece.slug == f"{facing.slug}_interfacing")
        assert fused.cloth == "canvas"
        for edge in facing.edges:
            if edge.slug.startswith(("side", "centre")) and edge.seam is not None:
                ((next_one, size),) = mates(result, facing, edge.slug)
                assert "waist_facing" in next_one.slug
                assert size == pytest.approx(edge.length, abs=0.01)
        cut_line(facing.edges)
        cut_line(toile(facing).edges)
    # No stretch of any panel is left raw.
    sewn_to = {edge.seam for facing in facings for edge in facing.edges}
    for piece in result.pieces:
        if piece.cloth == "twill" and "facing" not in piece.slug:
            assert {e.seam for e in piece.edges if e.slug.startswith("waist")} <= sewn_to
    return facings


def greatest_corner(facing: Piece) -> float:
    """How much the waist edge turns where pleats, darts or seams are closed [degrees]."""
    runs = [edge.curve for edge in facing.edges if edge.slug.startswith("waist")]
    turns = [0.0]
    for before, after in pairwise(runs):
        (a, b), (c, d) = before[-2:], after[:2]
        assert b == pytest.approx(c, abs=1e-9)
        way, on = complex(*(b - a)), complex(*(d - c))
        turns.append(abs(np.degrees(np.angle(on / way))))
    return max(turns)


@pytest.mark.parametrize(
    ("preset", "closure"), [("woman", "front_buttons"), ("woman", "back_zip"), ("man", "front_open")]
)
@pytest.mark.parametrize("shaping", ["darts", "princess"])
def test_a_bodice_s_waist_is_faced(preset: str, closure: str, shaping: str, tmp_path: Path) -> None:
    options = {"garment": "bodice", "closure": closure, "shaping": shaping, "waist_facing": True}
    facings = faced(draft(options, preset=preset, cloths=CLOTHS), 4, tmp_path)
    for facing in facings:
        assert greatest_corner(facing) < 6.0
    opening = {"back_zip": "centre_back"}.get(closure, "centre_front")
    ends = [edge for facing in facings for edge in facing.edges if edge.role == "closure"]
    assert [edge.slug for edge in ends] == [opening, opening]
    hemmed = draft({"garment": "bodice", "closure": closure}, preset=preset, cloths=CLOTHS)
    assert not any("waist_facing" in piece.slug for piece in hemmed.pieces)


@pytest.mark.parametrize(
    ("preset", "closure", "style"),
    [("woman", "front_buttons", "knife"), ("man", "back_zip", "box"), ("man", "front_open", "knife")],
)
def test_a_skirt_without_a_band_is_faced(preset: str, closure: str, style: str, tmp_path: Path) -> None:
    options = {"garment": "skirt", "closure": closure, "pleat_style": style, "waistband": False}
    result = draft(options, preset=preset, cloths=CLOTHS)
    for facing in faced(result, 4, tmp_path):
        # Pleats that take in the waist leave a cone of flat strips: at each the edge turns as its folds do.
        panel = next(p for p in result.pieces if p.slug == facing.slug.removesuffix("_waist_facing"))
        ways = [
            [complex(*(line.curve[-1] - line.curve[-2])) for line in panel.lines if line.label == label]
            for label in ("fold", "the fold comes to here")
        ]
        folds = [abs(np.degrees(np.angle(one / other))) for one, other in zip(*ways, strict=True)]
        assert greatest_corner(facing) == pytest.approx(max(folds), abs=1.5)
        wider = facing.edge("inner").length - sum(
            edge.length for edge in facing.edges if edge.slug.startswith("waist")
        )
        assert wider > 0.5 * 60.0 * np.radians(sum(folds))
    assert not any("waistband" in text for piece in result.pieces for text in piece.note)
    assert not any("waistband" in item.use for item in result.items)


def test_a_waist_facing_where_there_is_none_is_refused() -> None:
    with pytest.raises(DraftError, match="sewn to its skirt"):
        draft({"garment": "coat", "waist_facing": True})
    with pytest.raises(DraftError, match="waistband = false"):
        draft({"garment": "skirt", "waist_facing": True})


@pytest.mark.parametrize("shaping", ["darts", "princess"])
def test_armholes_without_sleeves_are_faced(shaping: str, tmp_path: Path) -> None:
    result = draft({"garment": "bodice", "sleeves": False, "shaping": shaping}, cloths=CLOTHS)
    assert faults(result, tmp_path) == []
    facings = [p for p in result.pieces if "armhole_facing" in p.slug and p.cloth == "satin"]
    assert len(facings) == 4
    for facing in facings:
        assert Polygon(facing.stitch_line).is_valid
        for slug in ("armhole_lower", "armhole_upper", "side", "shoulder"):
            ((other, size),) = mates(result, facing, slug)
            assert facing.edge(slug).length == pytest.approx(size, abs=0.05)
            assert ("facing" in other.slug) == (slug in ("side", "shoulder"))
        assert facing.edge("side").length > 20.0
        cut_line(facing.edges)
        widths = [
            float(np.linalg.norm(facing.edge("inner").curve - place, axis=1).min())
            for place in facing.edge("armhole_lower").curve
        ]
        assert min(widths) > 15.0
    sleeved = draft({"garment": "bodice"}, cloths=CLOTHS)
    assert not any("armhole_facing" in piece.slug for piece in sleeved.pieces)


@pytest.mark.parametrize("closure", ["front_buttons", "front_open", "back_zip"])
@pytest.mark.parametrize("collar", ["stand", "stand_and_fall"])
def test_a_collar_is_as_long_as_the_neckline(closure: str, collar: str, tmp_path: Path) -> None:
    options = {"garment": "bodice", "closure": closure, "collar": collar, "collar_height": "40 mm"}
    result = draft(options, cloths=CLOTHS)
    assert faults(result, tmp_path) == []
    stand = piece_of(result, "collar_stand")
    sewn = [edge for edge in stand.edges if edge.slug.startswith("neck")]
    assert len(sewn) == 4
    for edge in sewn:
        sizes = [size for other, size in mates(result, stand, edge.slug) if "lining" not in other.slug]
        # The panel and its facing.
        assert len(sizes) == 2
        assert sizes == pytest.approx([edge.length] * 2, abs=0.05)
    # It leans in, no more than a neck is narrower than its base, and has a finger's room.
    neck = float(body("woman").charts["neck"].girths.min())
    low, high = stand.totals[0].length, stand.totals[1].length
    past = 40.0 if closure == "front_buttons" else 0.0
    assert 0.85 * low < high <= low
    assert high - past > neck + 25.0 - 1.0
    assert stand.count == 2
    assert piece_of(result, "collar_stand_interfacing").cloth == "canvas"
    falls = [piece for piece in result.pieces if piece.slug == "piece_collar_fall"]
    assert len(falls) == (1 if collar == "stand_and_fall" else 0)
    for fall in falls:
        ((other, size),) = mates(result, fall, "top")
        assert other is stand
        assert fall.edge("top").length == pytest.approx(size, abs=0.05)
        # Turned down, its outer edge lies outside the neckline.
        assert fall.edge("outer").length > low - past
    for piece in (stand, *falls):
        assert Polygon(piece.stitch_line).is_valid
        cut_line(piece.edges)


@pytest.mark.parametrize("garment", ["skirt", "trousers"])
def test_a_collar_without_a_neckline_is_refused(garment: str) -> None:
    with pytest.raises(DraftError, match=r"'collar'.*no neckline"):
        draft({"garment": garment, "collar": "stand"})


def test_no_cloth_named_for_trousers_is_lost() -> None:
    for band in (True, False):
        options = validated_options(KIND, {"garment": "trousers", "waistband": band}, where="piece")
        assert KIND.unused is not None
        result = draft({"garment": "trousers", "waistband": band}, cloths=CLOTHS)
        used = {piece.cloth for piece in result.pieces}
        assert used == {"twill", "satin", "canvas"}
        assert dict(KIND.unused(None, options)) == {}  # type: ignore[arg-type]
