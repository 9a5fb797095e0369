"""Colours in pictures of the whole costume."""

import pytest

from layfigure.drawing.worn_shade import SHEER, shade_of
from layfigure.materials.cloth import Cloth


def test_a_colour_that_was_said_is_shown_in_linear_light() -> None:
    red = Cloth(slug="c", kind="woven", name="c", width=1000.0, areal_mass=200.0, colour="#ff0080")
    # IEC 61966-2-1: 128 of 255 is 21.6 % of the light.
    assert shade_of(red) == pytest.approx((1.0, 0.0, 0.2158605, 1.0))


def test_mesh_lets_the_body_through_and_what_is_bought_has_a_shade() -> None:
    mesh = Cloth(slug="m", kind="mesh", name="m", width=1000.0, areal_mass=60.0)
    assert shade_of(mesh)[3] == SHEER
    assert shade_of(None)[3] == 1.0
