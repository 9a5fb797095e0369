"""Hard pieces under a seated wearer are told; the same piece on a standing one is not."""

from dataclasses import replace

import numpy as np
import pytest
from stiff_limbs import FOAM, draft, form_with, ring, round_limb

from layfigure.body.form import Form
from layfigure.draft.bulk import Bulk
from layfigure.draft.on_the_seat import CAUTION, seat_check
from layfigure.draft.registry import DraftResult
from layfigure.draft.wrap.kind import KIND

THIGH = "thigh_left"


@pytest.fixture(scope="module")
def body() -> Form:
    return form_with(round_limb(THIGH, [80.0, 60.0], 400.0))


def band(body: Form, **options: object) -> DraftResult:
    return draft(
        KIND, body, {"top": ring("t", THIGH, 0.2), "bottom": ring("b", THIGH, 0.6)}, options, cloth=FOAM
    )


def test_a_band_right_round_the_thigh_is_sat_upon(body: Form) -> None:
    seated = replace(body, posture="seated")
    result = seat_check(band(body), seated, {"foam": FOAM})
    check = result.checks[-1]
    assert not check.passed
    # The underside is 44 % of the girth, and the band's edges lie a little beyond the reach of it.
    assert 40.0 < check.value < 60.0
    assert CAUTION in result.pieces[0].cautions


def test_a_plate_in_front_is_not(body: Form) -> None:
    seated = replace(body, posture="seated")
    assert seat_check(band(body, cover="40 %"), seated, {"foam": FOAM}).checks[-1].passed


def test_soft_cloth_and_standing_wearers_are_left_alone(body: Form) -> None:
    result = band(body)
    assert seat_check(result, body, {"foam": FOAM}) is result
    seated = replace(body, posture="seated")
    assert seat_check(result, seated, {"foam": replace(FOAM, kind="knit")}) is result


def underside(body: Form) -> np.ndarray:
    return body.charts[THIGH].points(np.linspace(0.1, 0.6, 20), np.full(20, 0.5))


@pytest.mark.parametrize("what", ["pleats", "gathers", "a zip", "a buckle", "a felled seam"])
def test_what_is_thick_under_the_thigh_is_told_though_its_cloth_is_soft(body: Form, what: str) -> None:
    seated = replace(body, posture="seated")
    soft = {"foam": replace(FOAM, kind="woven")}
    thick = replace(band(body), bulk=(Bulk(what=what, places=underside(body), thickness=2.5),))
    told = seat_check(thick, seated, soft)
    assert not told.checks[-1].passed
    assert what in told.checks[-1].advice
    assert CAUTION in told.pieces[0].cautions
    assert seat_check(thick, body, soft) is thick
    flat = replace(thick, bulk=(replace(thick.bulk[0], thickness=0.8),))
    assert seat_check(flat, seated, soft).checks[-1].passed
    front = body.charts[THIGH].points(np.linspace(0.1, 0.6, 20), np.full(20, 0.0))
    aside = replace(thick, bulk=(replace(thick.bulk[0], places=front),))
    assert seat_check(aside, seated, soft).checks[-1].passed
