"""Edits of ``[edges.NAME]`` in ``costume.toml``: a line said in words, or to be traced on the pictures."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

import tomlkit

from layfigure.design.costume_file import FileSide
from layfigure.workroom.edits.costume_document import costume_document, or_new, with_table
from layfigure.workroom.edits.plain_name import numbered, plain_name

LONGEST = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """What is said of an edge.

    words : None for one that is traced on pictures. side : of the body. closed : of a traced one, whether
    it runs back to its start on the body.
    """

    words: str | None = None
    side: FileSide = "middle"
    closed: bool = True


def slug_of(name: str, taken: Collection[str] = (), *, otherwise: str = "line") -> str:
    """A name as files write it: ``Top of the guard`` is ``top_of_the_guard``; numbered where it is taken.

    otherwise : what it is called, or begins with, where nothing of the name can be written.
    """
    slug = plain_name(name)[: LONGEST - 4].strip("_")
    if not slug or not slug[0].isalpha():
        slug = f"{otherwise}_{slug}".strip("_")
    return numbered(slug, taken)


def with_line(text: str, slug: str, line: Line) -> str:
    """An edge added, or what is said of it changed; its meaning and the maker's remarks stay."""
    text = or_new(text)
    document = costume_document(text)
    if slug not in document.get("edges", {}):
        table = tomlkit.table()
        _say(table, line)
        added = with_table(text, f"[edges.{slug}]\n{table.as_string()}", beside="edges")
        if added is not None:
            return added
        document["edges"][slug] = tomlkit.inline_table()
    _say(document["edges"][slug], line)
    return tomlkit.dumps(document)


def _say(edge: Any, line: Line) -> None:
    _set(edge, "words", line.words)
    _set(edge, "side", None if line.side == "middle" else line.side)
    _set(edge, "closed", None if line.closed or line.words is not None else False)


def _set(edge: Any, key: str, value: object) -> None:
    """Write a key that differs; None takes it out."""
    if value is None:
        if key in edge:
            del edge[key]
    elif edge.get(key) != value:
        edge[key] = value
