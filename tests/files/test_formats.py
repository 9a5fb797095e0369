"""Old formats are brought up step by step, newer ones refused."""

import pytest

from layfigure.errors import FileVersionError
from layfigure.files.formats import CURRENT, MIGRATIONS, Table, up_to_date


def test_the_current_format_passes_without_its_key() -> None:
    assert up_to_date({"format": 1, "a": 2}, "wearer", where="f") == {"a": 2}


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ({}, "f: the file does not state its format. Write 'format = 1' at its top."),
        (
            {"format": 2},
            "f: the file is in format 2; this layfigure reads up to 1. Update layfigure to open it.",
        ),
        ({"format": "1"}, "f: the format is not a whole number. Write 'format = 1'."),
        ({"format": True}, "f: the format is not a whole number. Write 'format = 1'."),
        ({"format": 0}, "f: the format is not a whole number. Write 'format = 1'."),
    ],
)
def test_other_formats_are_refused(data: Table, message: str) -> None:
    with pytest.raises(FileVersionError) as caught:
        up_to_date(data, "wearer", where="f")
    assert str(caught.value) == message


def test_migrations_run_in_order_and_a_gap_is_an_error() -> None:
    steps = {
        ("wearer", 1): lambda t: {**t, "seen": [*t.get("seen", []), 1]},
        ("wearer", 2): lambda t: {**t, "seen": [*t["seen"], 2]},
    }
    assert up_to_date({"format": 1}, "wearer", where="f", current={"wearer": 3}, migrations=steps) == {
        "seen": [1, 2]
    }
    assert up_to_date({"format": 3}, "wearer", where="f", current={"wearer": 3}, migrations=steps) == {}
    with pytest.raises(FileVersionError, match="format 3 of a wearer file cannot be read any more"):
        up_to_date({"format": 3}, "wearer", where="f", current={"wearer": 4}, migrations=steps)


def test_every_older_format_has_its_migration() -> None:
    assert set(MIGRATIONS) == {(kind, step) for kind, now in CURRENT.items() for step in range(1, now)}
