"""Bodice, sleeves and coat: darts fold true, seams are equal, the cap has the ease that is stated."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from stiff_limbs import ring
from woven_requests import body, draft, faults

from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.draft.registry import DraftResult
from layfigure.draft.woven.corner_tapes import ACROSS, CORNERS, SEWN, CornerTapes, FlatCorners, flat_corners
from layfigure.draft.woven.curve import equally_long
from layfigure.draft.woven.dart_plan import plan_darts
from layfigure.draft.woven.sleeve_flat import Armhole, sleeve_flat
from layfigure.errors import DraftError
from layfigure.geometry.pleat import mirrored
from layfigure.geometry.polyline import length
from layfigure.piece.piece import Piece
from layfigure.piece.seam_allowance import cut_line
from layfigure.piece.toile import toile


def piece_of(result: DraftResult, name: str) -> Piece:
    return next(piece for piece in result.pieces if piece.slug == f"piece_{name}")


@pytest.fixture(scope="module")
def bodice() -> DraftResult:
    return draft({"garment": "bodice"}, cloths={"lining": "satin", "interfacing": "canvas"})


@pytest.fixture(scope="module")
def coat() -> DraftResult:
    return draft({"garment": "coat", "closure": "back_zip"}, preset="man")


def test_every_seam_walks_and_every_cut_line_closes(
    bodice: DraftResult, coat: DraftResult, tmp_path: Path
) -> None:
    for result in (bodice, coat):
        assert faults(result, tmp_path) == []
        assert len({piece.slug for piece in result.pieces}) == len(result.pieces)
        for piece in result.pieces:
            cut_line(piece.edges)
            cut_line(toile(piece).edges)
        assert all(check.passed for check in result.checks), [c for c in result.checks if not c.passed]


def test_darts_are_true_when_folded(bodice: DraftResult, coat: DraftResult) -> None:
    seen = 0
    for piece in (*bodice.pieces, *coat.pieces):
        darts = [line.curve for line in piece.lines if line.label.startswith("dart")]
        mouths = [edge for edge in piece.edges if edge.slug.startswith("dart")]
        assert len(darts) == len(mouths)
        for first, tip, second in darts:
            seen += 1
            assert np.linalg.norm(first - tip) == pytest.approx(np.linalg.norm(second - tip), abs=0.01)
            edge = min(mouths, key=lambda m, at=first: float(np.abs(m.curve[[0, -1]] - at).sum(1).min()))
            k = piece.edges.index(edge)
            before, after = piece.edges[k - 1].curve, piece.edges[(k + 1) % len(piece.edges)].curve
            # Closed, the edge runs on without a corner: turn what lies beyond the dart onto the first leg.
            turn = angle_of(before[-1] - tip) - angle_of(after[0] - tip)
            onward = turned(after[1] - after[0], turn)
            bend = abs(np.degrees(angle_of(onward) - angle_of(before[-1] - before[-2])))
            assert min(bend, 360.0 - bend) < 2.5
            # The mouth lies under the cloth the dart is folded onto: its image in a leg is the edge itself.
            leg = np.array([tip, edge.curve[0]])
            near = mirrored(edge.curve[1:2], leg)[0]
            other = np.array([tip, edge.curve[-1]])
            far = mirrored(edge.curve[-2:-1], other)[0]
            off = min(gap(near, before), gap(far, after))
            assert off < 0.05
    assert seen >= 6


def angle_of(way: np.ndarray) -> float:
    return float(np.arctan2(way[1], way[0]))


def turned(way: np.ndarray, angle: float) -> np.ndarray:
    c, s = np.cos(angle), np.sin(angle)
    return np.array([c * way[0] - s * way[1], s * way[0] + c * way[1]])


def gap(place: np.ndarray, curve: np.ndarray) -> float:
    a, b = curve[:-1], curve[1:]
    share = np.clip(((place - a) * (b - a)).sum(1) / ((b - a) ** 2).sum(1), 0.0, 1.0)
    return float(np.linalg.norm(a + share[:, None] * (b - a) - place, axis=1).min())


def test_the_cap_is_the_armhole_and_the_ease_above_its_notches(bodice: DraftResult) -> None:
    for side in ("left", "right"):
        sleeve = piece_of(bodice, f"sleeve_{side}")
        eased = 0.0
        for part in ("front", "back"):
            panel = piece_of(bodice, f"{part}_{side}")
            lower, upper = (sleeve.edge(f"cap_{part}_{which}") for which in ("lower", "upper"))
            assert lower.length == pytest.approx(panel.edge("armhole_lower").length, abs=0.01)
            more = upper.length - panel.edge("armhole_upper").length
            assert more == pytest.approx(upper.eased, abs=0.01)
            eased += more
            (notch,) = panel.edge("armhole_lower").notches
            assert notch.count == (1 if part == "front" else 2)
            assert notch.name == lower.notches[0].name
        assert eased == pytest.approx(25.0, abs=0.02)


def test_girths_are_the_body_and_the_ease(bodice: DraftResult) -> None:
    waist = sum(
        piece_of(bodice, f"{p}_{s}").totals[0].length for p in ("front", "back") for s in ("left", "right")
    )
    own = float(body("woman").charts["torso"].girth(3.0))
    assert waist == pytest.approx(own + 2.0 * np.pi * 1.0 + 30.0, abs=0.5)
    wider = draft({"garment": "bodice", "ease_waist": "60 mm", "sleeves": False})
    assert sum(
        piece_of(wider, f"{p}_{s}").totals[0].length for p in ("front", "back") for s in ("left", "right")
    ) == pytest.approx(waist + 30.0, abs=0.5)
    assert not any("sleeve" in piece.slug for piece in wider.pieces)
    assert piece_of(wider, "front_left").edge("armhole_upper").role == "seam"


def test_allowances_let_out_at_side_and_back(bodice: DraftResult) -> None:
    back = piece_of(bodice, "back_left")
    assert back.edge("side_1").allowance == 25.0
    assert back.edge("centre_back").allowance == 25.0
    assert back.edge("shoulder_1").allowance == 15.0
    slugs = {piece.slug for piece in bodice.pieces}
    assert {
        "piece_front_facing_left",
        "piece_back_neck_facing",
        "piece_back_neck_facing_interfacing",
        "piece_sleeve_left_lining",
    } <= slugs
    assert any(item.slug.startswith("button") for item in bodice.items)
    assert piece_of(bodice, "front_left").note


def test_the_skirt_of_a_coat_is_as_long_at_the_waist_as_the_bodice(coat: DraftResult) -> None:
    for side in ("left", "right"):
        upper = sum(e.length for e in piece_of(coat, f"back_{side}").edges if e.slug.startswith("waist"))
        panel = piece_of(coat, f"skirt_back_{side}")
        assert sum(e.length for e in panel.edges if e.slug.startswith("waist")) == pytest.approx(
            upper, abs=0.05
        )
    assert {surface.name for surface in coat.worn} == {
        "piece",
        "piece_sleeve_left",
        "piece_sleeve_right",
        "piece_skirt",
    }


def test_a_cap_grows_taller_where_the_arm_is_thinner() -> None:
    armhole = Armhole(front=200.0, back=230.0, front_notch=90.0, back_notch=100.0)
    tall, low = (
        sleeve_flat(armhole, ease=25.0, width=width, below=600.0, hem=220.0, where="")
        for width in (320.0, 360.0)
    )
    assert tall.height > low.height
    for flat in (tall, low):
        whole = sum(length(curve) for curve in flat.cap.values())
        assert whole == pytest.approx(455.0, abs=1e-6)
        assert length(flat.front_seam) == pytest.approx(length(flat.back_seam), abs=1e-9)
    with pytest.raises(DraftError, match="too small"):
        sleeve_flat(armhole, ease=25.0, width=470.0, below=600.0, hem=220.0, where="")


def test_darts_take_what_there_is_one_after_the_other() -> None:
    for part in ("front", "back"):
        for degrees in (0.0, 2.0, 10.0, 25.0, 45.0, 80.0):
            plan = plan_darts(np.radians(degrees), part)
            whole = sum(plan.waist) + plan.side + plan.shoulder + plan.left_over
            assert np.degrees(whole) == pytest.approx(degrees)
    assert plan_darts(np.radians(2.0), "front").waist == (0.0, 0.0)
    assert plan_darts(np.radians(12.0), "front").side == 0.0
    assert plan_darts(np.radians(40.0), "front").side > 0.0
    assert plan_darts(np.radians(40.0), "front").shoulder == 0.0
    assert plan_darts(np.radians(70.0), "front").waist[1] > 0.0
    assert plan_darts(np.radians(70.0), "front", between=8.0).waist[1] == 0.0
    assert plan_darts(np.radians(80.0), "front").left_over == pytest.approx(0.0)


def test_a_sleeve_ends_where_it_was_placed() -> None:
    long, short = (
        piece_of(draft({"garment": "bodice"}, edges=edges), "sleeve_right")
        for edges in ({}, {"cuff": ring("cuff", "upper_arm_left", 0.8)})
    )
    form = body("woman")
    arm = form.charts["upper_arm_right"]
    rest = np.linalg.norm(arm.section(1.0).mean(axis=0) - arm.section(0.8).mean(axis=0))
    wrist = np.linalg.norm(form.landmarks["wrist_right"] - form.landmarks["elbow_right"])
    heights = [float(np.ptp(piece.stitch_line[:, 1])) for piece in (long, short)]
    assert heights[0] - heights[1] == pytest.approx(rest + wrist, abs=1.0)
    with pytest.raises(DraftError, match="arm"):
        draft({"garment": "bodice"}, edges={"cuff": ring("cuff", "torso", 2.0)})


def test_princess_seams_take_the_place_of_darts(tmp_path: Path) -> None:
    result = draft({"garment": "coat", "shaping": "princess"})
    assert faults(result, tmp_path) == []
    assert all(check.passed for check in result.checks), [c for c in result.checks if not c.passed]
    for part in ("front", "back"):
        centre, side = piece_of(result, f"{part}_left"), piece_of(result, f"{part}_side_left")
        assert not any(line.label.startswith("dart") for line in (*centre.lines, *side.lines))
        one, other = centre.edge("princess"), side.edge("princess")
        assert one.length == pytest.approx(other.length, abs=0.01)
        assert {notch.name for notch in one.notches} == {notch.name for notch in other.notches}
        assert len(one.notches) == 3
        upper = sum(e.length for p in (centre, side) for e in p.edges if e.slug.startswith("waist"))
        skirt = piece_of(result, f"skirt_{part}_left")
        assert sum(e.length for e in skirt.edges if e.slug.startswith("waist")) == pytest.approx(
            upper, abs=0.05
        )


def test_seams_over_the_bust_are_equally_long_however_each_bends() -> None:
    straight = np.array([0.0, 1.0])
    for bend in (0.1, 0.4):
        lean = np.array([np.sin(bend), np.cos(bend)])
        one, other = equally_long(
            (np.zeros(2), straight, np.array([0.0, 200.0]), lean),
            (np.zeros(2), straight, np.array([0.0, 200.0]), np.array([-np.sin(0.07), np.cos(0.07)])),
        )
        assert length(one) == pytest.approx(length(other), abs=0.005)
        assert one[-1] == pytest.approx(other[-1])


def test_corners_are_found_from_a_crooked_start() -> None:
    # Flat corners are known exactly; the search starts a long way off and must come back to them.
    ring = np.radians(np.linspace(-80.0, 260.0, len(CORNERS)))
    true = (
        200.0 * np.stack([np.cos(ring), np.sin(ring)], axis=1) * np.linspace(0.7, 1.2, len(CORNERS))[:, None]
    )
    pairs = np.array([[CORNERS.index(name) for name in pair] for pair in (*SEWN, *ACROSS)])
    tapes = CornerTapes(
        spokes=np.linalg.norm(true, axis=1),
        pairs=pairs,
        lengths=np.linalg.norm(true[pairs[:, 0]] - true[pairs[:, 1]], axis=1),
        firm=np.arange(len(pairs)) < len(SEWN),
    )
    ends = [("centre_waist", "one_a"), ("one_b", "two_a"), ("two_a", "side_waist")]
    waist = np.array([np.linalg.norm(true[CORNERS.index(a)] - true[CORNERS.index(b)]) for a, b in ends])
    off = true + np.random.default_rng(3).normal(scale=40.0, size=true.shape)
    found = flat_corners(tapes, waist, "front", FlatCorners(places=off))
    assert np.abs(tapes.misses(found.places)).max() < 1e-6


def test_a_bust_far_wider_than_the_waist_below_it_still_gets_seams_of_equal_length() -> None:
    # The one coat of 200 in ``benchmarks/woven.py`` whose bust points lie beyond its waist: solving for the
    # corners used to stall, and its waist edge was 3.2 mm and its shoulder seams 0.03 mm off.
    template = load_template()
    draw = np.random.default_rng(7)
    shape = template.presets["woman"].copy()
    moves = [draw.normal(size=template.mode_count) for _ in range(128)]
    shape[: template.mode_count] += 0.6 * moves[-1]
    form = form_of(template, shape, wearer="test")
    result = draft({"garment": "coat"}, form=form)
    (waist,) = (check for check in result.checks if "waist edge, darts folded" in check.what)
    assert waist.value < 0.01
    seams: dict[str, list[float]] = {}
    for piece in result.pieces:
        for edge in piece.edges:
            if edge.seam is not None:
                seams.setdefault(edge.seam, []).append(edge.length - edge.eased)
    assert max(max(sizes) - min(sizes) for sizes in seams.values()) < 1e-6


def test_cloth_lies_on_every_tape_within_one_and_a_half_percent() -> None:
    # Crooked tapes over a trunk without its neck and shoulder tops read up to 5 % too much, and a back
    # without a shoulder dart missed them by 3.4 % (median of 200 bodies).
    template, draw = load_template(), np.random.default_rng(7)
    for number in range(3):
        shape = template.presets["woman" if number % 2 else "man"].copy()
        shape[: template.mode_count] += 0.6 * draw.normal(size=template.mode_count)
        result = draft({"garment": "bodice"}, form=form_of(template, shape, wearer="test"))
        (strain,) = (check for check in result.checks if "tape over the body" in check.what)
        assert strain.value < 1.5
        assert strain.passed


def test_a_back_gets_a_shoulder_dart_that_closes_to_the_length_of_the_front(bodice: DraftResult) -> None:
    for side in ("left", "right"):
        front, back = piece_of(bodice, f"front_{side}"), piece_of(bodice, f"back_{side}")
        (dart,) = (edge for edge in back.edges if edge.slug == "dart_shoulder")
        mouth = float(np.linalg.norm(dart.curve[-1] - dart.curve[0]))
        # Drafting practice, from memory: 10 to 20 mm wide, 60 to 100 mm long.
        assert 8.0 <= mouth <= 20.0
        (line,) = (
            line.curve
            for line in back.lines
            if line.label == "dart, fold toward the centre" and line.curve[1, 1] > 200
        )
        assert 55.0 < np.linalg.norm(line[0] - line[1]) < 110.0
        lengths = [sum(e.length for e in p.edges if e.slug.startswith("shoulder")) for p in (front, back)]
        assert lengths[0] == pytest.approx(lengths[1], abs=1e-6)
        assert sum(edge.eased for edge in back.edges if edge.slug.startswith("shoulder")) == 0.0


def test_a_shoulder_too_little_longer_for_a_dart_is_eased_in(tmp_path: Path) -> None:
    # A flat back: what it wants is less than a dart is worth.
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("layfigure.draft.woven.corner_tapes.MOST_WEDGE", 5.0)
        result = draft({"garment": "bodice"})
    front, back = piece_of(result, "front_left"), piece_of(result, "back_left")
    assert not any(edge.slug == "dart_shoulder" for edge in back.edges)
    sizes = [[e for e in p.edges if e.slug.startswith("shoulder")] for p in (front, back)]
    eased = sum(edge.eased for edge in sizes[1])
    assert 1.0 < eased < 8.0
    assert sum(e.length for e in sizes[1]) - eased == pytest.approx(sum(e.length for e in sizes[0]), abs=1e-9)
    assert any("Work in the back shoulder" in line for line in back.note)
    assert faults(result, tmp_path) == []
