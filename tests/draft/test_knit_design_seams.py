"""Seams that the design puts across the panels of a close knit, and parts of another cloth."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from click.testing import CliRunner
from knit_requests import CLOTHS, draft, faults, lens, preset, request, walked_faults

from layfigure.body.chart import ChartPoint
from layfigure.body.form import Form
from layfigure.cli.main import layfigure
from layfigure.design.costume_file import parse_costume
from layfigure.design.design import DesignEdge, EdgePoint
from layfigure.draft.knit.garment import drafting_line
from layfigure.draft.knit.kind import KIND
from layfigure.draft.knit.leggings import leggings_on
from layfigure.draft.knit.options import KnitOptions
from layfigure.draft.registry import DraftResult
from layfigure.errors import DraftError
from layfigure.geometry.polyline import points_at
from layfigure.piece.piece import Piece
from layfigure.pipeline.slips import refuse_slips

FIRM = replace(CLOTHS["lacquer"], slug="firm", name="firm knit", stretch_across=0.4, stretch_along=0.4)
ALL_CLOTHS = {**CLOTHS, "firm": FIRM}


def yoke(slug: str, region: str, station: float, tilt: float = 0.0) -> DesignEdge:
    """A line right round, higher at one end of a region's depth."""
    points = tuple(
        EdgePoint(
            at=ChartPoint(region=region, station=station + tilt * float(np.cos(2 * np.pi * a)), around=a)
        )
        for a in map(float, np.arange(24) / 24)
    )
    return DesignEdge(slug=slug, points=points, closed=True)


def line(slug: str, *places: tuple[str, float, float]) -> DesignEdge:
    """An open line through places: region, station, way round."""
    points = tuple(EdgePoint(at=ChartPoint(region=r, station=s, around=a)) for r, s, a in places)
    return DesignEdge(slug=slug, points=points)


def down_the_leg(slug: str, start: float = 2.95) -> DesignEdge:
    trunk = [("torso", t, 0.12) for t in (start, 4.4, 4.75) if t >= start]
    leg = [(f"{part}_left", t, a) for part, t, a in _LEG]
    return line(slug, *trunk, *leg)


_LEG = (
    ("thigh", 0.1, 0.12),
    ("thigh", 0.5, 0.1),
    ("thigh", 1.0, 0.09),
    ("shank", 0.5, 0.08),
    ("shank", 0.95, 0.05),
)
HIP_YOKE = yoke("hip_yoke", "torso", 3.9)
SLASH = line("slash", *(("torso", 1.5 + 0.5 * k, (0.75 + 0.1225 * k) % 1.0) for k in range(5)))
LEGGINGS, BODYSUIT = {"garment": "leggings"}, {"garment": "bodysuit", "seams": "plain"}


def divided(form: Form, *edges: DesignEdge, **asked: Any) -> DraftResult:
    """A draft with these edges as seams, and others by ``edges``."""
    asked["edges"] = {**asked.pop("others", {}), **{edge.slug: edge for edge in edges}}
    told = request(form, seams=tuple(edge.slug for edge in edges), **asked)
    return KIND.draft(replace(told, cloths=ALL_CLOTHS))


def refused(form: Form, *edges: DesignEdge, **asked: Any) -> DraftError:
    with pytest.raises(DraftError) as told:
        divided(form, *edges, **asked)
    return told.value


def area(pieces: tuple[Piece, ...], start: str) -> float:
    return sum(float(shapely.Polygon(p.stitch_line).area) for p in pieces if p.slug.startswith(start))


@pytest.fixture(scope="module")
def woman() -> Form:
    return preset("woman")


@pytest.fixture(scope="module", params=["woman", "man"])
def wearer(request: pytest.FixtureRequest) -> Form:
    return preset(request.param)


def by_slug(result: DraftResult) -> Mapping[str, Piece]:
    return {piece.slug: piece for piece in result.pieces}


