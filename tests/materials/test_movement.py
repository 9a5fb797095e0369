"""What bent joints ask of a cloth. Skin strain: Kirk and Ibrahim 1966, from memory."""

from __future__ import annotations

import pytest

from layfigure.materials.cloth import Cloth
from layfigure.materials.movement import demands


def cloth(across: float, along: float) -> Cloth:
    return Cloth(
        slug="knit",
        kind="knit",
        name="knit",
        width=1500.0,
        areal_mass=220.0,
        stretch_across=across,
        stretch_along=along,
    )


def test_a_bent_knee_asks_for_its_strain_on_top_of_what_is_worn() -> None:
    # Cut 10 % smaller round: worn at 1/0.9 - 1 = 11.1 %; the skin then lengthens by 12 to 14 % more.
    found = {demand.direction: demand for demand in demands("knee", cloth(0.6, 0.5), (1.0 / 0.9 - 1.0, 0.0))}
    assert found["along"].least == pytest.approx(0.35)
    assert found["along"].greatest == pytest.approx(0.45)
    assert found["round"].least == pytest.approx(1.12 / 0.9 - 1.0)
    assert not found["along"].pulls
    assert not found["round"].pulls


def test_a_cloth_that_gives_one_way_only_pulls_the_other_way() -> None:
    found = {demand.direction: demand for demand in demands("elbow", cloth(0.6, 0.2), (0.11, 0.02))}
    assert found["along"].pulls
    assert not found["round"].pulls


def test_seat_and_back_are_asked_one_way_each() -> None:
    assert [demand.direction for demand in demands("seat", cloth(0.6, 0.5), (0.1, 0.0))] == ["along"]
    assert [demand.direction for demand in demands("back", cloth(0.6, 0.5), (0.1, 0.0))] == ["round"]
