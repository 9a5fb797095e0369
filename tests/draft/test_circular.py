"""Circular pieces: published radii on the paper, a hem that is level on a body of known shape, true seams."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hanging_bodies import WOOL, ask, line_at, proper, turned_body
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon
from stiff_limbs import ring, round_limb

from layfigure.body.chart import ChartPoint
from layfigure.design.design import DesignEdge, EdgePoint
from layfigure.draft.circular.kind import KIND
from layfigure.draft.circular.worn import LIMB_ROWS, ROWS
from layfigure.errors import DraftError
from layfigure.geometry.pleat_row import PleatRow
from layfigure.geometry.polyline import length
from layfigure.piece.seam_allowance import cut_line

# Waist 100 at 1000 mm, hips 150 at 800 mm, straight down from there.
BODY = turned_body([(1300.0, 160.0), (1000.0, 100.0), (800.0, 150.0), (5.0, 150.0)])
NO_EASE = {"ease": "0 mm"}


def waist(slope: float = 0.0) -> dict[str, object]:
    return {"top": line_at(BODY, "waist", 1000.0, slope=slope)}


@pytest.mark.parametrize(("share", "radius"), [("full", 4.138), ("half", 8.276), ("quarter", 16.552)])
def test_the_published_radii_are_on_the_paper(share: str, radius: float) -> None:
    # Waist 26 in: prettyquirkypants.com 2014/03/07, exact values.
    options = {"top_girth": "26 in", "circle": share, "length": "10 in", "panels": 2, **NO_EASE}
    pieces = ask(KIND, BODY, {}, options).pieces
    for piece in pieces[:2]:
        top, hem = piece.edge("top"), piece.edge("hem")
        assert np.linalg.norm(top.curve, axis=1) == pytest.approx(radius * 25.4, rel=1e-4)
        assert np.linalg.norm(hem.curve, axis=1) == pytest.approx((radius + 10.0) * 25.4, rel=1e-4)
        assert top.length == pytest.approx(13.0 * 25.4, rel=1e-5)


@settings(max_examples=20, deadline=None)
@given(st.floats(400.0, 1300.0), st.floats(0.2, 1.0), st.floats(150.0, 1000.0))
def test_any_part_of_a_circle_is_sewn_from_its_panels(waist: float, share: float, deep: float) -> None:
    options = {"top_girth": f"{waist:.6f} mm", "share": f"{100.0 * share:.6f} %", "length": f"{deep:.6f} mm",
               **NO_EASE}  # fmt: skip
    panels = [p for p in ask(KIND, BODY, {}, options).pieces if "band" not in p.slug]
    assert sum(panel.edge("top").length for panel in panels) == pytest.approx(waist, rel=1e-4)
    hem = waist + 2.0 * math.pi * share * deep
    assert sum(panel.edge("hem").length for panel in panels) == pytest.approx(hem, rel=1e-4)
    area = sum(Polygon(panel.stitch_line).area for panel in panels)
    # Lateral area by girths and slant (Longfield 1921, p. 91): (C1 + C2) / 2 x s.
    assert area == pytest.approx(0.5 * (waist + hem) * deep, rel=1e-3)


def test_the_hem_is_level_over_the_hips(tmp_path) -> None:
    result = ask(KIND, BODY, waist(), {"hem_height": "300 mm", "circle": "full", **NO_EASE})
    proper(result.pieces, tmp_path)
    panels = [piece for piece in result.pieces if "band" not in piece.slug]
    # As a tape runs: 50 out and 200 down, then 500 plumb. The body is sliced every 8 mm.
    fall = math.hypot(50.0, 200.0) + 500.0
    for panel in panels:
        assert panel.edge("left").length == pytest.approx(fall, abs=0.3)
        out = np.linalg.norm(panel.edge("hem").curve, axis=1) - np.linalg.norm(panel.edge("top").curve[0])
        assert out == pytest.approx(fall, abs=0.3)
    assert sum(panel.edge("top").length for panel in panels) == pytest.approx(200.0 * math.pi, rel=1e-3)


def test_a_slanted_waist_still_ends_level() -> None:
    # The waist falls by 60 mm toward the back; every place falls to the same height.
    chart = BODY.charts["torso"]
    from layfigure.draft.hanging.fall import fall_from
    from layfigure.place.place import place_edge

    edge = DesignEdge(
        slug="w",
        closed=True,
        points=tuple(
            EdgePoint(at=ChartPoint(region="torso", around=k / 24.0, station=float(
                np.interp(-(940.0 + 30.0 * math.cos(2 * math.pi * k / 24.0)),
                          -chart.sections[:, 0, 2], chart.stations))))
            for k in range(24)
        ),
    )  # fmt: skip
    fall = fall_from(BODY, place_edge(edge, BODY).line)
    for turn in (0.0, 0.25, 0.5, 0.75):
        height = 940.0 + 30.0 * math.cos(2 * math.pi * turn)
        radius = 100.0 + 50.0 * (1000.0 - height) / 200.0
        expected = math.hypot(150.0 - radius, height - 800.0) + 500.0
        assert float(fall.down_to([turn], [300.0])[0]) == pytest.approx(expected, abs=1.0)


def test_cloth_hangs_plumb_below_the_widest_place_and_never_leans_in() -> None:
    from layfigure.draft.hanging.fall import fall_from

    pear = turned_body([(1300.0, 120.0), (1000.0, 90.0), (800.0, 170.0), (400.0, 60.0), (5.0, 60.0)])
    fall = fall_from(pear, pear.charts["torso"].points(np.full(65, 2.0), np.linspace(0, 1, 65)))
    assert (np.diff(fall.reach, axis=1) >= -1e-9).all()
    assert (np.diff(fall.height, axis=1) <= 1e-9).all()
    assert fall.reach[:, -1] == pytest.approx(170.0, abs=0.5)
    slope = np.diff(fall.reach, axis=1) / 5.0
    assert (np.diff(slope, axis=1) <= 1e-6).all()  # taut: it bends one way only


def test_cloth_aslant_and_right_round_is_as_long_as_from_place_to_place() -> None:
    from layfigure.draft.hanging.fall import fall_from

    pear = turned_body([(1300.0, 120.0), (1000.0, 90.0), (800.0, 170.0), (400.0, 60.0), (5.0, 60.0)])
    line = pear.charts["torso"].points(2.0 + 0.4 * np.sin(np.linspace(0, 6.28, 65)), np.linspace(0, 1, 65))
    fall = fall_from(pear, line)
    turn = 0.9 + np.linspace(-0.3, 0.3, 7)[:, None] * np.linspace(1.0, 0.6, len(fall.distance)) ** 2
    length, height = fall.along(turn)
    places = fall.at(turn, fall.distance)
    steps = np.linalg.norm(np.diff(places, axis=1), axis=2)
    assert height == pytest.approx(places[..., 2], abs=1e-9)
    assert length[:, 1:] == pytest.approx(np.cumsum(steps, axis=1), abs=1e-8)
    assert (length[:, 0] == 0.0).all()
    every = fall.at(np.arange(96)[:, None] / 96, fall.distance)
    round_it = np.linalg.norm(every - np.roll(every, 1, axis=0), axis=2).sum(axis=0)
    assert fall.girths() == pytest.approx(round_it, abs=1e-8)


def test_a_thickness_beneath_lengthens_the_waist_by_its_round() -> None:
    bare, over = (ask(KIND, BODY, waist(), {"hem_height": "300 mm", **NO_EASE}, stack=s) for s in (0.0, 5.0))
    bands = [next(p for p in result.pieces if p.slug == "thing_band") for result in (bare, over)]
    grown = bands[1].totals[0].length - bands[0].totals[0].length
    assert grown == pytest.approx(2.0 * math.pi * 5.0, abs=1e-6)


def test_a_skirt_that_does_not_go_over_the_hips_says_so() -> None:
    result = ask(KIND, BODY, waist(), {"share": "20 %", "hem_height": "300 mm", **NO_EASE})
    (tight,) = [check for check in result.checks if not check.passed]
    # 628 at the waist and 0.4 pi for each of the 206 mm to the hips, which are 942 round.
    assert tight.value == pytest.approx(0.4 * math.pi * 206.2 - 100.0 * math.pi, abs=4.0)
    assert "more of a circle" in tight.advice
    assert result.pieces[0].verdict.level == "paper"


def test_a_cape_opens_in_front_and_reaches_as_far_round_as_its_cloth(tmp_path) -> None:
    body = turned_body([(1400.0, 60.0), (1380.0, 60.0), (1350.0, 200.0), (5.0, 200.0)])
    top = {"top": line_at(body, "neck", 1380.0)}
    options = {"use": "cape", "circle": "quarter", "hem_height": "400 mm", "hood": False, **NO_EASE}
    result = ask(KIND, body, top, options, cloths={"lining": "silk", "interfacing": "silk"})
    proper(result.pieces, tmp_path)
    (_, cover, _) = result.checks
    down = math.hypot(140.0, 30.0)
    assert cover.value == pytest.approx(
        (120.0 * math.pi + 0.5 * math.pi * down) / (400.0 * math.pi), rel=0.03
    )
    panels = [piece for piece in result.pieces if piece.slug in ("thing", "thing_1", "thing_2")]
    free = [edge for piece in panels for edge in piece.edges if edge.role == "opening"]
    assert len(free) == 2
    # Drawn back over the shoulders, the front edges run aslant and need more than the middle of the back.
    lengths = [edge.length for edge in free]
    assert lengths[0] == pytest.approx(lengths[1], abs=0.5)
    assert min(lengths) > down + 950.0
    lining = [piece for piece in result.pieces if "lining" in piece.slug]
    assert [p.edge("left").length for p in lining] == pytest.approx(
        [p.edge("left").length - 20.0 for p in panels]
    )


def test_a_collar_is_a_frustum_sewn_to_the_whole_neck_edge() -> None:
    options = {"use": "cape", "top_girth": "400 mm", "length": "600 mm", "panels": 2,
               "collar_height": "50 mm", "collar_lean": "30 mm", **NO_EASE}  # fmt: skip
    collar = next(p for p in ask(KIND, BODY, {}, options).pieces if p.slug == "thing_collar")
    assert collar.totals[0].length == pytest.approx(400.0, abs=0.01)
    assert collar.totals[1].length == pytest.approx(370.0, abs=0.01)
    # Published for contour belts, inner radius = a d / (b - a): 370 x 50 / 30.
    assert np.linalg.norm(collar.edge("upper").curve, axis=1) == pytest.approx(370.0 * 50.0 / 30.0, rel=1e-4)


def test_pleats_close_to_the_waist_and_open_over_the_hips(tmp_path) -> None:
    options = {"circle": "straight", "pleats": "knife", "pleat_count": 15, "pleat_depth": "20 mm",
               "hem_height": "500 mm", "panels": 4, **NO_EASE}  # fmt: skip
    result = ask(KIND, BODY, waist(), options)
    proper(result.pieces, tmp_path)
    panels = [piece for piece in result.pieces if "band" not in piece.slug]
    # Sixteen: as many in every panel.
    assert sum(p.edge("top").length for p in panels) == pytest.approx(628.0 + 16 * 40.0, rel=2e-3)
    folds = [line for p in panels for line in p.lines if line.kind == "fold"]
    assert len(folds) == 16
    assert all(check.passed for check in result.checks)


def test_a_pleat_s_hidden_hem_lies_on_the_line_that_shows() -> None:
    # A waist that falls toward the back makes the hem's edge uneven.
    chart = BODY.charts["torso"]
    ways = np.arange(24) / 24.0
    heights = 940.0 + 30.0 * np.cos(2.0 * np.pi * ways)
    stations = np.interp(-heights, -chart.sections[:, 0, 2], chart.stations)
    edge = DesignEdge(
        slug="w",
        closed=True,
        points=tuple(
            EdgePoint(at=ChartPoint(region="torso", station=float(s), around=float(a)))
            for s, a in zip(stations, ways, strict=True)
        ),
    )
    options = {"circle": "straight", "pleats": "inverted", "pleat_count": 6, "pleat_depth": "30 mm",
               "hem_height": "500 mm", "panels": 1, **NO_EASE}  # fmt: skip
    panel = ask(KIND, BODY, {"top": edge}, options).pieces[0]
    hem = panel.edge("hem").curve
    row = PleatRow(kind="inverted", count=6, depth=30.0, finished=panel.edge("top").length - 6 * 120.0)
    worn = row.worn(hem[:, 0] - hem[0, 0])
    # Of each worn place, the layers end at the same height.
    for place in np.linspace(0.05, 0.95, 30) * row.finished:
        layers = hem[np.abs(worn - place) < 1.0, 1]
        assert np.ptp(layers) < 1.0
    assert np.ptp(hem[:, 1]) > 30.0


def test_a_gathered_edge_is_drawn_up_to_its_band(tmp_path) -> None:
    options = {"circle": "straight", "gather": 2.5, "hem_height": "500 mm", "panels": 3, **NO_EASE}
    result = ask(KIND, BODY, waist(), options)
    proper(result.pieces, tmp_path)
    panels = [piece for piece in result.pieces if "band" not in piece.slug]
    tops = [panel.edge("top") for panel in panels]
    assert sum(top.length for top in tops) == pytest.approx(2.5 * 200.0 * math.pi, rel=1e-3)
    assert sum(top.length - top.eased for top in tops) == pytest.approx(200.0 * math.pi, rel=1e-3)


def test_an_elastic_waist_passes_over_the_hips(tmp_path) -> None:
    result = ask(KIND, BODY, waist(), {"hem_height": "500 mm", "top_finish": "elastic", **NO_EASE})
    proper(result.pieces, tmp_path)
    panels = [piece for piece in result.pieces if "band" not in piece.slug]
    assert sum(p.edge("top").length for p in panels) >= 300.0 * math.pi
    (elastic,) = result.items
    # 85 to 95 % of the body: common practice.
    assert elastic.length is not None
    assert 0.85 * 200.0 * math.pi < elastic.length < 0.95 * 200.0 * math.pi + 12.0


def test_a_ruffle_by_fullness() -> None:
    options = {"use": "ruffle", "top_girth": "500 mm", "length": "80 mm", "fullness": 2.5, **NO_EASE}
    pieces = ask(KIND, BODY, {}, options).pieces
    hem = sum(length(piece.edge("hem").curve) for piece in pieces)
    assert hem == pytest.approx(2.5 * 500.0, rel=1e-4)


def test_a_ruffle_round_a_limb_opens_toward_the_hand() -> None:
    arm = round_limb("forearm_left", [50.0, 40.0], 250.0)
    body = replace(BODY, charts={**BODY.charts, "forearm_left": arm})
    options = {"use": "ruffle", "length": "80 mm", "fullness": 2.0, **NO_EASE}
    (worn,) = ask(KIND, body, {"top": ring("cuff", "forearm_left", 0.9)}, options).worn
    rows = worn.mesh.vertices.reshape(-1, LIMB_ROWS + 1, 3)
    axis = arm.section(0.9).mean(axis=0)[:2]
    radius = np.linalg.norm(rows[..., :2] - axis, axis=2).mean(axis=0)
    # The hem is twice the wrist's girth, on a cone 80 mm deep along its side.
    assert radius[-1] - radius[0] == pytest.approx(radius[0] - 4.0, rel=0.02)
    assert rows[:, -1, 2].max() < rows[:, 0, 2].min()


def test_the_cloth_s_width_decides_how_many_panels() -> None:
    result = ask(KIND, BODY, waist(), {"hem_height": "100 mm", "circle": "full"})
    panels = [piece for piece in result.pieces if "band" not in piece.slug]
    for panel in panels:
        assert np.ptp(cut_line(panel.edges)[:, 0]) <= WOOL.width + 1.0
    fewer = ask(KIND, BODY, waist(), {"hem_height": "700 mm", "circle": "full"})
    assert len(fewer.pieces) - 1 < len(panels)


def test_no_seam_falls_inside_a_pleat_and_too_wide_a_panel_is_told() -> None:
    options = {"circle": "straight", "pleats": "box", "pleat_count": 7, "pleat_depth": "40 mm",
               "hem_height": "500 mm", **NO_EASE}  # fmt: skip
    result = ask(KIND, BODY, waist(), options)
    panels = [piece for piece in result.pieces if "band" not in piece.slug]
    assert len(panels) == 2
    folds = [sum(line.kind == "fold" for line in panel.lines) for panel in panels]
    assert folds == [8, 8]
    one = ask(KIND, BODY, waist(), {**options, "panels": 1})
    assert any("wider cloth" in check.advice for check in one.checks)


def test_a_skirt_over_half_the_body_has_free_edges(tmp_path) -> None:
    behind = {"top": line_at(BODY, "half", 1000.0, start=0.25, end=0.75)}
    result = ask(KIND, BODY, behind, {"circle": "quarter", "hem_height": "300 mm", **NO_EASE})
    proper(result.pieces, tmp_path)
    panels = [piece for piece in result.pieces if "band" not in piece.slug]
    assert sum(panel.edge("top").length for panel in panels) == pytest.approx(100.0 * math.pi, rel=2e-3)
    assert sum(edge.role == "opening" for panel in panels for edge in panel.edges) == 2
    places = result.worn[0].mesh.vertices
    # Behind the wearer: y points back.
    assert places[:, 1].mean() > 50.0


def test_a_piece_of_nothing_is_refused() -> None:
    with pytest.raises(DraftError, match="what it is cut from"):
        ask(KIND, BODY, waist(), {"hem_height": "300 mm"}, cloth=replace(WOOL, slug=""))


def test_the_worn_cloth_ends_at_the_hem_and_stays_outside_the_body() -> None:
    worn, band = ask(KIND, BODY, waist(), {"hem_height": "300 mm", "circle": "half"}).worn
    vertices = worn.mesh.vertices
    assert vertices[:, 2].min() == pytest.approx(300.0, abs=2.0)
    assert len(worn.mesh.faces) <= 3000
    radius = np.interp(-vertices[:, 2], [-1000.0, -800.0, 0.0], [100.0, 150.0, 150.0])
    assert (np.linalg.norm(vertices[:, :2], axis=1) > radius).all()
    assert band.mesh.vertices[:, 2].min() == pytest.approx(1000.0, abs=1.0)
    assert band.mesh.vertices[:, 2].max() == pytest.approx(1035.0, abs=1.0)


def test_a_cape_s_hem_is_level_to_its_front_edges() -> None:
    body = turned_body([(1400.0, 60.0), (1380.0, 60.0), (1350.0, 200.0), (5.0, 200.0)])
    top = {"top": line_at(body, "neck", 1380.0)}
    worn = ask(KIND, body, top, {"use": "cape", "circle": "quarter", "hem_height": "400 mm"}).worn[0]
    hem = worn.mesh.vertices.reshape(-1, ROWS + 1, 3)[:, -1, 2]
    assert hem == pytest.approx(400.0, abs=1.5)


def test_a_cape_s_hem_is_level_over_shoulders_that_stand_out_at_the_sides() -> None:
    profile = [(1400.0, 60.0), (1380.0, 60.0), (1350.0, 200.0), (1200.0, 210.0), (5.0, 150.0)]
    round_one = turned_body(profile)
    vertices = round_one.standing.vertices.copy()
    side = np.abs(np.arctan2(np.abs(vertices[:, 1]), np.abs(vertices[:, 0])))
    lower = np.clip((1390.0 - vertices[:, 2]) / 60.0, 0.0, 1.0)
    vertices[:, :2] *= (1.0 + 0.5 * lower * np.exp(-((side / 0.3) ** 2)))[:, None]
    body = replace(round_one, standing=replace(round_one.standing, vertices=vertices))
    top = {"top": line_at(body, "neck", 1380.0)}
    worn = ask(KIND, body, top, {"use": "cape", "circle": "quarter", "hem_height": "700 mm"}).worn[0]
    hem = worn.mesh.vertices.reshape(-1, ROWS + 1, 3)[:, -1, 2]
    # To the width of one column, a sharp corner of the outline is rounded.
    assert hem == pytest.approx(700.0, abs=3.0)
    assert hem[[0, -1]] == pytest.approx(700.0, abs=0.2)


@pytest.mark.parametrize(
    ("edges", "options", "words"),
    [
        (False, {"length": "50 cm"}, "how long the top edge is"),
        (True, {}, "how long it is"),
        (True, {"length": "2 m"}, "longer than the way to the floor"),
        (True, {"hem_height": "1.2 m"}, "at the top edge or above"),
        (False, {"top_girth": "70 cm", "length": "50 cm", "top_finish": "elastic"}, "must pass over"),
        (False, {"top_girth": "40 cm", "length": "50 cm", "use": "cape", "hood": True}, "needs a head"),
        (False, {"top_girth": "4 m", "length": "3 m", "circle": "straight", "panels": None}, None),
        (False, {"top_girth": "70 cm", "length": "50 cm", "circle": "full", "panels": 1}, "lap over itself"),
    ],
)
def test_what_cannot_be_is_refused(edges: bool, options: dict[str, object], words: str | None) -> None:
    asked = {key: value for key, value in options.items() if value is not None}
    if words is None:
        assert ask(KIND, BODY, {}, asked).pieces
        return
    with pytest.raises(DraftError, match=words) as caught:
        ask(KIND, BODY, waist() if edges else {}, asked)
    assert caught.value.advice
