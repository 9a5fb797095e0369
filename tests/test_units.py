"""Quantities read as makers type them, written back, and refused without a unit."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layfigure.errors import UnitError
from layfigure.units import (
    format_areal_mass,
    format_length,
    format_mass,
    format_share,
    parse_angle,
    parse_areal_mass,
    parse_length,
    parse_mass,
    parse_share,
    parse_tension,
)

LENGTHS = st.floats(-5000.0, 5000.0)


# International yard and pound agreement (1959): 1 yd = 0.9144 m, 1 lb = 0.45359237 kg, exactly.
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("41.3 cm", 413.0),
        ("413 mm", 413.0),
        ("413mm", 413.0),
        ("41,3 cm", 413.0),
        (",5 cm", 5.0),
        ("1.676 m", 1676.0),
        ("16 1/4 in", 412.75),
        ("16¼ in", 412.75),
        ("¾ in", 19.05),
        ("3/8 in", 9.525),
        ('16.25"', 412.75),
        ("36 in.", 914.4),
        ("36 Inches", 914.4),
        ("1 yd", 914.4),
        ("5 ft 6 in", 1676.4),
        ("5'6\"", 1676.4),
        ("5′ 6 1/2″", 1689.1),
        ("5 ft", 1524.0),
        ("5 feet 6 inches", 1676.4),
        ("1 m 68 cm", 1680.0),
        ("1 yd 4 in", 1016.0),
        ("-3 cm", -30.0),
        ("−1/2 in", -12.7),
        ("  12   cm ", 120.0),
    ],
)
def test_lengths_as_typed(text: str, expected: float) -> None:
    assert parse_length(text) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("36", "length '36' has no unit. Write '36 cm' or '36 in'."),
        ("16 1/4", "length '16 1/4' has no unit. Write '16 1/4 cm' or '16 1/4 in'."),
        ("", "length is empty. Write it like '12 cm' or '12 in'."),
        ("wide", "length 'wide' is not a number and a unit. Write it like '12 cm' or '12 in'."),
        (
            "36 furlongs",
            "length '36 furlongs' has the unit 'furlongs', which is not one of this kind. Use cm, in, mm, m.",
        ),
        ("3 kg", "length '3 kg' has the unit 'kg', which is not one of this kind. Use cm, in, mm, m."),
        ("3 cm 4 mm", "length '3 cm 4 mm' holds more than one amount. Write one number and one unit."),
        ("3 in 2 ft", "length '3 in 2 ft' holds more than one amount. Write one number and one unit."),
        ("1 m 4 in", "length '1 m 4 in' holds more than one amount. Write one number and one unit."),
        ("5 ft 14 in", "length '5 ft 14 in' does not add up. Write one amount in 'in'."),
        ("1,234.5 mm", "length '1,234.5 mm' has two decimal marks. Write thousands without a mark."),
        ("1/0 in", "length '1/0 in' divides by nothing. Write the fraction again."),
        ("12 cm²", "length '12 cm²' has the unit 'cm²', which is not one of this kind. Use cm, in, mm, m."),
        ("nan cm", "length 'nan cm' is not a number and a unit. Write it like '12 cm' or '12 in'."),
    ],
)
def test_a_refused_length_says_what_to_write(text: str, message: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse_length(text)
    assert str(caught.value) == message


def test_a_bare_number_from_a_file_is_refused() -> None:
    with pytest.raises(UnitError, match=r"^length 36 has no unit\. Write '36 cm' or '36 in', in quotes\.$"):
        parse_length(36)  # type: ignore[arg-type]


@given(LENGTHS)
def test_a_written_length_reads_back_to_half_its_last_place(length: float) -> None:
    assert parse_length(format_length(length, "cm")) == pytest.approx(length, abs=0.5 + 1e-6)
    assert parse_length(format_length(length, "mm")) == pytest.approx(length, abs=0.05 + 1e-6)
    assert parse_length(format_length(length, "m")) == pytest.approx(length, abs=0.5 + 1e-6)


@given(LENGTHS, st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_fractions_of_an_inch_read_back_to_half_a_step(length: float, denominator: int) -> None:
    text = format_length(length, "in", denominator=denominator)
    assert parse_length(text) == pytest.approx(length, abs=25.4 / denominator / 2 + 1e-6)
    assert format_length(parse_length(text), "in", denominator=denominator) == text


@given(st.integers(0, 9), st.integers(0, 15))
def test_feet_and_inches_add_up_for_heights(feet: int, sixteenths: int) -> None:
    both = parse_length(f"{feet} ft {sixteenths}/16 in")
    assert both == pytest.approx(12 * 25.4 * feet + 25.4 * sixteenths / 16, abs=1e-9)


def test_lengths_as_written() -> None:
    assert format_length(413.04) == "41.3 cm"
    assert format_length(410.0) == "41 cm"
    assert format_length(-0.01) == "0 cm"
    assert format_length(412.75, "in") == "16 1/4 in"
    assert format_length(9.525, "in") == "3/8 in"
    assert format_length(0.0, "in") == "0 in"
    assert format_length(-12.7, "in") == "-1/2 in"
    with pytest.raises(UnitError):
        format_length(math.nan)


def test_masses_shares_tensions_and_angles() -> None:
    assert parse_mass("62,5 kg") == 62.5
    assert parse_mass("450 g") == pytest.approx(0.45)
    assert parse_mass("9 st 11 lb") == pytest.approx(137 * 0.45359237)
    assert parse_areal_mass("280 g/m2") == parse_areal_mass("280 g/m²") == parse_areal_mass("280gsm") == 280.0
    assert parse_areal_mass("1 oz/yd2") == pytest.approx(33.906, abs=0.001)  # 28.3495 g / 0.836127 m2
    assert parse_share("12.5 %") == 0.125
    assert parse_tension("20 N/m") == 20.0
    assert parse_angle("35°") == parse_angle("35 deg") == 35.0
    with pytest.raises(UnitError, match=r"Write '0\.3 %'"):
        parse_share("0.3")


@given(st.floats(0.0, 300.0))
def test_masses_read_back(mass: float) -> None:
    assert parse_mass(format_mass(mass, "kg")) == pytest.approx(mass, abs=0.005 + 1e-9)
    assert parse_mass(format_mass(mass, "g")) == pytest.approx(mass, abs=0.0005 + 1e-9)
    assert parse_mass(format_mass(mass, "lb")) == pytest.approx(mass, abs=0.05 * 0.45359237 + 1e-9)


@given(st.floats(0.0, 2000.0), st.floats(0.0, 3.0))
def test_areal_masses_and_shares_read_back(areal_mass: float, share: float) -> None:
    assert parse_areal_mass(format_areal_mass(areal_mass)) == pytest.approx(areal_mass, abs=0.5 + 1e-6)
    assert parse_areal_mass(format_areal_mass(areal_mass, "oz/yd2")) == pytest.approx(areal_mass, abs=1.7)
    assert parse_share(format_share(share)) == pytest.approx(share, abs=0.0005 + 1e-9)
