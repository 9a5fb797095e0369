"""Reductions of knits: the published upper bound, and refusals in words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layfigure.errors import DraftError
from layfigure.materials.cloth import Cloth
from layfigure.materials.stretch import (
    USABLE_SHARE,
    choose_reduction,
    stretch_class,
    whole_stretch_reduction,
    worn_mass,
)


def knit(across: float, along: float = 0.0) -> Cloth:
    return Cloth(
        slug="knit",
        kind="knit",
        name="knit",
        width=1500.0,
        areal_mass=200.0,
        stretch_across=across,
        stretch_along=along,
    )


def test_the_whole_stretch_used() -> None:
    # A stretch-drafting teaching page: ratio 1.5, girth 36 in, fully used: cut 24 in (reduction 33.3 %).
    assert 36.0 * (1.0 - whole_stretch_reduction(1.5)) == pytest.approx(24.0)


def test_classes_as_knits_are_sorted() -> None:
    # Trade articles on moderate knits and a double-knit primer: stable 18-25 %, moderate 25-30, to 50.
    assert [stretch_class(s) for s in (0.2, 0.27, 0.4, 0.8)] == [
        "stable",
        "moderate",
        "stretchy",
        "very stretchy",
    ]


@given(st.floats(0.25, 1.5), st.floats(0.0, 1.5))
def test_the_usual_reduction_never_uses_more_than_the_usable_share(across: float, along: float) -> None:
    chosen = choose_reduction(knit(across, along))
    round_used, along_used = chosen.worn_stretch
    assert round_used <= USABLE_SHARE * across + 1e-12
    assert along_used <= USABLE_SHARE * along + 1e-12
    assert along >= 0.4 or chosen.along == 0.0


def test_a_cloth_that_hardly_stretches_is_refused() -> None:
    with pytest.raises(DraftError, match=r"stretches 10% across; .* needs 25%") as refusal:
        choose_reduction(knit(0.10))
    assert "hand test" in refusal.value.advice


def test_more_than_the_cloth_bears_is_refused() -> None:
    with pytest.raises(DraftError, match="more than cloth 'knit' bears"):
        choose_reduction(knit(0.3), around=0.14)
    assert choose_reduction(knit(0.6), around=0.14).around == 0.14


def test_a_stretched_cloth_thins_by_what_it_gains_in_area() -> None:
    assert worn_mass(knit(0.6), (0.25, 0.0)) == pytest.approx(160.0)