def test_a_yoke_right_round_divides_every_panel_it_crosses(wearer: Form) -> None:
    result = divided(wearer, HIP_YOKE, options=LEGGINGS)
    panels = [f"{part}_{side}" for side in ("left", "right") for part in ("front", "back")]
    assert set(by_slug(result)) == {
        f"suit_{panel}_{side}_hip_yoke" for panel in panels for side in ("above", "below")
    }
    # Mates to 0.05 mm notch by notch, corners as sewn, outlines, folds, stretch, openings.
    assert walked_faults(result.pieces) == []
    assert faults(result) == []
    upper = by_slug(result)["suit_front_left_above_hip_yoke"]
    assert upper.label == "suit: front left, above hip yoke"
    assert upper.side == "left"
    assert "Sew the seams across the panels first, notch to notch: hip yoke." in " ".join(upper.note)
    lower = by_slug(result)["suit_front_left_below_hip_yoke"]
    assert upper.edge("hip_yoke").notches
    assert {n.name for n in upper.edge("hip_yoke").notches} == {
        n.name for n in lower.edge("hip_yoke").notches
    }
    assert (upper.edge("waist").role, lower.edge("hem").role) == ("opening", "hem")


def test_parts_have_the_area_of_the_whole_panel(wearer: Form) -> None:
    slanted = yoke("yoke", "torso", 1.9, 0.15)
    whole = draft(wearer, options=BODYSUIT).pieces
    parts = divided(wearer, slanted, options=BODYSUIT).pieces
    # Each is flattened for itself, so the sum is the whole's but for what the whole had to give and take.
    for panel in ("suit_front", "suit_back", "suit_sleeve_left"):
        assert area(parts, panel) == pytest.approx(area(whole, panel), rel=0.015)


def test_openings_and_their_elastic_are_those_of_the_whole_garment(woman: Form) -> None:
    whole = draft(woman, options=BODYSUIT).items
    parts = divided(woman, SLASH, options=BODYSUIT).items
    assert [(item.name, item.use) for item in parts] == [(item.name, item.use) for item in whole]
    for one, other in zip(parts, whole, strict=True):
        assert one.length == pytest.approx(other.length, rel=0.02)


def test_the_seam_lies_on_the_wearer_where_it_is_placed(wearer: Form) -> None:
    edges = {"hip_yoke": HIP_YOKE}
    asked = request(wearer, edges=edges, seams=("hip_yoke",), options=LEGGINGS)
    assert isinstance(asked.options, KnitOptions)
    garment = leggings_on(asked, asked.options)
    placed = shapely.LineString(drafting_line(wearer, asked.placement.edges["hip_yoke"]))
    height = np.mean([z for *_, z in placed.coords])
    for plan, panel in zip(garment.pattern.plan.panels, garment.panels, strict=True):
        (edge,) = [e for e in panel.outline if e.slug == "hip_yoke"]
        on = panel.vertices[edge.vertices]
        assert np.abs(on[:, 2] - height).max() < 3.0, plan.slug
        flat = shapely.LineString(np.asarray(placed.coords)[:, :2])
        assert max(flat.distance(shapely.Point(p[:2])) for p in on) < 1.5


def test_a_seam_from_side_to_side_divides_the_front_alone(woman: Form) -> None:
    result = divided(woman, SLASH, options=BODYSUIT)
    own = by_slug(result)
    assert {"suit_front_above_slash", "suit_front_below_slash", "suit_back"} <= set(own)
    assert walked_faults(result.pieces) == []
    assert faults(result) == []
    # The back runs straight past both ends: its side seams are divided in name, with a mark to match.
    back = own["suit_back"]
    assert {"side_left_1", "side_left_2", "side_right_1", "side_right_2"} <= {e.slug for e in back.edges}
    marks = [each for each in back.lines if each.label == "slash ends"]
    assert len(marks) == 2
    outline = shapely.LinearRing(back.stitch_line)
    for mark in marks:
        assert outline.distance(shapely.Point(mark.curve[0])) < 1e-6
        assert shapely.Polygon(outline).contains(shapely.Point(mark.curve[1]))
    for side in ("left", "right"):
        first, second = back.edge(f"side_{side}_1").curve, back.edge(f"side_{side}_2").curve
        before, after = (first, second) if np.allclose(first[-1], second[0]) else (second, first)
        turn = np.diff(np.vstack([before[-2:], after[1:2]]), axis=0)
        angle = np.degrees(np.arctan2(turn[0, 0] * turn[1, 1] - turn[0, 1] * turn[1, 0], turn[0] @ turn[1]))
        assert abs(angle) < 2.0


