"""Trousers: seams that meet are equal, girths and the crotch are the body's with their ease."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from stiff_limbs import ring
from woven_requests import body, draft, faults

from layfigure.errors import DraftError
from layfigure.geometry.polyline import length
from layfigure.piece.seam_allowance import cut_line
from layfigure.piece.toile import toile

HALVES = [f"piece_{part}_{side}" for part in ("front", "back") for side in ("left", "right")]


@pytest.mark.parametrize("preset", ["woman", "man"])
def test_every_seam_walks_and_every_check_passes(preset: str, tmp_path: Path) -> None:
    result = draft({"garment": "trousers"}, preset=preset, cloths={"lining": "satin"})
    assert faults(result, tmp_path) == []
    assert all(check.passed for check in result.checks), [c for c in result.checks if not c.passed]
    for piece in result.pieces:
        cut_line(piece.edges)
        cut_line(toile(piece).edges)
    assert {surface.name for surface in result.worn} == {"piece"}


def test_girths_are_the_body_and_the_ease() -> None:
    result = draft({"garment": "trousers", "ease_waist": "20 mm", "ease_hip": "80 mm"})
    pieces = {piece.slug: piece for piece in result.pieces}
    form = body("woman")
    waist = sum(
        edge.length for slug in HALVES for edge in pieces[slug].edges if edge.slug.startswith("waist")
    )
    assert waist == pytest.approx(float(form.charts["torso"].girth(3.0)) + 2.0 * np.pi + 20.0, abs=0.5)
    band = pieces["piece_waistband"]
    lap = band.edge("lap").length
    assert band.totals[0].length - lap == pytest.approx(waist, abs=0.05)
    for side in ("left", "right"):
        front, back = pieces[f"piece_front_{side}"], pieces[f"piece_back_{side}"]
        assert front.edge("inseam").length == pytest.approx(back.edge("inseam").length, abs=0.05)
        assert front.edge("inseam").against is not back.edge("inseam").against
        assert back.edge("side").allowance == 25.0
        darts = [
            line.curve for piece in (front, back) for line in piece.lines if line.label.startswith("dart")
        ]
        for first, tip, second in darts:
            assert length([first, tip]) == pytest.approx(length([second, tip]))


def test_a_hem_on_the_thighs_makes_shorts() -> None:
    long, short = (
        next(p for p in draft({"garment": "trousers"}, edges=edges).pieces if p.slug == "piece_front_left")
        for edges in ({}, {"hem": ring("hem", "thigh_left", 0.5)})
    )
    assert short.edge("inseam").length < 0.5 * long.edge("inseam").length


def test_a_hem_at_the_hips_is_refused() -> None:
    with pytest.raises(DraftError, match="legs"):
        draft({"garment": "trousers"}, edges={"hem": ring("hem", "torso", 4.2)})
