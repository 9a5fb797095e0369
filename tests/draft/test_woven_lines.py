"""Balance, centre and crease lines: what a fitter reads is on every panel and meets itself at the seams."""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import LineString, Polygon
from stiff_limbs import ring
from woven_requests import draft

from layfigure.draft.registry import DraftResult
from layfigure.geometry.polyline import arc_lengths
from layfigure.piece.piece import InnerLine, Piece
from layfigure.piece.toile import toile


def panels(result: DraftResult) -> list[Piece]:
    return [
        p
        for p in result.pieces
        if not any(w in p.slug for w in ("facing", "shield", "sleeve", "collar", "band"))
    ]


def labelled(piece: Piece, label: str) -> InnerLine:
    (line,) = [line for line in piece.lines if line.label == label]
    return line


def inside(piece: Piece, line: InnerLine) -> bool:
    return Polygon(piece.stitch_line).buffer(0.5).contains(LineString(line.curve))


@pytest.mark.parametrize("shaping", ["darts", "princess"])
@pytest.mark.parametrize("closure", ["front_buttons", "back_zip"])
def test_every_bodice_panel_has_its_lines(shaping: str, closure: str) -> None:
    result = draft({"garment": "bodice", "shaping": shaping, "closure": closure, "sleeves": False})
    found = panels(result)
    assert len(found) == (4 if closure == "front_buttons" else 3) + (4 if shaping == "princess" else 0)
    for piece in found:
        for shown in (piece, toile(piece)):
            busts = [line for line in shown.lines if line.label == "bust"]
            assert len(busts) == (2 if piece.slug == "piece_front" else 1)
            assert all(bust.kind == "balance" and inside(piece, bust) for bust in busts)
        if "side" in piece.slug:
            plumb = labelled(piece, "middle of the panel, hangs plumb")
            assert plumb.kind == "centre"
            assert np.ptp(plumb.curve[:, 0]) == pytest.approx(0.0, abs=1e-9)
            assert inside(piece, plumb)


@pytest.mark.parametrize("part", ["front", "back"])
def test_the_bust_line_meets_itself_at_a_princess_seam(part: str) -> None:
    result = draft({"garment": "bodice", "shaping": "princess", "sleeves": False})
    pieces = {piece.slug: piece for piece in result.pieces}
    ups = []
    for slug in (f"piece_{part}_left", f"piece_{part}_side_left"):
        edge = pieces[slug].edge("princess")
        ends = labelled(pieces[slug], "bust").curve
        apart = np.linalg.norm(edge.curve[:, None] - ends[None], axis=2).min(axis=1)
        along = float(arc_lengths(edge.curve)[apart.argmin()])
        ups.append(edge.length - along if edge.against else along)
    # Lines end 5 mm short of the seam, so the nearest place on it is not quite the same.
    assert ups[0] == pytest.approx(ups[1], abs=6.0)


def test_a_bodice_that_reaches_below_the_waist_shows_the_waist() -> None:
    result = draft(
        {"garment": "bodice", "shaping": "princess", "sleeves": False},
        edges={"waist": ring("low", "torso", 3.3)},
    )
    for piece in panels(result):
        assert inside(piece, labelled(piece, "waist"))


def test_trousers_show_crease_knee_and_hips() -> None:
    for piece in panels(draft({"garment": "trousers"})):
        for shown in (piece, toile(piece)):
            crease = labelled(shown, "crease")
            assert crease.kind == "centre"
            assert np.ptp(crease.curve[:, 0]) == 0.0
            assert crease.curve[0, 0] == pytest.approx(piece.grainline.start[0])
            for name in ("hips", "knee", "crotch level"):
                assert labelled(shown, name).kind == "balance"
                assert inside(piece, labelled(shown, name))
        assert inside(piece, crease)
        # The crease is the middle of the leg at the knee.
        assert labelled(piece, "knee").curve[:, 0].mean() == pytest.approx(crease.curve[0, 0], abs=1.0)


def test_shorts_do_not_show_a_knee() -> None:
    short = draft({"garment": "trousers"}, edges={"hem": ring("hem", "thigh_left", 0.5)})
    for piece in panels(short):
        assert not any(line.label == "knee" for line in piece.lines)
