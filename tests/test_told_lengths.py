"""Lengths inside sentences: in inches for who reads inches, and nothing else touched."""

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layfigure.told_lengths import told_in
from layfigure.units import parse_length


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("Punch 5 holes 50.8 mm apart.", "Punch 5 holes 2 in apart."),
        ("spread 1.5 cm", "spread 9/16 in"),
        ("Fits 44 x 44 x 95 mm (across).", "Fits 1 3/4 x 1 3/4 x 3 3/4 in (across)."),
        ("Fits up to 25.4 x 50.8 x 101.6 mm.", "Fits up to 1 x 2 x 4 in."),
        ("Leave 2.4 to 25.4 cm.", "Leave 15/16 to 10 in."),
        ("Fold 10 cm (4 in), and stretch it.", "Fold 10 cm (4 in), and stretch it."),
        ("a thread of 0.3 mm", "a thread of 0.3 mm"),
        ("20 N/m, 280 g/m2, 12 mm2, 8 mm²", "20 N/m, 280 g/m2, 12 mm2, 8 mm²"),
        ("zip, 200 mm", "zip, 7 7/8 in"),
        ("2.4 mm thick", "3/32 in thick"),
        ("leather 2mm, A5 mm", "leather 2mm, A5 mm"),
    ],
)
def test_a_length_in_a_sentence(said: str, told: str) -> None:
    assert told_in("in", said) == told
    assert told_in("cm", said) == said


def test_names_stay_as_they_are() -> None:
    said = "Cut 2 from foam, 5 mm, with 25.4 mm to spare."
    assert told_in("in", said, ["foam, 5 mm", "foam"]) == "Cut 2 from foam, 5 mm, with 1 in to spare."


@given(st.floats(min_value=1.0, max_value=3000.0))
def test_what_is_told_is_what_was_said(size: float) -> None:
    told = told_in("in", f"at {size:.1f} mm")
    inches = re.fullmatch(r"at (.*)", told)
    assert inches is not None
    nearest = Fraction(1, 64) if size < 6.3 else Fraction(1, 32)
    assert parse_length(inches[1]) == pytest.approx(round(size, 1), abs=25.4 * float(nearest) + 1e-9)
