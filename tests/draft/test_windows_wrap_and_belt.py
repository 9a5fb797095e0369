"""Windows in stiff bands and belts: exact on the sheet as it is laid flat, by the rules of the sheet."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from stiff_limbs import form_with, ring, round_limb
from window_requests import FOAM, HIDE, SHEET, cut, draft, motifs, patch, size_of

from layfigure.body.form import Form
from layfigure.draft.belt.kind import KIND as BELT
from layfigure.draft.window.practice import least_strip
from layfigure.draft.wrap.kind import KIND as WRAP
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length

TALL, WIDE, NARROW = 240.0, 60.0, 45.0
EDGES = {"top": ring("t", "forearm_left", 0.15), "bottom": ring("b", "forearm_left", 0.85)}


@pytest.fixture(scope="module")
def cone() -> Form:
    return form_with(round_limb("forearm_left", [WIDE, NARROW], TALL))


def neutral(station: float, *, air: float = 3.0, sheet: float = 2.0) -> float:
    """Radius of the sheet's middle at a station: a cone, moved out by room and half the sheet."""
    return WIDE + (NARROW - WIDE) * station + air + 0.5 * sheet


def test_a_window_on_a_cone_is_cut_as_the_developed_cone_has_it(cone: Form) -> None:
    # Development of a frustum: between two levels a patch is a ring sector; both arcs and the slant keep
    # their lengths, and its area is the mean arc times the slant (elementary geometry).
    window = {"eye": patch("eye", "forearm_left", (0.4, 0.6), (0.9, 1.1))}
    result = draft(WRAP, cone, EDGES, window, {"window_edge": "raw"}, cloth=SHEET, side="left")
    piece, shape = cut(result)
    r0, r1, turn = neutral(0.4), neutral(0.6), 0.2 * 2.0 * math.pi
    slant = math.hypot(0.2 * TALL, r0 - r1)
    rounded_off = 4.0 * (1.0 - math.pi / 4.0) * 3.0**2
    assert shape.area == pytest.approx(0.5 * (r0 + r1) * turn * slant - rounded_off, rel=2e-4)
    whole = (r0 + r1) * turn + 2.0 * slant - 4.0 * (2.0 - math.pi / 2.0) * 3.0
    assert shape.exterior.length == pytest.approx(whole, rel=3e-4)
    # Half-way up between the edges, and opposite to where it opens: on the centre line.
    assert shape.centroid.x == pytest.approx(0.0, abs=0.3)
    assert shapely.Polygon(piece.stitch_line).contains(shape)
    assert any("punch" in line or "drill" in line for line in piece.note)


def test_a_row_keeps_the_sizes_it_states(cone: Form) -> None:
    row = motifs(
        cone, "forearm_left", [(0.25, 0.0), (0.75, 0.0)], size=36.0, size_end=20.0, count=3,
        shape="circle", width=1.0, spacing="gaps",
    )  # fmt: skip
    result = draft(WRAP, cone, EDGES, row, cloth=SHEET, side="left")
    sizes = [size_of(cut(result, name)[1]) for name in row]
    assert sizes == pytest.approx([36.0, 28.0, 20.0], rel=2e-3)
    places = [cut(result, name)[1].centroid.y for name in row]
    gaps = -np.diff(places) - 0.5 * np.array([36.0 + 28.0, 28.0 + 20.0])
    assert gaps == pytest.approx(np.full(2, gaps.mean()), rel=0.05)


def test_a_bevel_counts_to_the_strip_that_is_left(cone: Form) -> None:
    window = {"eye": patch("eye", "forearm_left", (0.4, 0.6), (0.95, 1.05))}
    raw, bevelled = (
        draft(WRAP, cone, EDGES, window, {"window_edge": edge}, cloth=FOAM, side="left")
        for edge in ("raw", "bevelled")
    )
    left = [
        next(check.value for check in result.checks if "left beside" in check.what)
        for result in (raw, bevelled)
    ]
    assert left[0] - left[1] == pytest.approx(FOAM.thickness, abs=0.05)
    piece, shape = cut(bevelled)
    (outer,) = [line for line in piece.lines if "bevel from here" in line.label]
    assert shapely.Polygon(outer.curve).exterior.distance(shape) == pytest.approx(FOAM.thickness, abs=0.02)


def test_what_is_set_into_stiff_sheet_is_larger_and_glued_behind(cone: Form) -> None:
    window = {"eye": patch("eye", "forearm_left", (0.4, 0.6), (0.95, 1.05))}
    result = draft(WRAP, cone, EDGES, window, {"backing_as": "inset"}, cloth=HIDE, side="left", backing="net")
    behind = next(piece for piece in result.pieces if piece.slug == "thing_eye")
    assert behind.cloth == "net"
    _, shape = cut(result)
    assert shapely.Polygon(behind.stitch_line).buffer(-11.9).covers(shape)
    whole = draft(WRAP, cone, EDGES, window, cloth=HIDE, side="left", backing="net")
    backing = next(piece for piece in whole.pieces if piece.slug == "thing_backing")
    assert [line.kind for line in backing.lines].count("trim") == 1
    assert backing.edges[0].length == pytest.approx(whole.pieces[0].edges[0].length)


def test_a_lining_has_its_windows_and_a_stiffener_none(cone: Form) -> None:
    window = {"eye": patch("eye", "forearm_left", (0.4, 0.6), (0.95, 1.05))}
    result = draft(WRAP, cone, EDGES, window, cloth=HIDE, side="left", cloths={"lining": "wool"})
    lining = next(piece for piece in result.pieces if piece.slug == "thing_lining")
    assert any(line.kind == "trim" for line in lining.lines)


