"""Straps against closed forms on cylinders, statics of levers and hangers, trade and standards' numbers."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from shapely import Polygon
from stiff_limbs import RADIUS, TALL, line, ring

from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.design.design import DesignEdge, EdgePoint, PieceStatement
from layfigure.draft.over_cloth import spanned_body
from layfigure.draft.registry import DraftRequest, DraftResult, validated_options
from layfigure.draft.strap.fasten import hook_and_loop_lap, least_shear, snaps_for
from layfigure.draft.strap.keepers import beyond_friction, keepers_of, sideways_share
from layfigure.draft.strap.kind import KIND
from layfigure.draft.strap.load import branch_pulls, share_words, slips, support_shares
from layfigure.draft.strap.route import Held, StrapRun
from layfigure.draft.strap.shape import Bend, flat_middle
from layfigure.draft.strap.slots import SlotRow
from layfigure.drawing.svg import svg_of
from layfigure.drawing.walk import read_svg, walk
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length
from layfigure.geometry.taut_line import Skin
from layfigure.materials.cloth import Cloth
from layfigure.piece.draw import Heading
from layfigure.piece.piece import Piece
from layfigure.piece.seam_book import SeamBook
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement

LEATHER = Cloth(slug="leather", kind="leather", name="leather", width=1200.0, areal_mass=2400.0, tested=True)


@pytest.fixture(scope="module")
def woman() -> Form:
    template = load_template()
    return form_of(template, template.presets["woman"])


def strap(
    form: Form, edges: dict[str, DesignEdge] | None = None, *, cloth: Cloth = LEATHER, stack: float = 0.0,
    spans: bool = False, **options: object,
) -> DraftResult:  # fmt: skip
    edges = edges or {}
    statement = PieceStatement(
        slug="harness",
        kind="strap",
        cloth=cloth.slug,
        edges={role: edge.slug for role, edge in edges.items()},
        options=options,
    )
    return KIND.draft(
        DraftRequest(
            statement=statement,
            options=validated_options(KIND, options, where="test"),
            form=form,
            placement=Placement(wearer="t", edges={e.slug: place_edge(e, form) for e in edges.values()}),
            cloths={cloth.slug: cloth},
            stack=stack,
            spans=spans,
        )
    )


def open_line(slug: str, points: list[tuple[float, float, bool]], region: str = "torso") -> DesignEdge:
    return replace(line(slug, region, points), closed=False)


def spot(slug: str, *places: tuple[float, float]) -> DesignEdge:
    return open_line(slug, [(station, around, False) for station, around in places])


def middle(piece: Piece) -> np.ndarray:
    return next(inner.curve for inner in piece.lines if inner.kind == "centre")


def test_a_strap_round_a_drum_is_as_long_as_its_circle(drum: Form) -> None:
    # Neutral line of 3 mm leather 0.4 of its thickness out, over 2 mm worn beneath and 1 mm of air.
    thick = replace(LEATHER, thickness=3.0)
    (piece,) = strap(drum, {"line": ring("r", "torso", 2.0)}, cloth=thick, stack=2.0).pieces
    assert piece.totals[0].length == pytest.approx(2.0 * math.pi * (RADIUS + 2.0 + 1.0 + 1.2), rel=5e-4)
    assert np.abs(middle(piece)[:, 1]).max() < 1e-9
    # Saddlers' rule (published): spacing = width, an odd number, last hole to tip 2.5 widths.
    holes = [h.curve.mean(axis=0) for h in piece.lines if h.closed]
    assert len(holes) == 5
    assert np.linalg.norm(np.diff(holes, axis=0), axis=1) == pytest.approx(np.full(4, 40.0), abs=0.01)
    assert np.linalg.norm(holes[-1] - middle(piece)[-1]) == pytest.approx(100.0, abs=0.01)
    assert length(middle(piece)) - piece.totals[0].length == pytest.approx(2 * 40.0 + 100.0, abs=0.01)


def test_an_open_strap_on_a_drum_is_a_helix_and_lies_straight(drum: Form) -> None:
    points = [(1.0, 0.0, False), (1.6, 0.15, False), (3.0, 0.4, False)]
    result = strap(drum, {"line": open_line("h", points)}, fastening="sewn", air="0 mm", tab="30 mm")
    (piece,) = result.pieces
    exact = math.hypot(0.4 * 2.0 * math.pi * RADIUS, 2.0 * TALL / 5.0)
    assert piece.totals[0].length == pytest.approx(exact, rel=5e-4)
    assert np.abs(middle(piece)[:, 1]).max() < 1e-9
    assert piece.edge("first_tab").allowance == piece.edge("last_tab").allowance == 30.0
    parts = strap(drum, {"line": open_line("h", points)}, air="0 mm", fastens_at="25 %").pieces
    assert [part.slug for part in parts] == ["harness_tongue", "harness_buckle"]
    assert parts[0].totals[0].length == pytest.approx(0.25 * exact, rel=5e-4)
    assert sum(part.totals[0].length for part in parts) == pytest.approx(exact, rel=5e-4)


def test_a_slung_loop_turns_where_it_is_held_and_the_flat_strap_shows_it(drum: Form) -> None:
    # Held at its top and bottom, half-way round from each other, it is two helices; they meet at angles of
    # 2 atan(rise / half girth).
    rise = 0.5 * TALL / 5.0
    points = [(2.0 - 0.25 * math.cos(2 * math.pi * k / 12), k / 12, k in (0, 6)) for k in range(12)]
    result = strap(drum, {"line": line("s", "torso", points)}, fastening="sewn", air="0 mm", width="20 mm",
                   fastens_at="25 %")  # fmt: skip
    (piece,) = result.pieces
    half = math.pi * RADIUS
    assert piece.totals[0].length == pytest.approx(2.0 * math.hypot(half, rise), rel=5e-4)
    turn = 2.0 * math.degrees(math.atan(rise / half))
    value = next(c.value for c in result.checks if "turns sideways" in c.what)
    assert value == pytest.approx(turn, abs=0.6)
    steps = np.diff(middle(piece), axis=0)
    headings = np.degrees(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0])))
    assert np.ptp(headings) == pytest.approx(turn, abs=0.6)
    assert headings[-1] == pytest.approx(headings[0], abs=0.5)  # one turn left, one right


def test_a_flat_strap_keeps_its_length_through_its_bends() -> None:
    curve = flat_middle(500.0, [Bend(along=200.0, angle=0.6), Bend(along=400.0, angle=-0.2)], 40.0)
    assert length(curve) == pytest.approx(500.0, abs=1e-9)
    end = curve[-1] - curve[-2]
    assert math.atan2(end[1], end[0]) == pytest.approx(0.4, abs=1e-9)
    assert flat_middle(100.0, [], 40.0)[-1] == pytest.approx([100.0, 0.0])


def test_two_supports_share_by_the_lever_rule() -> None:
    # A weight at a third of the way between two hangers: two thirds on the near one (Archimedes).
    shares, askew = support_shares([[0.0, 0.0, 9.0], [300.0, 0.0, 5.0]], [100.0, 0.0, -50.0])
    assert shares == pytest.approx([2.0 / 3.0, 1.0 / 3.0], abs=1e-6)
    assert askew < 0.01


def test_three_supports_share_by_area_coordinates_and_four_most_evenly() -> None:
    corners = np.array([[0.0, 0.0, 0.0], [200.0, 0.0, 0.0], [0.0, 100.0, 0.0]])
    wanted = np.array([0.5, 0.2, 0.3])
    shares, _ = support_shares(corners, wanted @ corners)
    assert shares == pytest.approx(wanted, abs=1e-5)
    square = np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]]) * 100.0
    assert support_shares(square, [50.0, 50.0, 0.0])[0] == pytest.approx([0.25] * 4, abs=1e-5)
    outside, askew = support_shares(square, [160.0, 50.0, 0.0])
    assert askew == pytest.approx(60.0, abs=0.1)
    assert outside == pytest.approx([0.0, 0.5, 0.5, 0.0], abs=1e-3)


def test_branches_of_a_hanger_pull_by_the_parallelogram_of_forces() -> None:
    lean = math.radians(30.0)
    even = [[math.sin(lean), 0.0, math.cos(lean)], [-math.sin(lean), 0.0, math.cos(lean)]]
    assert branch_pulls(even, [0.0, 1.0, 0.0]) == pytest.approx([1.0 / (2.0 * math.cos(lean))] * 2)
    # Lami: at 30 and 60 degrees from upright the pulls are cos 30 and cos 60 crosswise.
    uneven = [[-math.sin(lean), 0.0, math.cos(lean)], [math.cos(lean), 0.0, math.sin(lean)]]
    assert branch_pulls(uneven, [0.0, 1.0, 0.0]) == pytest.approx([math.cos(lean), math.sin(lean)])


def test_shares_in_words_carry_their_number() -> None:
    assert share_words(0.48) == "about half of the weight (48 %)"
    assert share_words(1.0) == "all of the weight (100 %)"
    assert share_words(0.02) == "hardly any of the weight (2 %)"


def test_a_turn_slides_when_friction_is_less_than_its_pull() -> None:
    # 2 sin(turn / 2) T sideways against friction x T x wrap.
    assert slips(math.radians(60.0), 2.5, friction=0.4) == pytest.approx(1.0)


def test_hook_and_loop_and_snaps_hold_the_published_forces() -> None:
    # GOST 30019.1-93 least shear: 25 N to 15 mm, 50 N to 30 mm, 90 N to 60 mm of width.
    assert [least_shear(w) for w in (10.0, 15.0, 25.0, 30.0, 50.0, 80.0)] == [
        25.0,
        25.0,
        50.0,
        50.0,
        90.0,
        90.0,
    ]
    assert hook_and_loop_lap(25.0, 10.0) == 50.0
    assert hook_and_loop_lap(25.0, 125.0) == 125.0
    assert [snaps_for(load) for load in (10.0, 60.0, 150.0)] == [2, 3, 6]


def test_a_row_of_sliding_plates() -> None:
    row = SlotRow(count=6, plate=50.0, overlap=20.0, travel=12.0, rivet=4.0, first=15.0)
    assert row.closed == 6 * 50.0 - 5 * 20.0
    assert row.slot == 16.0
    assert row.least_overlap == 8.0
    slots = row.slots()
    assert len(slots) == 5
    assert slots[:, 0] + 2.0 == pytest.approx(15.0 + 30.0 * np.arange(1, 6))  # rivets at rest
    assert slots[:, 1] - slots[:, 0] == pytest.approx(np.full(5, 16.0))
    assert row.reach == 15.0 + 5 * 30.0 + 16.0


def test_plates_are_drawn_and_counted(drum: Form) -> None:
    way = {"line": open_line("h", [(0.5, 0.0, False), (4.5, 0.0, False)])}
    result = strap(drum, way, fastening="sewn", plates=6)
    slits = [inner for inner in result.pieces[0].lines if inner.kind == "slit"]
    assert len(slits) == 5
    assert [i.count for i in result.items if i.slug == "washer"] == [5]
    tight = strap(drum, way, fastening="sewn", plates=6, plate_travel="18 mm")
    assert any("overlap left" in check.what and not check.passed for check in tight.checks)
    with pytest.raises(DraftError, match="further than their strap is long") as refusal:
        strap(drum, way, fastening="sewn", plates=20)
    assert "fewer" in refusal.value.advice


@pytest.mark.parametrize("over", ["left", "right"])
def test_a_cross_body_strap_can_be_made(woman: Form, tmp_path: Path, over: str) -> None:
    result = strap(woman, over=over, carries="1.2 kg")
    assert all(check.passed for check in result.checks)
    for piece in result.pieces:
        outline = Polygon(piece.stitch_line)
        assert outline.is_valid
        assert outline.exterior.is_ccw
        assert piece.verdict.level == "scrap"
        assert piece.note
    path = tmp_path / "strap.svg"
    path.write_text(svg_of(result.pieces, Heading(costume="t", seams=SeamBook.of(result.pieces))))
    assert walk(read_svg(path)) == []
    whole = sum(piece.totals[0].length for piece in result.pieces)
    assert 1100.0 < whole < 1350.0
    assert any("ring" in item.slug for item in result.items)
    assert any("front end takes" in note or "back end takes" in note for note in result.notes)
    (surface,) = result.worn
    assert len(surface.mesh.faces) <= 3000
    high = surface.mesh.vertices[:, 2].max()
    assert high == pytest.approx(woman.landmarks[f"shoulder_point_{over}"][2], abs=60.0)


def test_round_the_chest_it_is_as_long_as_a_tape_there_and_its_own_room(woman: Form) -> None:
    # A tape bridges hollows as a taut strap does: girth of the hull, and a full turn at the neutral height.
    (piece,) = strap(woman, {"line": ring("r", "torso", 1.5)}, air="2 mm", fastening="sewn").pieces
    girth = float(woman.charts["torso"].girth(1.5))
    assert piece.totals[0].length == pytest.approx(girth + 2.0 * math.pi * 2.0, rel=3e-3)


def test_left_and_right_are_alike_on_an_even_body(woman: Form) -> None:
    # The template's two halves differ by 0.03 mm.
    sums = [sum(p.totals[0].length for p in strap(woman, over=over).pieces) for over in ("left", "right")]
    assert sums[0] == pytest.approx(sums[1], abs=0.3)


def test_a_harness_shares_its_weight(drum: Form) -> None:
    ways = {
        "line": open_line("left_strap", [(0.5, 0.1, False), (3.0, 0.1, False)]),
        "line_2": open_line("right_strap", [(0.5, 0.9, False), (3.0, 0.9, False)]),
    }
    even = strap(drum, ways, carries="2 kg", fastening="snaps")
    assert sum("about half of the weight (50 %)" in note for note in even.notes) == 2
    # The plate's middle near the left strap: (0.1 + 3 x 0.9) is not its place, so the left bears more.
    weight = spot("plate", (3.0, 0.1), (3.0, 0.1), (3.0, 0.1), (3.0, 0.9))
    uneven = strap(drum, ways | {"weight": weight}, carries="2 kg", fastening="snaps")
    assert any("left strap: carries most of the weight (75 %)" in note for note in uneven.notes)
    assert {piece.slug for piece in even.pieces} == {
        f"harness_{side}_strap_{part}" for side in ("left", "right") for part in ("tongue", "under")
    }
    wide = next(check for check in even.checks if "its width" in check.what)
    assert wide.limit == 25.0


def test_a_narrow_strap_under_weight_and_a_bad_option_are_told(drum: Form) -> None:
    way = {"line": open_line("h", [(0.5, 0.0, False), (4.5, 0.0, False)])}
    thin = strap(drum, way, width="15 mm", carries="2 kg")
    failed = [check for check in thin.checks if not check.passed]
    assert "25 mm wide or wider" in failed[0].advice
    assert thin.pieces[0].verdict.level == "paper"
    with pytest.raises(DraftError, match="odd number"):
        strap(drum, way, holes=4)
    with pytest.raises(DraftError, match="no material"):
        KIND.draft(
            DraftRequest(
                statement=PieceStatement(slug="x", kind="strap", cloth="tin"),
                options=validated_options(KIND, {}, where="x"),
                form=drum,
                placement=Placement(wearer="", edges={}),
                cloths={},
            )
        )


def test_corners_hold_a_placed_strap(drum: Form) -> None:
    bent = DesignEdge(
        slug="b",
        points=tuple(
            EdgePoint(at=place.at, corner=corner)
            for place, corner in zip(
                open_line("b", [(1.0, 0.0, False), (2.0, 0.2, False), (3.0, 0.0, False)]).points,
                (False, True, False),
                strict=True,
            )
        ),
    )
    held = strap(drum, {"line": bent}, fastening="sewn", air="0 mm")
    free = strap(drum, {"line": replace(bent, points=tuple(replace(p, corner=False) for p in bent.points))},
                 fastening="sewn", air="0 mm")  # fmt: skip
    leg = math.hypot(0.2 * 2.0 * math.pi * RADIUS, TALL / 5.0)
    assert held.pieces[0].totals[0].length == pytest.approx(2.0 * leg, rel=5e-4)
    assert free.pieces[0].totals[0].length == pytest.approx(2.0 * TALL / 5.0, rel=5e-4)


def test_snaps_hold_what_friction_leaves_and_a_loop_what_snaps_have_no_room_for() -> None:
    # A turn of 60 degrees pulls sideways with its own pull; friction of 0.4 over half a radian holds a fifth.
    held = Held(name="shoulder", along=100.0, turn=math.radians(60.0), wrap=0.5)
    run = StrapRun(
        name="s", points=np.zeros((2, 3)), outward=np.zeros((2, 3)), gap=np.zeros(2), length=500.0,
        held=(held,), loop=True, rings=False,
    )  # fmt: skip
    assert beyond_friction(held, 100.0) == pytest.approx(80.0)
    assert sideways_share(run, (), 100.0) == pytest.approx(5.0)
    (three,) = keepers_of(run, "snap", pull=100.0, width=40.0)
    assert three.count == 3  # of 29 N each
    assert sideways_share(run, (three,), 100.0) == pytest.approx(100.0 / (20.0 + 3 * 29.0))
    # 25 mm leave room for two, one behind the other: they open.
    (two,) = keepers_of(run, "snap", pull=100.0, width=25.0)
    assert two.count == 2
    assert sideways_share(run, (two,), 100.0) > 1.0
    (loop,) = keepers_of(run, "loop", pull=100.0, width=25.0)
    assert sideways_share(run, (loop,), 100.0) < 1.0
    # What bears nothing is drawn snug all the same.
    assert keepers_of(run, "snap", pull=0.0, width=40.0)[0].count == 1


def test_a_strap_is_held_by_snaps_or_loops_drawn_told_and_bought(woman: Form, tmp_path: Path) -> None:
    plain = strap(woman, over="left")
    snapped, looped = (strap(woman, over="left", held_by=by) for by in ("snap", "loop"))

    def slips(result: DraftResult) -> float:
        return next(check.value for check in result.checks if "sideways pull" in check.what)

    assert slips(snapped) < slips(plain)
    assert slips(looped) < slips(plain)
    rings = [line for piece in snapped.pieces for line in piece.lines if line.label == "snap"]
    (bought,) = (item for item in snapped.items if item.slug == "snap")
    assert len(rings) == bought.count == 1
    # On the line across the strap where it is held.
    (line,) = (line for piece in snapped.pieces for line in piece.lines if line.label == "shoulder")
    assert rings[0].curve.mean(axis=0) == pytest.approx(line.curve.mean(axis=0), abs=0.1)
    (webbing,) = (item for item in looped.items if item.slug == "webbing_20mm")
    # Over 40 mm, 3 mm of play, 15 mm turned under on either side.
    assert webbing.length == pytest.approx(40.0 + 2.0 * LEATHER.thickness + 3.0 + 30.0)
    assert any(line.label == "shoulder: under a loop" for piece in looped.pieces for line in piece.lines)
    for result, words in ((snapped, "set the snaps"), (looped, "sew a loop of webbing")):
        assert all(any(words in text for text in piece.note) for piece in result.pieces)
        path = tmp_path / "held.svg"
        path.write_text(svg_of(result.pieces, Heading(costume="t", seams=SeamBook.of(result.pieces))))
        assert walk(read_svg(path)) == []
    assert not any("layer below" in text for piece in plain.pieces for text in piece.note)


def test_a_strap_that_turns_nowhere_takes_no_keeper(drum: Form) -> None:
    with pytest.raises(DraftError, match="turns nowhere") as refusal:
        strap(drum, {"line": ring("r", "torso", 2.0)}, held_by="snap")
    assert "Leave out held_by" in refusal.value.advice


def test_over_a_garment_a_strap_runs_on_the_cloth_that_spans_the_chest(woman: Form) -> None:
    bare, over = (strap(woman, over="right", width="40 mm", spans=spans) for spans in (False, True))
    whole = [sum(piece.totals[0].length for piece in one.pieces) for one in (bare, over)]
    assert 2.0 < whole[1] - whole[0] < 60.0
    cloth = Skin.of(spanned_body(woman))
    (surface,) = over.worn
    assert cloth.near(surface.mesh.vertices)[2].min() > 0.0
    (skin_deep,) = bare.worn
    assert cloth.near(skin_deep.mesh.vertices)[2].min() < -5.0


def test_a_round_trunk_has_no_hollows_to_span(drum: Form) -> None:
    assert np.abs(spanned_body(drum).vertices - drum.standing.vertices).max() < 0.05
