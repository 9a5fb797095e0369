"""Woven garments of somebody who sits: what the seat needs, what the lap folds up, level hems, free arms."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from stiff_limbs import ring
from woven_requests import CLOTHS, draft, faults, sitting_and_standing

from layfigure.body.seated_change import leg_change, rise_change
from layfigure.draft.on_the_seat import CAUTION, seat_check
from layfigure.draft.registry import DraftResult
from layfigure.draft.woven.reaching import BACK_ROOM, NO_REACHING, reaching
from layfigure.draft.woven.seated_rise import LEAST_RISE, MOST_RISE
from layfigure.draft.woven.thick_parts import trouser_bulk
from layfigure.piece.piece import Piece
from layfigure.piece.seam_allowance import cut_line
from layfigure.piece.toile import toile

SIDES = ("left", "right")


def pair(options: dict[str, object], **more: object) -> tuple[DraftResult, DraftResult]:
    """The same garment for the wearer sitting and standing."""
    sitting, standing = sitting_and_standing()
    return draft(options, form=sitting, **more), draft(options, form=standing, **more)


def piece_of(result: DraftResult, name: str) -> Piece:
    return next(piece for piece in result.pieces if piece.slug == f"piece_{name}")


def crotch_length(piece: Piece) -> float:
    return sum(edge.length for edge in piece.edges if edge.slug in ("fly", "crotch"))


@pytest.fixture(scope="module")
def trousers() -> tuple[DraftResult, DraftResult]:
    return pair({"garment": "trousers"}, cloths={"lining": "satin"})


def test_a_form_that_stands_changes_nothing() -> None:
    _, standing = sitting_and_standing()
    top = standing.level_heights["waist"]
    # Its drafting surface has the legs apart, which moves these lines by a few millimetres.
    assert abs(rise_change(standing, top).front) < 5.0
    assert abs(rise_change(standing, top).back) < 5.0
    assert abs(leg_change(standing, "left", 50.0).front) < 1.0


def test_the_rise_is_longer_behind_and_shorter_in_the_lap(trousers: tuple[DraftResult, DraftResult]) -> None:
    sitting, _ = sitting_and_standing()
    change = rise_change(sitting, sitting.level_heights["waist"])
    for side in SIDES:
        front, back = (
            [crotch_length(piece_of(result, f"{part}_{side}")) for result in trousers]
            for part in ("front", "back")
        )
        assert front[0] - front[1] == pytest.approx(np.clip(change.front, -MOST_RISE, -LEAST_RISE), abs=0.5)
        assert back[0] - back[1] == pytest.approx(np.clip(change.back, LEAST_RISE, MOST_RISE), abs=0.5)
    # Fractions and heights keep their standing definition.
    assert [piece_of(r, "front_left").edge("inseam").length for r in trousers] == pytest.approx(
        [piece_of(trousers[1], "front_left").edge("inseam").length] * 2, abs=1.0
    )


def test_the_hem_dips_over_the_knee_by_what_the_knee_takes(trousers: tuple[DraftResult, DraftResult]) -> None:
    sitting, _ = sitting_and_standing()
    for part, sign in (("front", 1.0), ("back", -1.0)):
        sat, stood = (piece_of(result, f"{part}_left").edge("hem").curve for result in trousers)
        assert len(stood) == 2
        change = leg_change(sitting, "left", 0.0)
        wanted = change.front if part == "front" else change.back
        middle = sat[np.abs(sat[:, 0] - 0.5 * (sat[0, 0] + sat[-1, 0])).argmin()]
        assert sign * wanted > 5.0
        assert 0.5 * (sat[0, 1] + sat[-1, 1]) - middle[1] == pytest.approx(wanted, abs=2.0)
    short = draft({"garment": "trousers"}, form=sitting, edges={"hem": ring("hem", "thigh_left", 0.5)})
    hem = piece_of(short, "front_left").edge("hem").curve
    assert np.ptp(hem[:, 1]) < 0.1


def test_what_is_sat_upon_lies_flat(trousers: tuple[DraftResult, DraftResult]) -> None:
    sat, stood = (piece_of(result, "back_left") for result in trousers)
    assert sat.edge("crotch").allowance == 10.0 < stood.edge("crotch").allowance
    assert sat.edge("inseam").allowance == 10.0
    assert sat.edge("side").allowance == stood.edge("side").allowance == 25.0
    assert CAUTION in sat.cautions
    assert CAUTION not in stood.cautions
    assert any("pockets" in line for line in sat.note)


def test_every_seam_walks(trousers: tuple[DraftResult, DraftResult], tmp_path: Path) -> None:
    for result in trousers:
        assert faults(result, tmp_path) == []
        assert all(check.passed for check in result.checks), [c for c in result.checks if not c.passed]
        for piece in result.pieces:
            cut_line(piece.edges)
            cut_line(toile(piece).edges)


def test_the_skirt_of_a_coat_is_shorter_over_the_lap_and_longer_behind(tmp_path: Path) -> None:
    sat, stood = pair({"garment": "coat", "closure": "front_open"})
    sitting, _ = sitting_and_standing()
    change = rise_change(sitting, sitting.level_heights["waist"])
    for side in SIDES:
        front, back = (
            [piece_of(result, f"skirt_{part}_{side}").edge(edge).length for result in (sat, stood)]
            for part, edge in (("front", "front_edge"), ("back", "centre_back"))
        )
        assert front[0] - front[1] == pytest.approx(np.clip(change.front, -MOST_RISE, -LEAST_RISE), abs=1.0)
        assert back[0] - back[1] == pytest.approx(np.clip(change.back, LEAST_RISE, MOST_RISE), abs=1.0)
    assert faults(sat, tmp_path) == []
    assert any("sits" in line for line in piece_of(sat, "skirt_back_left").note)


def underarm(sleeve: Piece, part: str) -> float:
    return sum(edge.length for edge in sleeve.edges if edge.slug.startswith(f"underarm_{part}"))


def test_arms_reach_forward(tmp_path: Path) -> None:
    sat, stood = pair({"garment": "bodice"}, cloths={"lining": "satin"})
    sitting, standing = sitting_and_standing()
    assert reaching(standing) == NO_REACHING
    room = reaching(sitting)
    assert BACK_ROOM[0] <= room.back <= BACK_ROOM[1]

    def width(result: DraftResult) -> float:
        """Across the back from notch to notch of the armholes."""
        return sum(across(piece_of(result, f"back_{side}")) for side in SIDES)

    assert width(sat) - width(stood) == pytest.approx(room.back, abs=2.0)
    for side in SIDES:
        sleeve, plain = (piece_of(result, f"sleeve_{side}") for result in (sat, stood))
        assert sleeve.totals[1].length - plain.totals[1].length == pytest.approx(0.5 * room.back, abs=0.01)
        # The cap is lower: the arm swings forward.
        cap, was = (
            np.ptp(np.vstack([e.curve for e in p.edges if e.slug.startswith("cap")])[:, 1])
            for p in (sleeve, plain)
        )
        assert cap < was - 2.0
        elbow = sleeve.edge("underarm_back_elbow")
        assert elbow.eased == pytest.approx(room.elbow[side], abs=2.0)
        assert underarm(sleeve, "back") - underarm(sleeve, "front") == pytest.approx(elbow.eased, abs=0.05)
        assert underarm(plain, "back") == pytest.approx(underarm(plain, "front"), abs=0.01)
    for result in (sat, stood):
        assert faults(result, tmp_path) == []
        assert not failed(result)
        for piece in result.pieces:
            cut_line(piece.edges)


def failed(result: DraftResult) -> list[str]:
    """What fails, but for how well a bodice takes this body's roundness: ``test_woven_bodice`` asks that."""
    told = "tape over the body"
    return [check.what for check in result.checks if not check.passed and told not in check.what]