@pytest.mark.parametrize(
    ("stations", "ways", "told"),
    [
        ((0.17, 0.3), (0.95, 1.05), "of foam is left between the window and the edge of the piece"),
        ((0.1, 0.3), (0.95, 1.05), "runs off its piece"),
        ((0.4, 0.6), (0.45, 0.55), "runs off its piece|lies on none"),
        ((0.4, 0.405), (0.95, 1.05), "hardly wider"),
    ],
)
def test_windows_that_cannot_be_cut_are_refused(
    cone: Form, stations: tuple[float, float], ways: tuple[float, float], told: str
) -> None:
    window = {"eye": patch("eye", "forearm_left", stations, ways)}
    with pytest.raises(DraftError, match=told) as error:
        draft(WRAP, cone, EDGES, window, cloth=FOAM, side="left")
    assert error.value.advice
    assert "window eye" in error.value.where


def test_windows_too_near_to_each_other_are_refused(cone: Form) -> None:
    near = motifs(
        cone, "forearm_left", [(0.3, 0.0), (0.7, 0.0)], size=30.0, count=3, shape="circle", width=1.0
    )
    with pytest.raises(DraftError, match=f"less than {least_strip(FOAM):.0f} mm of foam .* window 'eye_1'"):
        draft(WRAP, cone, EDGES, near, cloth=FOAM, side="left")


def test_an_edge_that_a_material_does_not_take_is_refused_with_those_it_takes(cone: Form) -> None:
    window = {"eye": patch("eye", "forearm_left", (0.4, 0.6), (0.95, 1.05))}
    with pytest.raises(DraftError, match="an edge of foam is not faced") as error:
        draft(WRAP, cone, EDGES, window, {"window_edge": "faced"}, cloth=FOAM, side="left")
    assert "raw, bevelled" in error.value.advice


def test_a_window_over_two_bands_meets_at_their_seam() -> None:
    limb = form_with(round_limb("forearm_left", [62.0, 62.0, 44.0, 44.0], TALL, 49))
    window = {"eye": patch("eye", "forearm_left", (0.5, 0.75), (0.95, 1.05))}
    asked = {"bands": 2}
    with pytest.raises(DraftError, match="crosses the seam between thing"):
        draft(WRAP, limb, EDGES, window, asked, cloth=SHEET, side="left")
    result = draft(WRAP, limb, EDGES, window, asked | {"across_seams": True}, cloth=SHEET, side="left")
    (met,) = [check for check in result.checks if "halves of a window" in check.what]
    assert met.passed
    assert met.value < 0.05
    seams = {}
    for piece in result.pieces:
        (line,) = [each for each in piece.lines if each.label.startswith("eye: cut")]
        edge = next(edge for edge in piece.edges if edge.seam is not None and "band_1_2" in edge.seam)
        ends = [shapely.LineString(edge.curve).project(shapely.Point(end)) for end in line.curve[[0, -1]]]
        seams[piece.slug] = sorted(edge.length - d if edge.against else d for d in ends)
    one, other = seams.values()
    assert one == pytest.approx(other, abs=0.05)
    # The window is as wide there as its way round the sheet's middle at the break.
    assert 0.08 * 2 * math.pi * 44.0 < one[1] - one[0] < 0.12 * 2 * math.pi * 68.0


def test_a_belt_carries_a_window_to_its_share_of_the_way_round() -> None:
    trunk = form_with(round_limb("torso", [140.0, 140.0], 600.0, 61))
    # Five stations on 600 mm: 120 mm each.
    line = {"line": ring("l", "torso", 2.5)}
    row = motifs(trunk, "torso", [(2.5, 0.4), (2.5, 0.44)], size=24.0, shape="circle", width=1.0)
    result = draft(BELT, trunk, line, row, {"width": "60 mm"}, cloth=HIDE)
    piece, shape = cut(result, "eye_1")
    girth = next(total.length for total in piece.totals if total.what.startswith("middle line"))
    assert shape.centroid.x == pytest.approx(0.42 * girth, abs=0.2)
    assert shape.centroid.y == pytest.approx(0.0, abs=0.1)
    assert size_of(shape) == pytest.approx(24.0, rel=2e-3)
    higher = motifs(trunk, "torso", [(2.45, 0.4), (2.45, 0.44)], size=24.0, shape="circle", width=1.0)
    _, up = cut(draft(BELT, trunk, line, higher, {"width": "70 mm"}, cloth=HIDE), "eye_1")
    assert up.centroid.y == pytest.approx(0.05 * 120.0, abs=0.1)


@pytest.mark.parametrize(
    ("way", "width", "told"),
    [
        (0.02, "60 mm", "lies double"),
        (0.42, "30 mm", "of leather is left"),
        (0.42, "20 mm", "the window is wider than its piece"),
    ],
)
def test_a_belt_refuses_windows_where_it_is_too_narrow_or_closes(way: float, width: str, told: str) -> None:
    trunk = form_with(round_limb("torso", [140.0, 140.0], 600.0, 61))
    row = motifs(trunk, "torso", [(2.5, way), (2.5, way + 0.02)], size=22.0, shape="circle", width=1.0)
    with pytest.raises(DraftError, match=told):
        draft(BELT, trunk, {"line": ring("l", "torso", 2.5)}, row, {"width": width}, cloth=HIDE)


def test_outlines_of_windows_are_drawn_finely(cone: Form) -> None:
    row = motifs(cone, "forearm_left", [(0.4, 0.0), (0.6, 0.0)], size=40.0)
    piece, _ = cut(draft(WRAP, cone, EDGES, row, cloth=SHEET, side="left"), "eye_1")
    (window,) = piece.windows
    steps = np.linalg.norm(np.diff(window.curve, axis=0), axis=1)
    assert steps.max() < 2.0
    assert length(window.curve, closed=True) > 80.0
