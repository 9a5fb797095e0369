"""Sources: bend allowance 5.75 for 90 degrees, R 3, t 2, K 0.33 from a published worked table; the cuff,
full-turn, bevel and setback rows are plain geometry worked out in the comments."""

import math

import pytest

from layfigure.geometry.bend import bend_allowance, bevel_setback, corner_bevel, neutral_girth


def test_bend_allowance_against_the_published_table() -> None:
    assert bend_allowance(math.radians(90), 3.0, 2.0, 0.33) == pytest.approx(5.75, abs=0.005)


def test_a_cuff_of_wall_five_round_a_hundred() -> None:
    # pi (D + t) for K 0.5
    assert neutral_girth(math.pi * 100.0, 5.0, 0.5) == pytest.approx(329.9, abs=0.05)


@pytest.mark.parametrize(("thickness", "difference"), [(3.0, 18.85), (10.0, 62.83)])
def test_outer_and_inner_girth_differ_by_a_full_turn(thickness: float, difference: float) -> None:
    # 2 pi t, whatever the section: outer and inner faces are both 2 x the middle's difference at K 0.5
    assert 2.0 * (neutral_girth(400.0, thickness, 0.5) - 400.0) == pytest.approx(difference, abs=0.005)


@pytest.mark.parametrize(("angle", "bevel"), [(90.0, 45.0), (120.0, 30.0), (135.0, 22.5)])
def test_corner_bevel(angle: float, bevel: float) -> None:
    assert math.degrees(corner_bevel(math.radians(angle))) == pytest.approx(bevel)


@pytest.mark.parametrize(("angle", "setback"), [(90.0, 10.0), (120.0, 5.77), (135.0, 4.14), (150.0, 2.68)])
def test_setback_of_ten_millimetre_foam(angle: float, setback: float) -> None:
    assert bevel_setback(10.0, math.radians(angle)) == pytest.approx(setback, abs=0.005)


def test_a_neutral_share_beyond_the_middle_is_refused() -> None:
    with pytest.raises(ValueError, match="is outside"):
        bend_allowance(1.0, 1.0, 1.0, 0.6)