def test_a_stripe_down_the_leg_ends_at_the_yoke(wearer: Form) -> None:
    stripe = down_the_leg("fore", start=3.92)
    result = divided(wearer, HIP_YOKE, stripe, options=LEGGINGS)
    assert walked_faults(result.pieces) == []
    own = by_slug(result)
    assert {s for s in own if "front_left" in s} == {
        "suit_front_left_above_hip_yoke",
        "suit_front_left_below_hip_yoke_left_of_fore",
        "suit_front_left_below_hip_yoke_right_of_fore",
    }
    # The stripe's seam makes one edge of two before the yoke is sewn on.
    assert "notch to notch: fore, then hip yoke." in " ".join(own["suit_back_left_above_hip_yoke"].note)
    assert [each.label for each in own["suit_front_left_above_hip_yoke"].lines][-1] == "fore ends"


def test_a_part_of_another_cloth_has_that_cloths_own_ease(wearer: Form) -> None:
    band = yoke("band", "thigh_left", 0.5)
    plain = by_slug(divided(wearer, band, options=LEGGINGS))
    firm = divided(wearer, band, options=LEGGINGS, cloths={"below_band": "firm"})
    own = by_slug(firm)
    assert walked_faults(firm.pieces) == []
    assert {slug: piece.cloth for slug, piece in own.items()} == {
        slug: "firm" if slug.endswith("below_band") else "lacquer" for slug in plain
    }
    # What is taken off follows from a cloth's stretch (materials.stretch). The firm one bears 10 % round as
    # the other does; one that is firmer still shows the difference.
    least = replace(FIRM, stretch_across=0.26)
    told = request(
        wearer, edges={"band": band}, seams=("band",), options=LEGGINGS, cloths={"below_band": "firm"}
    )
    firmer = KIND.draft(replace(told, cloths={**ALL_CLOTHS, "firm": least}))
    assert walked_faults(firmer.pieces) == []
    taken = 1.0 / (1.0 + 0.35 * 0.26)
    for part in ("front_left", "back_left"):
        slug = f"suit_{part}_below_band"
        wide = by_slug(firmer)[slug].edge("hem").length / plain[slug].edge("hem").length
        assert wide == pytest.approx(taken / 0.9, rel=0.012)
        above = f"suit_{part}_above_band"
        assert by_slug(firmer)[above].edge("waist").length == pytest.approx(
            plain[above].edge("waist").length, rel=0.01
        )
    note = " ".join(by_slug(firmer)["suit_front_left_below_band"].note)
    assert "greater stretch, 26 %" in note


def test_a_hidden_panel_may_be_of_another_cloth_without_any_seam(woman: Form) -> None:
    told = request(woman, options=BODYSUIT, cloths={"back": "firm", "sleeve": "net", "sleeve_left": "firm"})
    result = KIND.draft(replace(told, cloths=ALL_CLOTHS))
    assert walked_faults(result.pieces) == []
    assert {piece.slug: piece.cloth for piece in result.pieces} == {
        "suit_front": "lacquer",
        "suit_back": "firm",
        "suit_sleeve_left": "firm",
        "suit_sleeve_right": "net",
    }
    assert {worn.name: worn.cloth for worn in result.worn_on(woman)}["suit_sleeve_right"] == "net"
    words = [check.what for check in result.checks]
    assert any("at the left elbow, in firm knit" in what for what in words)
    assert not any("at the left elbow, in power net" in what for what in words)


def test_cloths_that_cannot_be_are_refused(woman: Form) -> None:
    band = yoke("band", "thigh_left", 0.5)
    error = refused(woman, band, options=LEGGINGS, cloths={"below_bnd": "firm"})
    assert "no panel 'below_bnd'" in error.what
    assert "below_band" in error.advice
    error = refused(woman, band, options=LEGGINGS, cloths={"front_left": "firm", "back_left": "felt"})
    assert "needs 25%" in error.what
    error = refused(
        woman, band, HIP_YOKE, options=LEGGINGS, cloths={"above_band": "firm", "below_hip_yoke": "net"}
    )
    assert "two cloths are named" in error.what
    assert "Name the panel itself" in error.advice


