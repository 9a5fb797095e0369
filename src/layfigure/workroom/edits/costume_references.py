"""Edits of ``[[references]]`` in ``costume.toml``."""

from __future__ import annotations

from typing import Any

import tomlkit
from tomlkit.items import Array

from layfigure.workroom.edits.costume_document import costume_document, or_new, with_table, without_table


def with_reference(text: str, file: str, *, photograph: bool) -> str:
    """A picture among the references, or what is said of it changed.

    photograph : of a person, so left out when the design is shared.
    """
    text = or_new(text)
    document = costume_document(text)
    listed = document.get("references")
    for reference in listed or ():
        if reference.get("file") == file:
            _say(reference, photograph=photograph)
            return tomlkit.dumps(document)
    if isinstance(listed, Array):
        # Somebody wrote references = [{ file = "…" }].
        inline = tomlkit.inline_table()
        inline["file"] = file
        _say(inline, photograph=photograph)
        listed.append(inline)
        return tomlkit.dumps(document)
    table = tomlkit.table()
    table["file"] = file
    _say(table, photograph=photograph)
    added = with_table(text, f"[[references]]\n{table.as_string()}", beside="references")
    assert added is not None, "references are an array of tables or of inline tables"
    return added


def without_reference(text: str, file: str) -> str:
    """The references without one picture; the text as it is where it is not among them."""
    document = costume_document(text)
    listed = document.get("references") or ()
    for number, reference in enumerate(listed):
        if reference.get("file") == file:
            if not isinstance(listed, Array):
                return without_table(text, ("references", number))
            del listed[number]
            return tomlkit.dumps(document)
    return text


def _say(reference: Any, *, photograph: bool) -> None:
    if photograph:
        reference["photograph"] = True
    elif "photograph" in reference:
        del reference["photograph"]
