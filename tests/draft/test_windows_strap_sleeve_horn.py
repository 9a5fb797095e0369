"""Windows in straps, set-in sleeves and horns: against arcs, cylinders and the planes of a prism."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely
from knit_requests import preset
from stiff_limbs import RADIUS, line, ring
from window_requests import CLOTHS, FOAM, HIDE, cut, draft, motifs, patch, size_of

from layfigure.body.form import Form
from layfigure.design.design import PieceStatement
from layfigure.draft.registry import DraftRequest, DraftResult, validated_options
from layfigure.draft.shell.gore_pieces import PieceWords
from layfigure.draft.shell.horn import make_horn
from layfigure.draft.shell.horn_strips import horn_strips
from layfigure.draft.shell.kind import KIND as SHELL
from layfigure.draft.shell.shell_windows import horn_sheets
from layfigure.draft.strap.kind import KIND as STRAP
from layfigure.draft.window.behind import BACKING_TRIM
from layfigure.draft.woven.kind import KIND as WOVEN
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length
from layfigure.piece.piece import Piece, Verdict
from layfigure.place.placement import Placement


@pytest.fixture(scope="module")
def woman() -> Form:
    return preset("woman")


def on_strap(form: Form, way: float, *, up: float = 0.0, size: float = 24.0, **asked: Any) -> DraftResult:
    edge = {"line": ring("l", "torso", 2.5)}
    row = motifs(
        form, "torso", [(2.5 - up, way), (2.5 - up, way + 0.04)], size=size, shape="circle", width=1.0
    )
    options = {"width": "60 mm"} | asked.pop("options", {})
    return draft(STRAP, form, edge, row, options, cloth=HIDE, **asked)


def test_a_strap_has_its_window_at_its_share_of_the_way_round_as_large_as_it_is(drum: Form) -> None:
    (piece, one), (_, other) = (cut(on_strap(drum, way), "eye_1") for way in (0.75, 0.85))
    # A circle of 24 mm, drawn as a polygon of many sides.
    assert one.area == pytest.approx(np.pi * 12.0**2, rel=2e-3)
    assert one.exterior.length == pytest.approx(np.pi * 24.0, rel=2e-3)
    round_once = piece.totals[0].length
    assert abs(other.centroid.x - one.centroid.x) == pytest.approx(0.1 * round_once, abs=0.2)
    assert one.centroid.y == pytest.approx(0.0, abs=0.1)
    # Five stations on 600 mm: 120 mm each.
    _, higher = cut(on_strap(drum, 0.85, up=0.05, options={"width": "70 mm"}), "eye_1")
    assert abs(higher.centroid.y) == pytest.approx(0.05 * 120.0, abs=0.1)
    assert higher.centroid.x == pytest.approx(other.centroid.x, abs=0.2)
    assert any("as far along the strap" in told for told in piece.note)


def test_what_shows_through_a_strap_is_glued_behind_it(drum: Form) -> None:
    result = on_strap(drum, 0.8, backing="net", options={"backing_as": "inset"})
    piece, shape = cut(result, "eye_1")
    (behind,) = [other for other in result.pieces if other.cloth == "net"]
    assert shapely.Polygon(behind.stitch_line).buffer(0.1 - BACKING_TRIM).covers(shape)
    arrow = shapely.LineString([piece.grainline.start, piece.grainline.end])
    assert arrow.distance(shape) > 2.9
    (check,) = [each for each in result.checks if "left beside" in each.what]
    assert shapely.Polygon(piece.stitch_line).exterior.distance(shape) == pytest.approx(check.value, abs=1e-6)
    assert check.value == pytest.approx(30.0 - 12.0, abs=0.1)


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ({"size": 50.0, "options": {"width": "40 mm"}}, "the window is wider than its piece"),
        ({"size": 30.0, "options": {"width": "40 mm"}}, "less than 10 mm of leather is left"),
    ],
)
def test_a_strap_too_narrow_for_its_window_says_so(drum: Form, asked: dict[str, Any], told: str) -> None:
    with pytest.raises(DraftError, match=told) as refused:
        on_strap(drum, 0.8, **asked)
    assert refused.value.advice


def test_a_strap_has_no_window_where_it_closes_and_lies_double(drum: Form) -> None:
    refused = []
    for way in np.arange(0.0, 1.0, 0.1):
        try:
            piece, shape = cut(on_strap(drum, float(way), options={"fastens_at": "50 %"}), "eye_1")
        except DraftError as error:
            refused.append(error.what)
            continue
        holes = [drawn.curve for drawn in piece.lines if drawn.closed]
        assert min(shapely.Polygon(hole).distance(shape) for hole in holes) >= 4.0
    # The tip is 270 mm past the middle hole, and lies on as much of the other end, of 890 mm all round.
    assert 3 <= len(refused) <= 5
    assert sum("lies double" in what for what in refused) >= 2


SLEEVED = {"garment": "bodice", "window_edge": "bound"}


def sleeve(result: DraftResult, side: str = "left") -> Piece:
    return next(piece for piece in result.pieces if piece.slug == f"thing_sleeve_{side}")


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_sleeve_carries_a_window_as_a_tapered_tube_does(woman: Form, side: str) -> None:
    stations, ways = (0.35, 0.6), (0.15, 0.35)
    window = {"eye": patch("eye", f"forearm_{side}", stations, ways)}
    piece, shape = cut(draft(WOVEN, woman, {}, window, SLEEVED))
    assert piece.slug == f"thing_sleeve_{side}"
    # Along the bones as far from the wrist as on the arm; across, 0.2 of its width there, half of the front
    # half and half of the back half.
    arm, elbow, wrist = (woman.landmarks[f"{n}_{side}"] for n in ("shoulder_point", "elbow", "wrist"))
    bone = (wrist - elbow) / np.linalg.norm(wrist - elbow)
    chart = woman.charts[f"forearm_{side}"]
    ends = [float((chart.points([t], [0.25])[0] - elbow) @ bone) for t in stations]
    whole = float(np.linalg.norm(elbow - arm) + np.linalg.norm(wrist - elbow))
    top = max(float(edge.curve[:, 1].max()) for edge in piece.edges)
    low, high = shape.bounds[1], shape.bounds[3]
    assert high == pytest.approx(top - whole + np.linalg.norm(wrist - elbow) - ends[0], abs=4.0)
    assert high - low == pytest.approx(ends[1] - ends[0], abs=8.0)
    level = shapely.LineString([(-500.0, shape.centroid.y), (500.0, shape.centroid.y)])
    left, _, right, _ = shapely.Polygon(piece.stitch_line).intersection(level).bounds
    assert shape.area == pytest.approx(0.2 * (right - left) * (ends[1] - ends[0]), rel=0.03)
    assert any("share of the way round" in told for told in piece.note)


def test_a_motif_on_a_sleeve_keeps_its_shape_and_has_its_backing_set_in(woman: Form) -> None:
    row = motifs(woman, "upper_arm_left", [(0.5, 0.25), (0.56, 0.25)], size=40.0, shape="circle", width=1.0)
    result = draft(WOVEN, woman, {}, row, SLEEVED | {"backing_as": "inset"}, backing="net")
    piece, shape = cut(result, "eye_1")
    assert piece.slug == "thing_sleeve_left"
    assert shape.area == pytest.approx(np.pi * 20.0**2, rel=2e-3)
    assert size_of(shape) == pytest.approx(40.0, rel=2e-3)
    # On the outside of the arm, which the middle of the sleeve lies along; the half behind is wider than the
    # one in front, so that its middle lies a little behind.
    assert shape.centroid.x == pytest.approx(0.0, abs=4.0)
    (inset,) = [other for other in result.pieces if other.cloth == "net"]
    assert sum(edge.length for edge in inset.edges) == pytest.approx(shape.exterior.length, abs=0.05)


def test_a_window_round_the_seam_of_a_sleeve_is_refused_or_cut_in_two(woman: Form) -> None:
    window = {"eye": patch("eye", "forearm_left", (0.3, 0.6), (0.68, 0.82))}
    with pytest.raises(DraftError, match="crosses the seam of thing sleeve left with itself") as refused:
        draft(WOVEN, woman, {}, window, SLEEVED)
    assert "across_seams" in refused.value.advice
    result = draft(WOVEN, woman, {}, window, SLEEVED | {"across_seams": True})
    parts = [drawn.curve for drawn in sleeve(result).lines if drawn.label.startswith("eye: cut")]
    assert len(parts) == 2
    (met,) = [check for check in result.checks if "halves of a window" in check.what]
    assert met.value < 0.05


def test_a_coat_has_windows_in_its_sleeves_too(woman: Form) -> None:
    row = motifs(woman, "forearm_right", [(0.4, 0.2), (0.46, 0.2)], size=30.0, shape="circle", width=1.0)
    result = draft(
        WOVEN, woman, {}, row, {"garment": "coat", "window_edge": "bound"}, cloths={"lining": "wool"}
    )
    piece, _ = cut(result, "eye_1")
    assert piece.slug == "thing_sleeve_right"
    lining = next(other for other in result.pieces if other.slug == "thing_sleeve_right_lining")
    assert any(drawn.kind == "trim" for drawn in lining.lines)


HORN = {"shape": "horn", "sides": 4}


def test_an_outline_behind_a_prism_lies_on_its_face_as_lines_of_sight_have_it(drum: Form) -> None:
    # The face of a square prism is a plane at a distance D from the drum's axis: what lies at an angle a on
    # the drum is seen at D tan(a), at its own height.
    upright = np.column_stack([np.zeros(60), np.full(60, -180.0), np.linspace(1000.0, 1600.0, 60)])
    horn = make_horn(upright, np.array([80.0, 80.0]), 4, np.array([1.0, 1.0, 0.0]) / np.sqrt(2.0))
    statement = PieceStatement(slug="piece", kind="shell", cloth="foam", side="left", options=HORN)
    request = DraftRequest(
        statement=statement,
        options=validated_options(SHELL, HORN, where="test"),
        form=drum,
        placement=Placement(wearer="test", edges={}),
        cloths=CLOTHS,
    )
    words = PieceWords(verdict=Verdict(level="paper"), note=(), cautions=())
    strips = horn_strips(request, FOAM, words, horn, "horn")
    sheets = horn_sheets(strips, drum)
    half, low, high = np.radians(5.0), 1250.0, 1290.0
    run = np.linspace(-1.0, 1.0, 30)[:-1]
    angle = half * np.concatenate([run, np.ones(29), -run, -np.ones(29)])
    height = np.concatenate([np.full(29, low), low + 0.5 * (run + 1.0) * (high - low), np.full(29, high),
                             high - 0.5 * (run + 1.0) * (high - low)])  # fmt: skip
    places = np.column_stack([RADIUS * np.sin(angle), -RADIUS * np.cos(angle), height])
    distance = float(np.abs(horn.rings[..., 1]).max())
    (sheet,) = [each for each in sheets if each.outline.contains(shapely.MultiPoint(each.flat(places)))
                and each.carry(places)[1].max() < 0.1]  # fmt: skip
    flat = sheet.flat(places)
    wide = 2.0 * distance * np.tan(half)
    assert shapely.Polygon(flat).area == pytest.approx(wide * (high - low), rel=2e-3)
    assert length(flat, closed=True) == pytest.approx(2.0 * (wide + high - low), rel=2e-3)


def test_a_horn_along_an_arm_has_its_window_on_the_outside(woman: Form) -> None:
    way = line("along", "upper_arm_left", [(0.2, 0.25, False), (0.9, 0.25, False)])
    along = {"line": replace(way, closed=False)}
    row = motifs(woman, "upper_arm_left", [(0.5, 0.3), (0.54, 0.3)], size=20.0, shape="circle", width=1.0)
    options = HORN | {"base": "110 mm", "tip": "70 mm"}
    result = draft(SHELL, woman, along, row, options, cloth=FOAM, side="left", backing="net")
    piece, shape = cut(result, "eye_1")
    # Its corners are round to 2 mm: a circle stays what it is.
    assert shape.area == pytest.approx(np.pi * 10.0**2, rel=5e-3)
    (behind,) = [other for other in result.pieces if other.cloth == "net"]
    assert shapely.Polygon(behind.stitch_line).buffer(0.1 - BACKING_TRIM).covers(shape)
    large = motifs(woman, "upper_arm_left", [(0.5, 0.3), (0.54, 0.3)], size=90.0, shape="circle", width=1.0)
    with pytest.raises(DraftError, match=r"crosses the seam between|wider than its piece") as refused:
        draft(SHELL, woman, along, large, options, cloth=FOAM, side="left")
    assert refused.value.advice
    assert any("straight out from the skin" in told for told in piece.note)
