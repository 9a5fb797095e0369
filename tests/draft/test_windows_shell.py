"""Windows in domes, helms and meshes: seen from the middle of the shell, cut by the rules of its sheet."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
import trimesh
from shells import ball_cap, body
from window_requests import CLOTHS, FOAM, SHEET, cut, draft, motifs

from layfigure.design.design import PieceStatement
from layfigure.draft.registry import DraftRequest, DraftResult, validated_options
from layfigure.draft.shell.dome import strap_marks
from layfigure.draft.shell.gore_pieces import PieceWords, gore_pieces
from layfigure.draft.shell.gores import cut_gores
from layfigure.draft.shell.kind import KIND
from layfigure.draft.shell.shell_windows import gore_sheets, seen_from
from layfigure.draft.window.behind import BACKING_TRIM
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length
from layfigure.piece.piece import Verdict
from layfigure.place.placement import Placement

KNEE = {"over": "knee"}


def on_the_knee(station: float, around: float, size: float, **asked: Any) -> DraftResult:
    form = body("woman")
    spot = motifs(form, "thigh_left", [(station - 0.02, around), (station + 0.02, around)], size=size)
    options = KNEE | asked.pop("options", {})
    return draft(KIND, form, {}, spot, options, side="left", **asked)


def test_an_outline_below_a_ball_is_carried_to_its_gore_as_large_and_as_far_as_spheres_have_it() -> None:
    # Area of a spherical patch R^2 (cos a - cos b) dphi, arcs R sin(a) dphi and R (b - a): elementary.
    radius, rim, count = 100.0, 1.15, 8
    gores = cut_gores(ball_cap(radius, rim), "piece", count=count)
    statement = PieceStatement(slug="piece", kind="shell", cloth="foam", side="left", options=KNEE)
    request = DraftRequest(
        statement=statement,
        options=validated_options(KIND, KNEE, where="test"),
        form=body("woman"),
        placement=Placement(wearer="test", edges={}),
        cloths=CLOTHS,
    )
    words = PieceWords(verdict=Verdict(level="paper"), note=(), cautions=())
    pieces = gore_pieces(request, FOAM, words, gores, label="ball", marks=strap_marks(gores))
    sheets = gore_sheets(gores, pieces, "piece")
    low, high, middle, half = 0.6, 0.85, 2.5 * 2.0 * np.pi / count, 0.15
    run = np.linspace(-1.0, 1.0, 40)[:-1]
    polar = np.concatenate([np.full(39, high), high - (run + 1) / 2 * (high - low), np.full(39, low),
                            low + (run + 1) / 2 * (high - low)])  # fmt: skip
    way = middle + half * np.concatenate([run, np.ones(39), -run, -np.ones(39)])
    directions = np.stack([np.sin(polar) * np.cos(way), np.sin(polar) * np.sin(way), np.cos(polar)], axis=1)
    sheet = sheets[2]
    flat, off = sheet.carry(70.0 * directions)
    assert off.max() < 1.0
    shape = shapely.Polygon(flat)
    whole = radius**2 * (np.cos(low) - np.cos(high)) * 2.0 * half
    assert shape.area == pytest.approx(whole, rel=0.03)
    edge = radius * (2.0 * half * (np.sin(low) + np.sin(high)) + 2.0 * (high - low))
    assert length(flat, closed=True) == pytest.approx(edge, rel=0.02)
    # On the middle of its gore, as far below the crown as the arc is long.
    tip = sheet.edges[1].curve[-1]
    assert shape.centroid.x == pytest.approx(0.0, abs=0.5)
    top = flat[polar == low].mean(axis=0)
    assert np.linalg.norm(tip - top) == pytest.approx(radius * low, rel=0.03)
    assert sheet.outline.contains(shape)
    # Its neighbours see it beside them.
    others = [other for other in sheets if other is not sheet]
    assert min(float(other.carry(70.0 * directions)[1].min()) for other in others) > 5.0
    # Two straps have two ends each, which windows stay clear of.
    assert [kept.what for each in sheets for kept in each.kept] == ["the place of a strap"] * 4


def test_a_motif_on_a_dome_keeps_its_size_and_what_is_behind_is_glued_on() -> None:
    result = on_the_knee(0.93, 0.07, 20.0, cloth=FOAM, backing="net")
    piece, shape = cut(result, "eye_1")
    # A lens of height 20 and breadth 10: two arcs of radius (10^2 + 5^2) / 10 over its height as chord.
    arc = (10.0**2 + 5.0**2) / 10.0
    angle = 2.0 * np.arcsin(10.0 / arc)
    lens_area = arc**2 * (angle - np.sin(angle))
    # Its two tips are rounded to 2 mm, so that foam does not tear there.
    assert 0.9 * lens_area < shape.area < lens_area
    assert any("rounded to 2 mm" in line for line in piece.note)
    (behind,) = [other for other in result.pieces if other.cloth == "net"]
    assert shapely.Polygon(behind.stitch_line).buffer(0.1 - BACKING_TRIM).covers(shape)
    assert any("carried straight out from the middle of the shell" in line for line in piece.note)
    (check,) = [each for each in result.checks if "left beside" in each.what]
    assert shapely.Polygon(piece.stitch_line).exterior.distance(shape) == pytest.approx(check.value, abs=0.01)


def test_a_window_over_the_seam_of_two_gores_meets_there() -> None:
    asked = {"across_seams": True, "backing_as": "panel"}
    result = on_the_knee(0.9, 0.0, 40.0, cloth=SHEET, options=asked, backing="net")
    (met,) = [check for check in result.checks if "halves of a window" in check.what]
    assert met.value < 0.05
    parts = [
        line.curve
        for piece in result.pieces
        if piece.cloth == "sheet"
        for line in piece.lines
        if line.label.startswith("eye 1: cut")
    ]
    assert len(parts) == 2
    assert {piece.slug for piece in result.pieces if piece.cloth == "net"} == {
        "thing_gore_1_backing",
        "thing_gore_4_backing",
    }
    arc = (20.0**2 + 10.0**2) / 20.0
    angle = 2.0 * np.arcsin(20.0 / arc)
    # Carried point by point from the skin to a dome that stands off it: larger, as it is seen.
    area = sum(shapely.Polygon(part).area for part in parts)
    assert 1.0 < area / (arc**2 * (angle - np.sin(angle))) < 1.9


def test_a_window_lies_on_the_side_of_a_helm_where_it_was_put() -> None:
    form = body("woman")
    for around, side in ((0.25, 1.0), (0.75, -1.0)):
        spot = motifs(form, "head", [(0.8, around), (0.85, around)], size=22.0, shape="circle", width=1.0)
        options = {"shape": "helm", "rim_sides": "-30 mm"}
        result = draft(KIND, form, {}, spot, options, cloth=FOAM, side="both", backing="net")
        piece, shape = cut(result, "eye_1")
        assert shape.area == pytest.approx(np.pi * 11.0**2, rel=0.02)
        # Gores are counted counter-clockwise from the front, the wearer's left first at her right hand's end.
        mesh = result.worn[0].mesh
        number, count = int(piece.slug.rpartition("_")[2]), sum("gore" in p.slug for p in result.pieces) - 1
        assert 0 < number <= count
        assert (number <= count / 2) == (side > 0.0)
        assert len(mesh.faces)


def test_lines_of_sight_meet_a_ball_where_it_lies_and_nothing_outside_it() -> None:
    ball = trimesh.creation.icosphere(subdivisions=4, radius=100.0)
    upper = np.array(ball.faces)[np.array(ball.triangles_center)[:, 2] > 0.0]
    rng = np.random.default_rng(3)
    middle = np.array([5.0, -8.0, 10.0])
    way = rng.normal(size=(200, 3))
    places = middle + 40.0 * way / np.linalg.norm(way, axis=1)[:, None]
    found = seen_from(middle, places, np.array(ball.vertices)[upper])
    met = np.isfinite(found).all(axis=1)
    assert np.linalg.norm(found[met], axis=1) == pytest.approx(np.full(met.sum(), 100.0), abs=0.3)
    along = found[met] - middle
    assert np.abs(np.cross(along, way[met])).max() < 1e-6 * 100.0 * 5.0
    # Where the line would leave through the lower half there is nothing.
    unit = way / np.linalg.norm(way, axis=1)[:, None]
    ahead = unit @ middle
    reach = -ahead + np.sqrt(ahead**2 + 100.0**2 - middle @ middle)
    leaves = middle[2] + reach * unit[:, 2]
    assert not met[leaves < -4.0].any()
    assert met[leaves > 4.0].all()


@pytest.mark.parametrize(
    ("station", "around", "told"),
    [
        (0.93, 0.0, "crosses the seam between thing gore"),
        (0.9, 0.1, "left between the window and the edge of the piece"),
        (0.4, 0.0, "lies on none of the pieces"),
    ],
)
def test_windows_that_do_not_fit_a_dome_are_refused_with_what_to_do(
    station: float, around: float, told: str
) -> None:
    with pytest.raises(DraftError, match=told) as refused:
        on_the_knee(station, around, 20.0, cloth=FOAM)
    assert refused.value.advice
