"""Facings of a fly, of a waist without a band, of armholes without sleeves: they mate with what they face."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import Polygon
from woven_requests import draft, faults

from layfigure.draft.registry import DraftResult, validated_options
from layfigure.draft.woven.kind import KIND
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


def test_no_cloth_named_for_trousers_is_lost() -> None:
    for band in (True, False):
        options = validated_options(KIND, {"garment": "trousers", "waistband": band}, where="piece")
        assert KIND.unused is not None
        result = draft({"garment": "trousers", "waistband": band}, cloths=CLOTHS)
        used = {piece.cloth for piece in result.pieces}
        assert used == {"twill", "satin", "canvas"}
        assert dict(KIND.unused(None, options)) == {}  # type: ignore[arg-type]