def across(back: Piece) -> float:
    """From the centre line of half a back to the notch of its armhole [mm]."""
    lower, upper = back.edge("armhole_lower").curve, back.edge("armhole_upper").curve
    (notch,) = [place for place in (lower[0], lower[-1]) if min(abs(place - q).max() for q in upper) < 1e-6]
    centre = back.edge("centre_back").curve
    return abs(float(notch[0] - centre[:, 0].mean()))


def test_nobody_sits_on_pleats(tmp_path: Path) -> None:
    sitting, standing = sitting_and_standing()
    for garment in ("skirt", "coat"):
        options = {"garment": garment, "closure": "front_open"}
        result = draft(options, form=sitting)
        assert faults(result, tmp_path) == []
        assert not failed(result)
        assert seat_check(result, sitting, CLOTHS).checks[-1].passed
        name = "skirt_back_left" if garment == "coat" else "back_left"
        for form, tucked in ((sitting, True), (standing, False)):
            (back,) = (p for p in draft(options, form=form).pieces if p.slug == f"piece_{name}")
            folds = [line.curve for line in back.lines if line.kind == "fold"]
            # Tucks end at the hips; pleats run down to the hem.
            assert folds
            assert all((fold[:, 1].min() > -0.01) == tucked for fold in folds)
            assert any("pleats are in front" in line for line in back.note) == tucked


def test_pleats_and_a_zip_that_are_sat_upon_are_told() -> None:
    sitting, _ = sitting_and_standing()
    zipped = draft({"garment": "skirt", "closure": "back_zip"}, form=sitting)
    told = seat_check(zipped, sitting, CLOTHS).checks[-1]
    assert not told.passed
    assert "the zip" in told.advice
    assert "pleats" not in told.advice
    # Seams pressed open in thin cloth are not felt; in a thick one they are.
    flat = seat_check(draft({"garment": "trousers"}, form=sitting), sitting, CLOTHS).checks[-1]
    assert flat.passed
    assert flat.value == pytest.approx(CLOTHS["twill"].thickness)
    heavy = replace(CLOTHS["twill"], thickness=2.0)
    thick = trouser_bulk(sitting, heavy.thickness)
    assert not seat_check(DraftResult(pieces=(), bulk=thick), sitting, CLOTHS).checks[-1].passed
