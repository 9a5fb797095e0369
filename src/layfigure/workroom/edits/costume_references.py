"""Edits of ``[[references]]`` in ``costume.toml``."""

from __future__ import annotations

from typing import Any

from layfigure.design.costume import COSTUME_FILE
from layfigure.workroom.edits.costume import or_new
from layfigure.workroom.edits.toml_block import (
    changed_table,
    confirmed,
    read_data,
    refused_as_one,
    set_value,
    with_table,
    without_table,
)

KEY = "references"


@refused_as_one(COSTUME_FILE)
def with_reference(text: str, file: str, *, photograph: bool) -> str:
    """A picture among the references, or what is said of it changed. Raises FileError.

    photograph : of a person, so left out when the design is shared.
    """
    text = or_new(text)
    expected = read_data(text, name=COSTUME_FILE)
    listed = expected.setdefault(KEY, [])
    number = _number(listed, file)

    def edit(reference: Any) -> None:
        set_value(reference, ("photograph",), True if photograph else None)

    if number is None:
        beside = [(KEY, other) for other in range(len(listed))]
        listed.append({"file": file})
        edit(listed[-1])
        new = with_table(text, (KEY, len(beside)), listed[-1], beside=beside[-1:])
    else:
        edit(listed[number])
        new = changed_table(text, (KEY, number), edit)
    return confirmed(new, expected, name=COSTUME_FILE)


@refused_as_one(COSTUME_FILE)
def without_reference(text: str, file: str) -> str:
    """The references without one picture; the text as it is where it is not among them. Raises FileError."""
    expected = read_data(text, name=COSTUME_FILE)
    number = _number(expected.get(KEY, []), file)
    if number is None:
        return text
    del expected[KEY][number]
    if not expected[KEY]:
        del expected[KEY]
    return confirmed(without_table(text, (KEY, number)), expected, name=COSTUME_FILE)


def _number(listed: list[dict[str, Any]], file: str) -> int | None:
    return next((k for k, reference in enumerate(listed) if reference.get("file") == file), None)
