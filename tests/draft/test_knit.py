"""Close knit garments, from a body to pieces."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely
from knit_requests import CLOTHS, draft, faults, lens, preset, request, walked_faults

from layfigure.body.chart import ChartPoint
from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.design.design import DesignEdge, EdgePoint, PieceStatement
from layfigure.draft.failed_check import failure_line
from layfigure.draft.knit.kind import KIND
from layfigure.draft.registry import DraftRequest, DraftResult, validated_options
from layfigure.draft.window.behind import BACKING_TRIM
from layfigure.draft.window.outlines import mended
from layfigure.errors import DraftError
from layfigure.geometry.polyline import arc_lengths, length, points_at
from layfigure.piece.piece import Piece
from layfigure.place.placement import Placement


@pytest.fixture(scope="module")
def woman() -> Form:
    return preset("woman")


@pytest.fixture(scope="module")
def leggings(woman: Form) -> DraftResult:
    return draft(woman, options={"garment": "leggings"})


@pytest.fixture(scope="module")
def bodysuit(woman: Form) -> DraftResult:
    return draft(woman, options={"garment": "bodysuit"})


def test_leggings_pass_their_checks_and_walk(leggings: DraftResult) -> None:
    assert faults(leggings) == []
    assert {piece.slug for piece in leggings.pieces} == {"suit_front", "suit_back"}
    assert all(piece.side == "both" and piece.count == 2 for piece in leggings.pieces)
    centre = frozenset({"suit.centre_front", "suit.centre_back"})
    assert walked_faults(leggings.pieces, mirrored=centre) == []


def test_the_walk_catches_planted_faults(leggings: DraftResult) -> None:
    front, back = leggings.pieces
    index = next(k for k, edge in enumerate(front.edges) if edge.slug == "outseam")
    edge = front.edges[index]
    centre = frozenset({"suit.centre_front", "suit.centre_back"})

    def with_edge(**changes: Any) -> tuple[Piece, ...]:
        edges = list(front.edges)
        edges[index] = replace(edge, **changes)
        return (replace(front, edges=tuple(edges)), back)

    assert walked_faults(with_edge(curve=edge.curve * 1.002), mirrored=centre)
    assert walked_faults(with_edge(notches=edge.notches[1:]), mirrored=centre)
    assert walked_faults(with_edge(against=not edge.against), mirrored=centre)
    assert walked_faults(with_edge(seam=None), mirrored=centre)


def test_a_bodysuit_passes_its_checks_and_walks(bodysuit: DraftResult) -> None:
    assert faults(bodysuit) == []
    assert [piece.slug for piece in bodysuit.pieces] == [
        "suit_front",
        "suit_back",
        "suit_sleeve_left",
        "suit_sleeve_right",
    ]
    assert walked_faults(bodysuit.pieces) == []


def test_pieces_are_complete_and_upright(bodysuit: DraftResult) -> None:
    for piece in bodysuit.pieces:
        ring = shapely.LinearRing(piece.stitch_line)
        assert ring.is_simple
        assert ring.is_ccw
        for edge, following in zip(piece.edges, piece.edges[1:] + piece.edges[:1], strict=True):
            assert edge.curve[-1] == pytest.approx(following.curve[0], abs=1e-9)
            assert [n.distance for n in edge.notches] == sorted(n.distance for n in edge.notches)
            assert edge.role == "seam" or edge.seam is None
        assert len(piece.totals) == 3
        for total in piece.totals:
            assert any(abs(edge.length - total.length) < 1e-6 for edge in piece.edges)
        assert piece.grainline.kind == "stretch"
        assert piece.grainline.start[1] == pytest.approx(piece.grainline.end[1])
        assert any(line.kind == "balance" for line in piece.lines)
        assert piece.note
        assert piece.cautions
    front = bodysuit.pieces[0]
    assert front.edge("neck").curve[:, 1].mean() > front.edge("crotch").curve[:, 1].mean()
    assert {line.label for line in front.lines} == {"bust", "waist", "hip", "centre"}
    sleeve = bodysuit.pieces[2]
    assert {line.label for line in sleeve.lines} == {"upper arm", "elbow", "forearm"}


def test_the_waist_of_leggings_is_the_tape_less_the_reduction(woman: Form, leggings: DraftResult) -> None:
    # Cut line round the waist = girth x (1 - reduction); flattening and truing shift a little of the
    # stretch onto short free edges: 3.3 % at this ankle, measured.
    cut = 2.0 * sum(piece.edge("waist").length for piece in leggings.pieces)
    girth = float(woman.drafting_charts["torso"].girth(3.0)[()])
    assert cut == pytest.approx(0.9 * girth, rel=0.03)
    hem = sum(piece.edge("hem").length for piece in leggings.pieces)
    ankle = float(woman.drafting_charts["shank_left"].girth(0.9)[()])
    assert hem == pytest.approx(0.9 * ankle, rel=0.04)


def test_left_and_right_that_differ_are_drafted_apart() -> None:
    template = load_template()
    form = form_of(template, template.presets["man"])
    wider = form.drafting.vertices.copy()
    leg = (wider[:, 0] > 90.0) & (wider[:, 2] < 600.0)
    wider[leg, 1] *= 1.06
    uneven = replace(form, drafting=replace(form.drafting, vertices=wider))
    result = draft(uneven, options={"garment": "leggings", "panels_a_leg": 1})
    assert [piece.slug for piece in result.pieces] == ["suit_leg_left", "suit_leg_right"]
    assert [piece.side for piece in result.pieces] == ["left", "right"]
    assert walked_faults(result.pieces) == []
    assert faults(result) == []


def test_checks_that_passed_read_as_good_news(leggings: DraftResult) -> None:
    told = {check.what for check in leggings.checks}
    assert "seams sewn to each other are equally long" in told
    assert "front left: it lies flat without a fold" in told
    assert any(what.startswith("it is") and what.endswith("at the left knee") for what in told)
    assert not any("_" in what for what in told)


def round_leg(slug: str, side: str, station: float) -> DesignEdge:
    """An edge right round a shank."""
    points = tuple(
        EdgePoint(at=ChartPoint(region=f"shank_{side}", station=station, around=k / 12)) for k in range(12)
    )
    return DesignEdge(slug=slug, points=points, closed=True)


@pytest.mark.parametrize("higher", ["left", "right"])
def test_one_hem_may_lie_higher_than_the_other(woman: Form, higher: str) -> None:
    role = f"hem_{higher}"
    edges = {"low": round_leg("low", "left", 0.85), "high": round_leg("high", higher, 0.4)}
    roles = {"hem": "low", role: "high"}
    # Every role that may be written is one the kind names: others are refused before drafting.
    assert roles.keys() <= KIND.edges.keys()
    result = draft(woman, edges=edges, roles=roles, options={"garment": "leggings"})
    lengths = {piece.slug: piece.edge("outseam").length for piece in result.pieces}
    other = "left" if higher == "right" else "right"
    shank = np.ptp([woman.charts["shank_left"].section(t)[:, 2].mean() for t in (0.4, 0.85)])
    drop = lengths[f"suit_front_{other}"] - lengths[f"suit_front_{higher}"]
    assert drop == pytest.approx(0.98 * shank, rel=0.1)
    assert faults(result) == []


def test_the_kind_names_every_edge_that_drafting_reads() -> None:
    for role in ("hem", "leg", "cuff"):
        assert {role, f"{role}_left", f"{role}_right"} <= KIND.edges.keys()


def test_another_wearer_gets_the_same_topology(woman: Form, leggings: DraftResult) -> None:
    template = load_template()
    other = draft(form_of(template, template.presets["man"]), options={"garment": "leggings"})
    for first, second in zip(leggings.pieces, other.pieces, strict=True):
        assert [e.slug for e in first.edges] == [e.slug for e in second.edges]
        assert [len(e.notches) for e in first.edges] == [len(e.notches) for e in second.edges]


def test_a_window_is_carried_and_its_backing_covers_it(woman: Form) -> None:
    edges = {"eye": lens("eye", "torso", 2.2, 0.06, 0.35, 0.045)}
    result = draft(
        woman,
        edges=edges,
        windows=("eye",),
        backing="net",
        options={"garment": "top", "sleeves": False},
    )
    assert faults(result) == []
    front = next(piece for piece in result.pieces if piece.slug == "suit_front")
    (window,) = front.windows
    backing = next(piece for piece in result.pieces if piece.slug == window.backing)
    assert backing.cloth == "net"
    assert [e.length for e in backing.edges] == [e.length for e in front.edges]
    trim = next(line for line in backing.lines if line.kind == "trim")
    hole, around = shapely.Polygon(window.curve), shapely.Polygon(trim.curve)
    assert around.contains(hole)
    assert around.exterior.distance(hole.exterior) == pytest.approx(BACKING_TRIM, abs=0.1)
    assert shapely.Polygon(front.stitch_line).contains(hole)
    # Held by its backing, a window is cut smaller than worn by the ease: 10 % round, 2 % along.
    assert window.worn is not None
    worn = shapely.Polygon(window.worn)
    assert hole.area / worn.area == pytest.approx(0.9 * 0.98, rel=0.02)


def test_a_window_without_backing_is_cut_smaller_still(woman: Form) -> None:
    edges = {"eye": lens("eye", "torso", 2.2, 0.06, 0.35, 0.045)}
    options = {"garment": "top", "sleeves": False}
    held = draft(woman, edges=edges, windows=("eye",), backing="net", options=options)
    free = draft(woman, edges=edges, windows=("eye",), options=options)
    (first,), (second,) = (r.pieces[0].windows for r in (held, free))
    assert shapely.Polygon(second.curve).area < shapely.Polygon(first.curve).area


@pytest.mark.parametrize(
    ("window", "words"),
    [
        (lens("eye", "torso", 2.2, 0.25, 0.3, 0.08), "crosses a seam"),
        (lens("eye", "torso", 2.2, 0.08, 0.3, 0.30), "wider than its panel"),
        (lens("eye", "thigh_left", 0.5, 0.0, 0.1, 0.05), "past the garment's edge"),
    ],
)
def test_windows_that_do_not_fit_are_refused(woman: Form, window: DesignEdge, words: str) -> None:
    with pytest.raises(DraftError, match=words):
        draft(
            woman,
            edges={"eye": window},
            windows=("eye",),
            backing="net",
            options={"garment": "top", "sleeves": False},
        )


def test_only_tape_and_a_tested_cloth_earn_good_material(woman: Form) -> None:
    options = {"garment": "leggings"}
    assert draft(woman, options=options).pieces[0].verdict.level == "good material"
    guessed = replace(woman, estimated=frozenset({"hip_girth"}))
    verdict = draft(guessed, options=options).pieces[0].verdict
    assert verdict.level == "scrap"
    assert "guessed" in verdict.reasons[0].why
    assert "Measure" in verdict.reasons[0].lifted_by
    untested = draft(woman, options=options, cloth="net")
    assert untested.pieces[0].verdict.level == "good material"


def test_a_narrow_ankle_that_cannot_pass_the_heel_is_found(woman: Form) -> None:
    tight = replace(woman, measures={"heel_girth_left": 480.0, "hip_girth": 400.0})
    result = draft(tight, options={"garment": "leggings"})
    failed = [check for check in result.checks if not check.passed]
    told = [failure_line("suit", check) for check in failed]
    assert (
        "suit: heel and ankle cannot pass through the left hem when it is stretched. "
        "Add a zip or snaps there, or take a cloth with more stretch." in told
    )
    assert all("zip" in check.advice for check in failed if "heel" in check.what)
    assert result.pieces[0].verdict.level == "paper"
    assert not any("480" in check.what + check.advice for check in result.checks)


def test_layers_below_make_the_garment_larger_everywhere(woman: Form, leggings: DraftResult) -> None:
    thick = 6.0
    options = {"garment": "leggings"}
    piece = PieceStatement(slug="suit", kind="knit", cloth="lacquer", side="both", options=options)
    padded = KIND.draft(
        DraftRequest(
            statement=piece,
            options=validated_options(KIND, options, where="suit"),
            form=woman,
            placement=Placement(wearer="A", edges={}),
            cloths=CLOTHS,
            stack=thick,
        )
    )
    for edge in ("waist", "hem"):
        bare, over = (
            sum(piece.edge(edge).length for piece in result.pieces) for result in (leggings, padded)
        )
        # A girth grows by 2 pi times what lies below it; the drafted side has half a waist and a whole hem.
        share = 0.5 if edge == "waist" else 1.0
        assert over - bare == pytest.approx(share * 0.9 * 2.0 * np.pi * thick, rel=0.25)


def test_a_zip_is_as_long_as_it_takes_to_get_in_and_helps_no_hand(woman: Form) -> None:
    wide = replace(woman, measures={"hand_with_thumb_girth_left": 400.0, "hip_girth": 1500.0})
    plain, zipped = (
        draft(wide, options={"garment": "bodysuit", "closure": closure}) for closure in (False, True)
    )
    tight, (hand,) = (
        [c.what for c in r.checks if "pass through" in c.what and not c.passed] for r in (plain, zipped)
    )
    assert len(tight) == 2
    assert "hand with the thumb" in hand
    (zip_,) = [item for item in zipped.items if item.slug == "zip_closed_end"]
    back = next(piece for piece in zipped.pieces if piece.slug == "suit_back")
    (slit,) = [line for line in back.lines if line.kind == "slit"]
    assert zip_.length is not None
    assert length(slit.curve) == pytest.approx(zip_.length, abs=2.0)
    # Neckline stretched, both edges of the zip: just more than the hips, in steps of 50 mm of zip.
    neck = sum(p.edge("neck").length for p in zipped.pieces if p.slug in ("suit_front", "suit_back"))
    spare = 1.6 * neck + 2.0 * zip_.length - 1500.0
    assert 0.0 <= spare < 100.0
    assert np.linalg.norm(back.edge("neck").curve - slit.curve[0], axis=1).min() < 1e-6


def test_a_cloth_that_does_not_stretch_is_refused(woman: Form) -> None:
    with pytest.raises(DraftError, match="'felt' stretches 10% across"):
        draft(woman, cloth="felt", options={"garment": "leggings"})


def test_a_bare_number_is_refused_with_what_to_write() -> None:
    with pytest.raises(DraftError, match="seam_allowance"):
        validated_options(KIND, {"seam_allowance": "7"}, where="suit")


def test_notches_lie_on_the_stitch_line_at_the_levels(leggings: DraftResult) -> None:
    front = leggings.pieces[0]
    edge = front.edge("outseam")
    knee = next(n for n in edge.notches if n.name.endswith("knee"))
    line = next(line for line in front.lines if line.label == "knee")
    at = points_at(edge.curve, [knee.distance])[0]
    assert np.linalg.norm(line.curve - at, axis=1).min() < 6.0
    assert arc_lengths(edge.curve)[-1] > knee.distance > 0.0


def test_where_a_cloth_that_gives_one_way_only_will_pull_is_said(woman: Form) -> None:
    one_way = replace(CLOTHS["lacquer"], slug="one_way", stretch_along=0.1)
    asked = request(woman, cloth="one_way", options={"garment": "leggings"})
    result = KIND.draft(replace(asked, cloths={**CLOTHS, "one_way": one_way}))
    failed = [check.what for check in result.checks if not check.passed]
    assert [what.partition(": ")[2] for what in failed] == [
        "it will pull at the knee",
        "it will pull at the seat",
    ]
    assert failed[0].startswith("bent knees ask for 35% to 45% of stretch along, the cloth gives 10%")
    assert "skin strain by Kirk and Ibrahim 1966" in failed[0]
    assert result.pieces[0].verdict.level == "paper"
    assert "greater stretch, 60 %" in result.pieces[0].note[0]
    assert "other way it stretches 10 %" in result.pieces[0].note[0]


def test_movements_are_checked_only_where_the_garment_reaches(woman: Form) -> None:
    shirt = draft(woman, options={"garment": "undershirt"})
    told = " ".join(check.what for check in shirt.checks)
    assert "arms raised" in told
    assert "knees" not in told
    assert "elbows" not in told
    assert "sitting" not in told


def test_a_tip_that_crosses_itself_by_a_hair_is_mended_and_a_figure_of_eight_is_not() -> None:
    t = np.linspace(0.0, 1.0, 40)
    # Two sides of a lens that meet before its tip and run on past each other.
    width = 14.0 * np.sin(np.pi * t) - 3.0 * (t > 0.93)
    right = np.stack([width, 80.0 * t], axis=1)
    outline = np.vstack([right, (right * (-1.0, 1.0))[::-1][1:-1]])
    assert not shapely.Polygon(outline).is_valid
    kept = shapely.Polygon(mended(outline))
    assert kept.is_valid
    assert kept.area == pytest.approx(14.0 * 80.0 * 4.0 / np.pi, rel=0.02)
    eight = np.array([[0.0, 0.0], [40.0, 40.0], [40.0, 0.0], [0.0, 40.0]])
    assert mended(eight) is eight