def test_seams_that_cannot_be_sewn_are_refused_with_what_to_do(woman: Form) -> None:
    error = refused(woman, HIP_YOKE, down_the_leg("fore"), options=LEGGINGS)
    assert error.what == "the seams hip_yoke and fore cross in the front left."
    assert "End fore at hip_yoke" in error.advice
    dart = line("dart", *(("torso", 2.5, a) for a in (0.92, 0.97, 0.03, 0.08)))
    error = refused(woman, dart, options=BODYSUIT)
    assert "ends inside the front and does not divide it" in error.what
    assert "a dart is no seam" in error.advice
    eye = lens("eye", "torso", 2.5, 0.0, 0.4, 0.08)
    error = refused(woman, eye, options=BODYSUIT)
    assert "closes on itself inside the front" in error.what
    assert "Make it a window" in error.advice
    error = refused(woman, yoke("knee", "shank_left", 0.5), options={"garment": "shorts"})
    assert "does not run right across any panel" in error.what
    error = refused(woman, yoke("hip_yoke", "torso", 3.1), options=LEGGINGS)
    assert "narrower than 25 mm" in error.what
    assert error.where == "front left, above hip yoke"
    error = refused(woman, yoke("waist", "torso", 3.9), options=LEGGINGS)
    assert "has an edge called 'waist' already" in error.what
    asked = request(woman, seams=("lost",), options=LEGGINGS)
    with pytest.raises(DraftError, match="seam 'lost' is not placed"):
        KIND.draft(asked)


def test_windows_lie_on_the_part_they_fall_on_and_cross_a_new_seam_only_if_asked(woman: Form) -> None:
    slanted = yoke("yoke", "torso", 2.5)
    above = lens("above", "torso", 1.8, 0.05, 0.2, 0.05)
    options = {"garment": "top", "sleeves": False, "seams": "plain"}
    others, asked = {"above": above}, {"options": options, "backing": "net", "windows": ("above",)}
    own = by_slug(divided(woman, slanted, others=others, **asked))
    assert [w.slug for w in own["suit_front_above_yoke"].windows] == ["above"]
    assert own["suit_front_below_yoke"].windows == ()
    assert "suit_backing_front_above_yoke" in own
    across = {"above": lens("above", "torso", 2.5, 0.05, 0.35, 0.05)}
    error = refused(woman, slanted, others=across, **asked)
    assert "crosses a seam" in error.what
    assert "across_seams = true" in error.advice
    asked["options"] = options | {"across_seams": True}
    crossed = divided(woman, slanted, others=across, **asked)
    own_pieces = tuple(piece for piece in crossed.pieces if "backing" not in piece.slug)
    assert walked_faults(own_pieces) == []
    for slug in ("suit_front_above_yoke", "suit_front_below_yoke"):
        piece = by_slug(crossed)[slug]
        (cut,) = [each for each in piece.lines if each.label == "above: cut after sewing the seam"]
        edge = piece.edge("yoke")
        notches = [points_at(edge.curve, [n.distance])[0] for n in edge.notches if n.name.startswith("above")]
        assert len(notches) == 2
        for end in (cut.curve[0], cut.curve[-1]):
            assert min(np.linalg.norm(end - at) for at in notches) < 1e-6


@pytest.mark.parametrize("end", [4.9, 4.95, 5.0])
def test_a_bodysuit_may_be_of_two_halves_from_neck_to_crotch(woman: Form, end: float) -> None:
    # Close to the crotch the line leaves the cloth, which spans the fork.
    halves = line("middle", *(("torso", t, 0.0) for t in (0.3, 1.0, 2.0, 3.0, 4.0, end)))
    result = divided(woman, halves, options=BODYSUIT, cloths={"left_of_middle": "firm"})
    own = by_slug(result)
    assert walked_faults(result.pieces) == []
    assert own["suit_front_left_of_middle"].cloth == "firm"
    for side in ("left", "right"):
        edges = {edge.slug for edge in own[f"suit_front_{side}_of_middle"].edges}
        assert edges >= {"neck", "middle", f"leg_{side}", f"side_{side}"}
        assert any(slug.startswith("crotch") for slug in edges)


