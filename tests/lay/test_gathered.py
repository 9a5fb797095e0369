"""What a search passes by: what is taken at its word, what is pressed first, and what is never returned."""

import numpy as np
import pytest

from layfigure.lay.clean import inset
from layfigure.lay.gathered import Gathered
from layfigure.lay.layout import Section, polygon_area
from layfigure.lay.part import Part
from layfigure.lay.press import Press
from layfigure.lay.strip_worker import StripFound
from layfigure.lay.verify import section_faults

SQUARE = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]])
TWO = Part(slug="s", label="square", outline=SQUARE, count=2)
EMPTY = Section(kind="single", name="", width=120.0, length=0.0, parts=(TWO,), laid=())


def gathered(*, drawn_in: bool) -> Gathered:
    return Gathered(EMPTY, {"s": (TWO, False)}, None, press=Press((TWO,)), drawn_in=drawn_in)


def test_squares_laid_as_if_they_were_smaller_are_pressed_apart() -> None:
    found = gathered(drawn_in=True)
    # Drawn in by 0.3 mm they lie edge to edge, and at the lower edge of the strip.
    found.take(StripFound(198.8, (("s", 0.0, -0.3, -0.3), ("s", 0.0, 99.1, 5.0))))
    assert found.nothing
    assert found.length == np.inf, "a layout of smaller outlines says nothing of the length"
    section = found.ended(seconds=0.0)
    assert section is not None
    assert section_faults(section) == []
    assert section.length == pytest.approx(200.0, abs=1e-4)


def test_a_layout_taken_at_its_word_is_verified_in_the_end() -> None:
    found = gathered(drawn_in=False)
    found.take(StripFound(205.0, (("s", 0.0, 0.0, 0.0), ("s", 0.0, 105.0, 0.0))))
    found.take(StripFound(150.0, (("s", 0.0, 0.0, 0.0), ("s", 0.0, 50.0, 0.0))))
    assert found.length == 150.0
    section = found.ended(seconds=0.0)
    assert section is not None
    assert section_faults(section) == []
    assert section.length <= 205.0


def test_a_shape_drawn_in_keeps_its_distance_all_round() -> None:
    smaller = inset(SQUARE, 2.0)
    assert smaller is not None
    assert sorted(map(tuple, smaller.tolist())) == [(2.0, 2.0), (2.0, 98.0), (98.0, 2.0), (98.0, 98.0)]
    assert polygon_area(smaller) > 0.0, "counter-clockwise"
    assert inset(SQUARE, 50.0) is None
    # A waist as thin as twice the distance would leave two pieces.
    dumbbell = np.array(
        [
            [0, 0],
            [10, 0],
            [10, 4],
            [20, 4],
            [20, 0],
            [30, 0],
            [30, 10],
            [20, 10],
            [20, 6],
            [10, 6],
            [10, 10],
            [0, 10],
        ]
    )
    assert inset(dumbbell.astype(float), 1.5) is None
