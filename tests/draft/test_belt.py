"""Belts against closed forms: cylinder, cone, tilted cylinder; strap rules of the saddlery trade."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import ellipe
from shapely import Polygon
from stiff_limbs import draft, form_with, line, ring, round_limb

from layfigure.draft.belt.kind import KIND
from layfigure.draft.belt.line import body_girths
from layfigure.draft.belt.strap import HoleRow
from layfigure.errors import DraftError
from layfigure.geometry.parallel_slices import axis_frame, slice_stack
from layfigure.geometry.polyline import arc_lengths, length
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Piece
from layfigure.piece.seam_allowance import cut_line

LEATHER = Cloth(
    slug="leather",
    kind="leather",
    name="leather",
    width=1000.0,
    areal_mass=2400.0,
    thickness=3.0,
    tested=True,
)
SHEET = Cloth(slug="sheet", kind="paper", name="sheet", width=1000.0, areal_mass=200.0, tested=True)
TRUNK = form_with(round_limb("torso", [140.0, 140.0], 600.0, 61))
LINE = {"line": ring("l", "torso", 3.0)}


def proper(piece: Piece) -> None:
    for edge, following in zip(piece.edges, (*piece.edges[1:], piece.edges[0]), strict=True):
        assert edge.curve[-1] == pytest.approx(following.curve[0], abs=1e-9)
        assert np.linalg.norm(np.diff(edge.curve, axis=0), axis=1).max() <= 2.05
    outline = Polygon(piece.stitch_line)
    assert outline.is_valid
    assert outline.exterior.is_ccw
    assert Polygon(cut_line(piece.edges)).buffer(1e-3).contains(outline)


def middle(piece: Piece) -> np.ndarray:
    return next(inner.curve for inner in piece.lines if inner.kind == "centre")


def test_a_straight_belt_is_as_long_as_the_trade_says() -> None:
    # girth + 2 pi (room + beneath) + 2 pi K t, K 0.4 for leather: K within the published 1/3 to 1/2
    result = draft(KIND, TRUNK, LINE, {"width": "40 mm", "air": "2 mm"}, cloth=LEATHER, stack=1.0)
    piece, _ = result.pieces
    proper(piece)
    assert piece.totals[0].length == pytest.approx(2.0 * math.pi * (140.0 + 3.0 + 1.2), abs=0.1)
    assert piece.edge("tip").length == pytest.approx(40.0)
    assert piece.edge("buckle_end").allowance == 60.0


def test_a_belt_runs_off_the_trunk_where_a_plane_across_it_meets_no_line() -> None:
    chart = TRUNK.charts["torso"]
    heights = np.linspace(-400.0, 400.0, 41)
    for lean in (0.0, 0.3, -0.6):
        frame = axis_frame(chart.sections.mean(axis=(0, 1)), [lean, 0.0, 1.0], chart.sections[30, 0])
        local = frame.to_frame(chart.sections)
        met = np.isfinite(slice_stack(local, heights)).all(axis=2).any(axis=1)
        assert 0 < met.sum() < len(met)
        for height, whole in zip(heights, met, strict=True):
            if whole:
                assert body_girths(chart, frame, np.array([height]))[0] > 0.0
            else:
                with pytest.raises(DraftError, match="runs off the end of the trunk"):
                    body_girths(chart, frame, np.array([0.0, height]))


def test_holes_follow_the_saddler_s_rule() -> None:
    piece = draft(KIND, TRUNK, LINE, {"width": "30 mm", "holes": 7}, cloth=LEATHER).pieces[0]
    holes = [inner for inner in piece.lines if inner.kind == "placement"]
    centres = np.array([hole.curve.mean(axis=0) for hole in holes])
    assert len(holes) == 7
    assert np.diff(centres[:, 0]) == pytest.approx(np.full(6, 30.0))  # spacing = width
    tip = piece.edge("tip").curve[0, 0]
    assert tip - centres[-1, 0] == pytest.approx(2.5 * 30.0)  # last hole to tip
    assert centres[3, 0] == pytest.approx(piece.totals[0].length)  # the middle one closes on the body
    assert [hole.label for hole in holes].index("middle hole") == 3


def test_an_even_number_of_holes_is_refused() -> None:
    with pytest.raises(DraftError, match="odd number"):
        draft(KIND, TRUNK, LINE, {"holes": 4})
    assert HoleRow(count=5, spacing=40.0, width=40.0).beyond == 180.0


def test_a_contour_belt_is_a_truncated_cone_laid_flat() -> None:
    # A cone of half angle with tan = 0.1: girths a belt's half width up and down the slant.
    form = form_with(round_limb("torso", [110.0, 170.0], 600.0, 61))
    result = draft(
        KIND,
        form,
        LINE,
        {
            "shape": "contour",
            "width": "60 mm",
            "fastening": "hook_and_loop",
            "overlap": "60 mm",
            "air": "0 mm",
        },
        cloth=SHEET,
    )
    (piece,) = result.pieces
    proper(piece)
    radius = 110.0 + 0.6 * 60.0
    step = 30.0 * math.sin(math.atan(0.1))
    top, bottom = (2.0 * math.pi * (radius + s * step) for s in (-1.0, 1.0))
    assert piece.totals[1].length == pytest.approx(top, abs=0.15)
    assert piece.totals[2].length == pytest.approx(bottom, abs=0.15)
    # inner radius = a d / (b - a)
    curve = middle(piece)
    centre = np.array([0.0, top * 60.0 / (bottom - top) + 30.0])
    assert np.linalg.norm(curve - centre, axis=1) == pytest.approx(np.full(len(curve), centre[1]), abs=1.0)
    assert length(curve) - piece.totals[0].length == pytest.approx(60.0, abs=0.01)


def test_a_straight_strap_on_a_slope_is_sent_to_contour() -> None:
    steep = form_with(round_limb("torso", [60.0, 300.0], 600.0, 61))
    result = draft(KIND, steep, LINE, {"width": "80 mm"}, cloth=LEATHER)
    assert result.pieces[0].verdict.level == "paper"
    assert any("contour" in check.advice for check in result.checks if not check.passed)


def test_a_belt_slung_on_a_cylinder_is_a_sine_as_long_as_its_ellipse() -> None:
    # A plane at slope m cuts a cylinder in an ellipse; unrolled, its height is m r sin(round).
    slope, radius = 0.3, 140.0
    per_station = 600.0 / 5.0
    points = [
        (3.0 + slope * radius / per_station * math.sin(2 * math.pi * k / 16), k / 16, False)
        for k in range(16)
    ]
    result = draft(
        KIND,
        TRUNK,
        {"line": line("l", "torso", points)},
        {"shape": "slung", "width": "50 mm", "fastening": "hook_and_loop", "opens": "front", "air": "0 mm"},
        cloth=SHEET,
    )
    (piece,) = result.pieces
    proper(piece)
    long_axis = radius * math.sqrt(1.0 + slope**2)
    perimeter = 4.0 * long_axis * ellipe(1.0 - (radius / long_axis) ** 2)
    assert piece.totals[0].length == pytest.approx(perimeter, rel=1e-3)
    once = middle(piece)[arc_lengths(middle(piece)) <= piece.totals[0].length]
    # Turn the flat line so that the chord of one whole turn, which is square to the rulings, lies level.
    chord = once[-1] - once[0]
    across = np.array([-chord[1], chord[0]]) / np.linalg.norm(chord)
    assert np.linalg.norm(chord) == pytest.approx(2.0 * math.pi * radius, rel=2e-3)
    heights = (once - once[0]) @ across
    # Taking small waves out flattens a wave as long as the belt by 0.4 %.
    assert np.ptp(heights) == pytest.approx(2.0 * slope * radius, rel=0.007)
    assert all(check.passed for check in result.checks)


def test_a_slung_belt_on_a_tapering_oval_clears_it() -> None:
    form = form_with(round_limb("torso", [150.0, 140.0, 115.0, 130.0, 160.0], 600.0, 61))
    points = [(3.6 + 0.25 * math.sin(2 * math.pi * k / 12), k / 12, False) for k in range(12)]
    result = draft(
        KIND,
        form,
        {"line": line("l", "torso", points)},
        {"shape": "slung", "width": "50 mm", "lining": True},
        cloth=LEATHER,
    )
    belt, lining, keeper = result.pieces
    assert keeper.slug.endswith("keeper")
    proper(belt)
    proper(lining)
    assert lining.edge("top").allowance == 10.0
    assert lining.stitch_line == pytest.approx(belt.stitch_line)
    values = {check.what.split(": ", 1)[1]: check.value for check in result.checks}
    assert {check.unit for check in result.checks if check.what.split(": ", 1)[1].startswith("how far")} == {
        "mm"
    }
    assert values["how far the body stands out of the belt, room and layers beneath counted"] < 1e-9
    assert values["how much laying flat changes a length"] < 1e-6
    assert values["how far the line was smoothed from where it was marked"] < 2.0


def test_a_line_that_does_not_go_round_is_refused() -> None:
    open_line = line("l", "torso", [(3.0, 0.0, False), (3.0, 0.1, False), (3.0, 0.2, False)])
    with pytest.raises(DraftError, match="right round"):
        draft(KIND, TRUNK, {"line": open_line}, cloth=LEATHER)


def test_a_belt_off_the_trunk_is_refused() -> None:
    with pytest.raises(DraftError, match="runs off the end"):
        draft(KIND, TRUNK, {"line": ring("l", "torso", 4.95)}, {"width": "80 mm"}, cloth=LEATHER)


def test_a_drop_goes_round_the_belt_and_hangs_as_long_as_asked() -> None:
    said = {"name": "tail", "length": "20 cm", "width": "3 cm", "foot": "ring", "count": 2}
    result = draft(KIND, TRUNK, LINE, {"width": "40 mm", "drops": [said]}, cloth=LEATHER)
    (drop,) = [piece for piece in result.pieces if piece.slug.endswith("_tail")]
    proper_lines = {line.label: line.curve[0, 0] for line in drop.lines}
    below = proper_lines["lower edge of the belt: sew the lap here"]
    assert proper_lines["turn up round the ring"] - below == pytest.approx(200.0)
    # TRADE 5, full turn: cut length = inner girth + 2 pi K t, round one thickness of the belt with 3 mm play.
    inner = 2.0 * (40.0 + 3.0) + 2.0 * (LEATHER.thickness + 3.0)
    assert below - 30.0 == pytest.approx(inner + 2.0 * math.pi * 0.4 * LEATHER.thickness)
    assert drop.count == 2
    rings = [item for item in result.items if item.slug == "ring_30mm"]
    assert [item.count for item in rings] == [2]


def test_a_belt_lists_its_hardware_and_shows_on_the_body() -> None:
    buckled = draft(KIND, TRUNK, LINE, {"width": "40 mm"}, cloth=LEATHER)
    assert [item.slug for item in buckled.items] == ["buckle_40mm"]
    taped = draft(KIND, TRUNK, LINE, {"fastening": "hook_and_loop", "overlap": "70 mm"}, cloth=LEATHER)
    assert [(item.slug, item.length) for item in taped.items] == [("hook_and_loop", 70.0)]
    assert len(taped.pieces) == 1
    (worn,) = buckled.worn
    assert np.ptp(worn.mesh.vertices[:, 2]) == pytest.approx(40.0, abs=1.0)