def test_a_sharp_point_within_a_seam_is_rounded_and_said_so(woman: Form) -> None:
    told = [
        EdgePoint(
            at=ChartPoint(
                region="torso", station=2.4 + max(0.0, 0.5 - 2.5 * abs((a + 0.5) % 1.0 - 0.5)), around=a
            ),
            corner=a == 0.0,
        )
        for a in map(float, np.arange(40) / 40)
    ]
    pointed = DesignEdge(slug="pointed", points=tuple(told), closed=True)
    result = divided(woman, pointed, options={"garment": "top", "seams": "plain", "sleeves": False})
    assert walked_faults(result.pieces) == []
    assert faults(result) == []
    assert [note.split(",")[0] for note in result.notes] == ["The seam pointed comes to a sharp point"]
    assert divided(woman, yoke("plain_one", "torso", 2.4), options=BODYSUIT).notes == ()


def test_a_zip_and_a_collar_keep_to_the_part_at_the_neck(woman: Form) -> None:
    low = yoke("low", "torso", 1.8)
    options = {"garment": "top", "neckline": "stand", "closure": True, "seams": "plain"}
    own = by_slug(divided(woman, low, options=options))
    (slit,) = [each for each in own["suit_back_above_low"].lines if each.kind == "slit"]
    assert (
        shapely.Polygon(own["suit_back_above_low"].stitch_line)
        .buffer(1.0)
        .covers(shapely.LineString(slit.curve))
    )
    collar, front = own["suit_collar"], own["suit_front_above_low"]
    assert collar.edge("neck_front").length == pytest.approx(front.edge("neck").length, abs=0.05)


def test_a_collar_that_a_seam_runs_into_is_told_what_was_tried(woman: Form) -> None:
    # From above the neckline to the other seam.
    down = line("down", *(("torso", 0.398 * k, 0.06) for k in range(7)))
    low = yoke("low", "torso", 2.4)
    options = {"garment": "top", "neckline": "stand", "seams": "plain", "sleeves": False}
    told = refused(woman, down, low, options=options)
    assert "runs into the neckline" in told.what
    assert told.advice == (
        "Write neckline = 'round' or seams = ['low']: either lets it be drafted, as tried on this body."
    )
    assert divided(woman, down, low, options={**options, "neckline": "round"}).pieces
    assert by_slug(divided(woman, low, options=options))["suit_collar"]


@pytest.mark.parametrize("garment", ["leggings", "bodysuit"])
def test_without_seams_nothing_changes_in_name(woman: Form, garment: str) -> None:
    for piece in draft(woman, options={"garment": garment, "seams": "plain"}).pieces:
        assert not any(edge.slug.endswith(("_1", "_2")) for edge in piece.edges)


def test_the_example_of_the_page_is_drafted_from_its_words(tmp_path: Path) -> None:
    page = (Path(__file__).parents[2] / "docs/kinds/knit.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"```toml seams\n(.*?)```", page, re.DOTALL)
    costume = parse_costume(f'format = 1\nname = "Example"\n{example}')
    (tights,) = costume.pieces
    assert tights.seams == ("hip_yoke", "thigh_line_left", "thigh_line_right")
    refuse_slips(tights)
    folder = tmp_path / "mine"
    assert CliRunner().invoke(layfigure, ["new", str(folder)]).exit_code == 0
    (folder / "costume.toml").write_text(f'format = 1\nname = "Example"\n{example}', encoding="utf-8")
    made = CliRunner().invoke(
        layfigure, ["make", str(folder)], env={"LAYFIGURE_CACHE": str(tmp_path / "cache")}
    )
    assert made.exit_code == 0, made.output
    (exchange,) = folder.rglob("pieces.json")
    cloths = {piece["slug"]: piece["cloth"] for piece in json.loads(exchange.read_text())["pieces"]}
    assert len(cloths) == 12
    assert {slug for slug, cloth in cloths.items() if cloth == "cotton_elastane_jersey"} == {
        *(f"tights_{part}_{side}_above_hip_yoke" for part in ("front", "back") for side in ("left", "right")),
        "tights_back_left_below_thigh_line_left",
    }
