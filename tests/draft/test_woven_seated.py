"""Woven garments of somebody who sits: what the seat needs, what the lap folds up, level hems, free arms."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from stiff_limbs import ring
from woven_requests import draft, faults, sitting_and_standing

from layfigure.body.seated_change import leg_change, rise_change
from layfigure.draft.on_the_seat import CAUTION
from layfigure.draft.registry import DraftResult
from layfigure.draft.woven.seated_rise import LEAST_RISE, MOST_RISE
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
