"""A failed check read as one sentence and its advice."""

import pytest

from layfigure.draft.failed_check import failure_line
from layfigure.draft.registry import Check


@pytest.mark.parametrize(
    ("what", "advice", "line"),
    [
        ("Shin plate: it slides", "Hang it up.", "shin plate left: it slides. Hang it up."),
        ("hem left: too narrow", "", "shin plate left: hem left: too narrow."),
        ("not drafted: no edge.", "", "shin plate left: not drafted: no edge."),
        ("Long shin plate, left: it slides", "", "Long shin plate, left: it slides."),
        ("Long shin plate: it slides", "", "shin plate left: Long shin plate: it slides."),
    ],
)
def test_a_label_is_said_once_and_every_sentence_ends_once(what: str, advice: str, line: str) -> None:
    check = Check(what=what, value=1.0, limit=0.0, passed=False, advice=advice)
    assert failure_line("shin_plate_left", check) == line
