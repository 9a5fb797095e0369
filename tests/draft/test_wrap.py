"""Wraps against closed forms (cylinder, cone, oblique and zigzag edges) and on random limbs.

Independent of the drafting: frustum formulas from sheet-metal drafting, clearance by shapely, mates walked
along the pieces as a stranger with only the pieces would.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon, contains_xy
from stiff_limbs import CARD, FOAM, draft, form_with, limb_chart, line, ring, round_limb

from layfigure.draft.registry import DraftResult
from layfigure.draft.round_edge import level_edge
from layfigure.draft.wrap.kind import KIND
from layfigure.draft.wrap.surface import section_axis, wrap_surface
from layfigure.errors import DraftError
from layfigure.geometry.developable import Band
from layfigure.geometry.frustum import flat_frustum_by_slant
from layfigure.geometry.polyline import points_at
from layfigure.geometry.support_function import corner_points
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Piece
from layfigure.piece.seam_allowance import cut_line

REGION = "forearm_left"
CYLINDER = form_with(round_limb(REGION, [40.0, 40.0], 200.0))
STRAIGHT = {"bottom": ring("b", REGION, 0.9), "top": ring("t", REGION, 0.2)}


def check(result: DraftResult, words: str):
    (found,) = [c for c in result.checks if words in c.what]
    return found


def proper(piece: Piece) -> None:
    """Edges chain, run counter-clockwise, are fine, do not cross; the cut line can be made."""
    for edge, following in zip(piece.edges, (*piece.edges[1:], piece.edges[0]), strict=True):
        assert edge.curve[-1] == pytest.approx(following.curve[0], abs=1e-9)
        assert np.linalg.norm(np.diff(edge.curve, axis=0), axis=1).max() <= 2.0 + 1e-6
    outline = Polygon(piece.stitch_line)
    assert outline.is_valid
    assert outline.exterior.is_ccw
    assert Polygon(cut_line(piece.edges)).buffer(1e-3).contains(outline)


def walk_seams(pieces: tuple[Piece, ...]) -> float:
    """Largest difference between mates from notch to notch, and end to end [mm]."""
    uses: dict[str, list] = {}
    for piece in pieces:
        for edge in piece.edges:
            if edge.seam:
                uses.setdefault(edge.seam, []).append(edge)
    worst = 0.0
    for seam, mates in uses.items():
        assert len(mates) == 2, seam
        assert {mate.against for mate in mates} == {True, False}
        places = []
        for mate in mates:
            curve = mate.curve[::-1] if mate.against else mate.curve
            whole = mate.length
            at = {n.name: whole - n.distance if mate.against else n.distance for n in mate.notches}
            # Measured on the drawn curve between the marks, not from the numbers stored with them.
            marks = sorted(at.items(), key=lambda item: item[1])
            stops = [0.0, *[d for _, d in marks], whole]
            lengths = []
            for start, end in itertools.pairwise(stops):
                part = points_at(curve, np.linspace(start, end, 4000))
                lengths.append(np.linalg.norm(np.diff(part, axis=0), axis=1).sum())
            places.append(([name for name, _ in marks], lengths))
        assert places[0][0] == places[1][0]
        worst = max(worst, float(np.abs(np.subtract(places[0][1], places[1][1])).max()))
    return worst


def test_a_cylinder_gives_a_rectangle_of_the_trade_s_length() -> None:
    # girth + 2 pi (room + layers beneath) + 2 pi K t, K 0.5 for foam; the skin is 40 mm in radius
    result = draft(KIND, CYLINDER, STRAIGHT, {"air": "3 mm"}, stack=1.0)
    (piece,) = result.pieces
    proper(piece)
    expected = 2.0 * math.pi * (40.0 + 3.0 + 1.0 + 2.5)
    assert piece.edge("bottom").length == pytest.approx(expected, abs=0.1)
    assert piece.edge("top").length == pytest.approx(expected, abs=0.1)
    assert piece.edge("left").length == pytest.approx(0.7 * 200.0, abs=1e-6)
    assert np.ptp(piece.edge("bottom").curve[:, 1]) < 0.01
    assert piece.verdict.level == "good material"


def test_a_cone_gives_the_ring_sector_of_the_textbook() -> None:
    form = form_with(round_limb(REGION, [60.0, 40.0], 200.0))
    (piece,) = draft(KIND, form, STRAIGHT, {"air": "2 mm"}, cloth=CARD).pieces
    proper(piece)
    low, high = (2.0 * math.pi * (r + 2.0) for r in (60.0 - 0.9 * 20.0, 60.0 - 0.2 * 20.0))
    sheet = flat_frustum_by_slant(low, high, math.hypot(140.0, 14.0))
    top, bottom = piece.edge("top").curve, piece.edge("bottom").curve
    sides = [piece.edge(name).curve for name in ("left", "right")]
    directions = [(side[0] - side[-1]) * (1 if side[0][1] > side[-1][1] else -1) for side in sides]
    angles = [math.atan2(d[1], d[0]) for d in directions]
    assert abs(angles[0] - angles[1]) == pytest.approx(sheet.sector, abs=1e-3)
    # All points of each edge lie on one circle about the cone's point.
    apex = np.array([0.0, bottom[np.abs(bottom[:, 0]).argmin(), 1] - sheet.inner_radius])
    assert np.linalg.norm(bottom - apex, axis=1) == pytest.approx(
        np.full(len(bottom), sheet.inner_radius), abs=0.1
    )
    assert np.linalg.norm(top - apex, axis=1) == pytest.approx(np.full(len(top), sheet.outer_radius), abs=0.1)


def test_an_oblique_edge_on_a_cylinder_unrolls_to_a_sine() -> None:
    # parallel-line development: height above the middle = amplitude x cos(round)
    waves = [(0.4 - 0.1 * math.cos(2 * math.pi * k / 16), k / 16, False) for k in range(16)]
    (piece,) = draft(
        KIND, CYLINDER, {"bottom": STRAIGHT["bottom"], "top": line("t", REGION, waves)}, cloth=CARD
    ).pieces
    proper(piece)
    top = piece.edge("top").curve
    turn = top[:, 0] / 43.0
    middle = 0.5 * 200.0
    # Taking ripples out flattens the crest, radius 92 mm, by 2.5² / (2 x 92) = 0.03 mm more.
    assert top[:, 1] == pytest.approx(middle + 20.0 * np.cos(turn), abs=0.08)


def test_points_stay_sharp_and_keep_their_angle() -> None:
    # Straight lines in the chart from a point in front to one behind: a rhombus edge, flat it is a gable.
    zigzag = [(0.2, 0.0, True), (0.35, 0.25, False), (0.5, 0.5, True), (0.35, 0.75, False)]
    (piece,) = draft(
        KIND,
        CYLINDER,
        {"bottom": STRAIGHT["bottom"], "top": line("t", REGION, zigzag)},
        {"closure": "back"},
        cloth=CARD,
    ).pieces
    proper(piece)
    tops = [edge for edge in piece.edges if edge.slug.startswith("top")]
    assert [edge.slug for edge in tops] == ["top_1", "top_2"]
    first, second = tops[0].curve, tops[1].curve
    assert first[-1] == pytest.approx([0.0, 0.7 * 200.0], abs=0.05)
    angle = math.degrees(
        math.acos(
            np.dot(first[-2] - first[-1], second[1] - second[0])
            / np.linalg.norm(first[-2] - first[-1])
            / np.linalg.norm(second[1] - second[0])
        )
    )
    expected = 2.0 * math.degrees(math.atan2(math.pi * 43.0, 0.3 * 200.0))
    assert angle == pytest.approx(expected, abs=0.2)


def random_limb(seed: int):
    draw = np.random.default_rng(seed)
    heights = np.linspace(1240.0, 1000.0, 33)
    knots = np.linspace(1000.0, 1240.0, 5)
    width, depth = draw.uniform(28.0, 75.0, 5), draw.uniform(0.75, 1.2, 5)
    shift = draw.normal(size=(2, 5)) * 6.0
    power = draw.uniform(1.8, 2.8)
    angle = 2.0 * np.pi * np.arange(400) / 400
    outlines = []
    for height in heights:
        w = np.interp(height, knots, width)
        d = w * np.interp(height, knots, depth)
        x = w * np.sign(np.sin(angle)) * np.abs(np.sin(angle)) ** (2 / power)
        y = -d * np.sign(np.cos(angle)) * np.abs(np.cos(angle)) ** (2 / power)
        centre = [np.interp(height, knots, s) for s in shift]
        outlines.append(np.column_stack([x, y]) + centre)
    return limb_chart("shank_left", outlines, heights)


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 100_000))
def test_random_limbs_with_slanted_edges(seed: int) -> None:
    draw = np.random.default_rng(seed + 1)
    chart = random_limb(seed)
    tilt, lift = draw.uniform(0.0, 0.08, 2)
    region = "shank_left"
    bottom = [(0.9 + tilt * math.cos(2 * math.pi * k / 8), k / 8, False) for k in range(8)]
    top = [(0.2 - lift * math.cos(2 * math.pi * k / 8 + 1.0), k / 8, k == 2) for k in range(8)]
    result = draft(
        KIND, form_with(chart), {"bottom": line("b", region, bottom), "top": line("t", region, top)}
    )
    for piece in result.pieces:
        proper(piece)
    assert walk_seams(result.pieces) < 0.05
    assert check(result, "stands out").value < 1e-9
    assert check(result, "laying flat").value < 1e-6


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 100_000), st.sampled_from([1, 2, 3]))
def test_skin_and_room_are_inside_the_bands_as_shapely_sees_them(seed: int, bands: int) -> None:
    chart = random_limb(seed)
    frame = section_axis(chart, 0.1, 0.9)
    ends = [level_edge("shank_left", s).on(chart) for s in (0.9, 0.1)]
    surface = wrap_surface(chart, frame, ends[0], ends[1], clearance=4.0, least_radius=10.0, bands=bands)
    assert len(surface.fit.bands) == bands
    skin = frame.to_frame(chart.sections).reshape(-1, 3)
    for band in surface.fit.bands:
        for height in np.linspace(band.low_height, band.high_height, 7)[1:-1]:
            inner = Polygon(corner_points(band.support([height])[0])).buffer(-4.0 + 1e-6)
            near = skin[np.abs(skin[:, 2] - height) < 0.6]
            # A point half a millimetre higher or lower may be that much times the lean outside.
            slack = inner.buffer(0.6 * float(np.abs(band.slope()).max()) + 1e-9)
            assert contains_xy(slack, near[:, 0], near[:, 1]).all()


def test_bands_share_their_break_exactly() -> None:
    form = form_with(round_limb("shank_left", [50.0, 60.0, 40.0, 38.0], 360.0))
    result = draft(
        KIND,
        form,
        {"bottom": ring("b", "shank_left", 0.95), "top": ring("t", "shank_left", 0.05)},
        {"bands": 3},
    )
    assert len(result.pieces) == 3
    assert walk_seams(result.pieces) < 1e-4
    assert [piece.label.split(", ")[1] for piece in result.pieces] == [
        "lower band",
        "middle band",
        "upper band",
    ]


def test_no_more_bands_than_the_gap_needs() -> None:
    cone = form_with(round_limb("shank_left", [60.0, 40.0], 360.0))
    barrel = form_with(round_limb("shank_left", [40.0, 62.0, 40.0], 360.0))
    edges = {"bottom": ring("b", "shank_left", 0.95), "top": ring("t", "shank_left", 0.05)}
    assert len(draft(KIND, cone, edges).pieces) == 1
    assert len(draft(KIND, barrel, edges).pieces) == 2
    forced = draft(KIND, barrel, edges, {"bands": 1})
    assert not check(forced, "stands off").passed
    assert forced.pieces[0].verdict.level == "paper"


def test_lacing_leaves_the_gap_asked_for() -> None:
    closed = draft(KIND, CYLINDER, STRAIGHT, {"join": "butt"}).pieces[0]
    laced = draft(KIND, CYLINDER, STRAIGHT, {"join": "lacing", "lacing_gap": "30 mm"}).pieces[0]
    proper(laced)
    assert closed.edge("bottom").length - laced.edge("bottom").length == pytest.approx(30.0, abs=1e-6)
    assert laced.edge("left").seam is None


def test_an_overlap_is_allowance_on_one_end_only() -> None:
    piece = draft(KIND, CYLINDER, STRAIGHT, {"overlap": "45 mm"}).pieces[0]
    assert piece.edge("right").allowance == 45.0
    assert piece.edge("left").allowance == 0.0
    cut = cut_line(piece.edges)
    assert np.ptp(cut[:, 0]) - np.ptp(piece.stitch_line[:, 0]) == pytest.approx(45.0, abs=0.01)


def test_a_plate_covers_its_share() -> None:
    piece = draft(KIND, CYLINDER, STRAIGHT, {"cover": "40 %", "centre": "outside"}).pieces[0]
    proper(piece)
    assert piece.edge("bottom").length == pytest.approx(0.4 * 2.0 * math.pi * 45.5, abs=1.5)
    assert piece.edge("left").seam is None
    # Its centre line is its middle.
    assert piece.stitch_line[:, 0].max() == pytest.approx(-piece.stitch_line[:, 0].min(), abs=1.5)


def test_how_far_it_slides_in_closed_form() -> None:
    # Widening downward by 0.1 mm a millimetre, 3 mm of room: caught after 30 mm. Narrowing: never.
    widening = draft(
        KIND,
        form_with(round_limb(REGION, [40.0, 60.0], 200.0)),
        {"bottom": ring("b", REGION, 0.6), "top": ring("t", REGION, 0.2)},
        {"air": "3 mm"},
    )
    assert check(widening, "slides").value == pytest.approx(30.0, abs=2.0)
    narrowing = draft(
        KIND,
        form_with(round_limb(REGION, [60.0, 40.0], 200.0)),
        {"bottom": ring("b", REGION, 0.6), "top": ring("t", REGION, 0.2)},
    )
    assert not check(narrowing, "slides").passed
    assert "Nothing on the limb stops it" in check(narrowing, "slides").advice
    # Hung up, it is the same piece: sliding is said and does not spoil the verdict.
    assert narrowing.pieces[0].verdict.level == "good material"


def test_whether_the_hand_passes() -> None:
    wide = form_with(round_limb(REGION, [40.0, 40.0], 200.0), hand_with_thumb_girth_left=330.0)
    glued = draft(KIND, wide, STRAIGHT, {"join": "butt"})
    assert not check(glued, "passes through").passed
    assert glued.pieces[0].verdict.level == "paper"
    opened = draft(KIND, wide, STRAIGHT, {"join": "overlap"})
    assert check(opened, "passes through").passed
    assert any("open it to put it on" in line for line in opened.pieces[0].note)


@pytest.mark.parametrize(
    ("form", "cloth", "spread", "why"),
    [
        (
            form_with(CYLINDER.charts[REGION], estimated=frozenset({"wrist_girth_left"})),
            FOAM,
            0.0,
            "wrist girth",
        ),
        (
            CYLINDER,
            Cloth(slug="new", kind="foam", name="new foam", width=1e3, areal_mass=500.0, thickness=5.0),
            0.0,
            "untested",
        ),
        (CYLINDER, FOAM, 0.012, "sure to"),
    ],
)
def test_what_keeps_a_piece_from_good_material(form, cloth: Cloth, spread: float, why: str) -> None:
    top = line("t", REGION, [(0.2, k / 8.0, False) for k in range(8)], spread=spread)
    piece = draft(KIND, form, {"bottom": STRAIGHT["bottom"], "top": top}, cloth=cloth).pieces[0]
    assert piece.verdict.level == "scrap"
    (reason,) = piece.verdict.reasons
    assert why in reason.why
    assert reason.lifted_by


def test_left_and_right_are_one_pair_only_where_they_are_alike() -> None:
    left, right = (round_limb(f"forearm_{side}", [45.0, 30.0], 240.0) for side in ("left", "right"))
    alike = draft(KIND, form_with(left, right), STRAIGHT, side="both")
    (pair,) = alike.pieces
    assert (pair.side, pair.count) == ("both", 2)
    thicker = round_limb("forearm_right", [47.0, 31.0], 240.0)
    unlike = draft(KIND, form_with(left, thicker), STRAIGHT, side="both")
    assert [(p.slug, p.side, p.count) for p in unlike.pieces] == [
        ("guard_left", "left", 1),
        ("guard_right", "right", 1),
    ]
    assert unlike.pieces[1].edge("top").length > unlike.pieces[0].edge("top").length + 10.0


def test_foam_is_bevelled_where_bands_meet_at_an_angle() -> None:
    # Two cones of 0.2 and -0.2 lean: atan(0.2) = 11.3 degrees each way, and each edge takes half of both.
    form = form_with(round_limb("shank_left", [40.0, 70.0, 40.0], 300.0))
    result = draft(
        KIND,
        form,
        {"bottom": ring("b", "shank_left", 1.0), "top": ring("t", "shank_left", 0.0)},
        {"bands": 2},
    )
    note = "\n".join(result.pieces[0].note)
    assert "Bevel the top edge toward the inside: blade tilted about 11 degrees" in note
    assert "Bevel the bottom edge" in "\n".join(result.pieces[1].note)


def test_totals_are_what_a_tape_reads_on_the_paper() -> None:
    piece = draft(KIND, CYLINDER, STRAIGHT).pieces[0]
    assert len(piece.totals) == 3
    assert piece.totals[0].length == pytest.approx(piece.edge("bottom").length)
    assert piece.totals[1].length == pytest.approx(piece.edge("top").length)
    assert piece.totals[2].length == pytest.approx(140.0, abs=1e-6)
    assert any("blade" in caution.lower() for caution in piece.cautions)


@pytest.mark.parametrize(
    ("edges", "words"),
    [
        ({"bottom": ring("b", REGION, 0.2), "top": ring("t", REGION, 0.9)}, "does not lie above"),
        ({"bottom": ring("b", "forearm_left", 0.9)}, "needs a top edge"),
    ],
)
def test_edges_that_bound_nothing_are_refused(edges, words: str) -> None:
    with pytest.raises(DraftError, match=words) as caught:
        draft(KIND, CYLINDER, edges)
    assert "piece guard" in str(caught.value)


def test_a_bare_number_is_refused() -> None:
    with pytest.raises(DraftError, match="no unit"):
        draft(KIND, CYLINDER, STRAIGHT, {"air": 3})


def test_a_band_is_moved_out_by_the_neutral_share_of_its_thickness() -> None:
    band = Band(low_height=0.0, high_height=10.0, low=np.full(240, 30.0), high=np.full(240, 30.0))
    assert band.offset(2.0).low == pytest.approx(np.full(240, 32.0))


def test_the_arrow_stands_on_the_narrowest_band() -> None:
    # A band that dips to 20 mm where the arrow would stand moves it to where there is room.
    dip = [(0.45 + 0.11 * math.sin(2 * math.pi * k / 24), k / 24, False) for k in range(24)]
    narrow = draft(
        KIND,
        form_with(round_limb(REGION, [60.0, 55.0], 300.0)),
        {"bottom": ring("b", REGION, 0.65), "top": line("t", REGION, dip)},
    )
    for piece in narrow.pieces:
        arrow = LineString([piece.grainline.start, piece.grainline.end])
        assert Polygon(piece.stitch_line).contains(arrow)
        assert arrow.length > 5.0
