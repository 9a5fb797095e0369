"""One table of a TOML text: its own lines, found, edited alone and put back.

A comment belongs to the table it stands above, with no blank line between; TOML parsers hand it to the table
before. So a table is edited as a text of its own, and what lies around it is not even read.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from copy import deepcopy
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import Array, InlineTable

from layfigure.errors import FileError
from layfigure.files.toml import KeyPath, TomlFile, parse_toml

FAR = 60
"""A line of values longer than this is written one value a line."""


@dataclass(frozen=True, slots=True)
class Block:
    """Lines of a text, from ``start`` up to ``end``, counted from 0."""

    start: int
    end: int


def find_block(text: str, path: KeyPath, *, name: str) -> Block | None:
    """The lines from a table's heading to its last value, tables inside it included.

    path : as ``("pieces", 2)`` or ``("edges", "shin_top")``. None where it has no heading of its own, or is
    written in several places. Raises FileSyntaxError for a text that cannot be read.
    """
    file = parse_toml(text, name=name)
    lines = text.split("\n")
    headings = _headings(file, lines)
    own = [number for number, heading in headings if heading[: len(path)] == path]
    if not own or dict(headings)[own[0]] != path:
        return None
    after = [number for number, heading in headings if heading[: len(path)] != path and number > own[0]]
    end = min(after, default=len(lines))
    if own[-1] >= end:
        return None
    while _idle(lines[end - 1]):
        end -= 1
    return Block(own[0], end)


def remarks_above(text: str, block: Block) -> int:
    """First line of the comment that stands right above a block; the block's own first line without one."""
    lines = text.split("\n")
    start = block.start
    while start > 0 and lines[start - 1].lstrip().startswith("#"):
        start -= 1
    return start


def edited_block(text: str, block: Block, edit: Callable[[Any], None]) -> str:
    """The text with a block edited. edit : changes the parsed block in place."""
    lines = text.split("\n")
    document = tomlkit.parse("\n".join(lines[block.start : block.end]) + "\n")
    edit(document)
    new = tomlkit.dumps(document).rstrip("\n").split("\n")
    return "\n".join([*lines[: block.start], *new, *lines[block.end :]])


def without_lines(text: str, start: int, end: int) -> str:
    """The text without some lines, and without the blank lines that would then be doubled."""
    lines = text.split("\n")
    before, after = lines[:start], lines[end:]
    while before and after and not before[-1].strip() and not after[0].strip():
        after.pop(0)
    return "\n".join([*before, *after])


def with_lines(text: str, new: str, *, after: Block | None) -> str:
    """The text with a new block after another one, or at its end; a blank line on either side."""
    lines = text.rstrip("\n").split("\n") if after is None else text.split("\n")
    place = len(lines) if after is None else after.end
    head, tail = lines[:place], lines[place:]
    gap = [""] if head and head[-1].strip() else []
    rest = tail if not tail or not tail[0].strip() else ["", *tail]
    return "\n".join([*head, *gap, *new.strip("\n").split("\n"), *(rest or [""])])


def with_table(text: str, path: KeyPath, values: Mapping[str, Any], *, beside: Sequence[KeyPath]) -> str:
    """The text with a new table: after the last of those ``beside`` it, or at its end where there is none.

    path : its place in the file, as ``("edges", "hem")`` or ``("pieces", 2)`` for the third of an array.
    """
    in_array = isinstance(path[-1], int)
    blocks = [find_block(text, other, name="") for other in beside]
    last = max((block for block in blocks if block is not None), key=lambda block: block.end, default=None)
    if beside and last is None:

        def edit(file: Any) -> None:
            if in_array:
                file[path[0]].append(written(values))
            else:
                file[path[0]][path[1]] = written(values)

        return whole_document(text, edit)
    heading = f"[[{path[0]}]]" if in_array else f"[{path[0]}.{path[1]}]"
    lines = tomlkit.dumps({key: written(value) for key, value in values.items()})
    return with_lines(text, f"{heading}\n{lines}", after=last)


def changed_table(text: str, path: KeyPath, edit: Callable[[Any], None]) -> str:
    """The text with one table changed where it stands. edit : changes the parsed table in place."""
    block = find_block(text, path, name="")
    if block is None:
        return whole_document(text, lambda file: edit(file[path[0]][path[1]]))
    own = (path[0], 0) if isinstance(path[-1], int) else path
    return edited_block(text, block, lambda file: edit(file[own[0]][own[1]]))


def without_table(text: str, path: KeyPath) -> str:
    """The text without a table, and without the comment right above it alone."""
    block = find_block(text, path, name="")
    if block is not None:
        # A comment over several tables without a blank line between is about all of them.
        shared = text.split("\n")[block.end : block.end + 1] not in ([], [""])
        return without_lines(text, block.start if shared else remarks_above(text, block), block.end)

    def edit(file: Any) -> None:
        del file[path[0]][path[1]]
        if not file[path[0]]:
            del file[path[0]]

    return whole_document(text, edit)


def set_value(container: Any, path: Sequence[str | int], value: Any) -> None:
    """Set, add or (None) take out one value of a parsed table; tables on the way are made where missing.

    A number in the path counts in a list; one past its end adds to it.
    """
    for part, following in pairwise(path):
        if isinstance(part, str) and part not in container:
            if value is None:
                return
            container[part] = [] if isinstance(following, int) else tomlkit.inline_table()
        container = container[part]
    last = path[-1]
    if value is None:
        if isinstance(last, int) or last in container:
            del container[last]
    elif isinstance(last, int) and last == len(container):
        container.append(written(value, inside=isinstance(container, Array)))
    else:
        inside = isinstance(container, (InlineTable, Array))
        container[last] = written(value, inside=inside)


def written(value: Any, *, inside: bool = False) -> Any:
    """Plain data as TOML: tables in one line, long lists one value a line. inside : of another value."""
    if isinstance(value, Mapping):
        table = tomlkit.inline_table()
        for key, one in value.items():
            table[key] = written(one, inside=True)
        return table
    if isinstance(value, list):
        array = tomlkit.array()
        for one in value:
            array.append(written(one, inside=True))
        if not inside and len(array.as_string()) > FAR:
            array.multiline(multiline=True)
        return array
    return value


@contextmanager
def refused_as_one(name: str) -> Iterator[None]:
    """Turn whatever an edit trips over into a FileError: a value TOML cannot hold, a path that leads nowhere,
    or a file written in a way that only its maker can follow.
    """
    try:
        yield
    except (TOMLKitError, KeyError, IndexError, TypeError, AttributeError, ValueError) as error:
        raise _not_here(name) from error


def confirmed(text: str, expected: Mapping[str, Any], *, name: str) -> str:
    """The text, known to say what was asked for and nothing else. Raises FileError where it does not."""
    try:
        text.encode()
        said = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, UnicodeEncodeError):
        said = {}
    if said != expected:
        raise _not_here(name)
    return text


def _not_here(name: str) -> FileError:
    return FileError(
        "this cannot be edited here as the file is written.",
        where=name,
        advice="Edit it with a text editor; the workroom shows it as soon as it is saved.",
    )


def whole_document(text: str, edit: Callable[[Any], None]) -> str:
    """The text edited as a whole, for what has no heading of its own."""
    document = tomlkit.parse(text)
    edit(document)
    return tomlkit.dumps(document)


def read_data(text: str, *, name: str) -> dict[str, Any]:
    """The plain data of a text, to be changed into what an edit is meant to make of it."""
    return deepcopy(parse_toml(text, name=name).data)


def _headings(file: TomlFile, lines: Sequence[str]) -> list[tuple[int, KeyPath]]:
    """Every heading of a table: line, from 0, and path, in the order of the lines."""
    found = [
        (number - 1, path)
        for path, number in file.lines.items()
        if lines[number - 1].lstrip().startswith("[")
    ]
    return sorted(found, key=lambda heading: heading[0])


def _idle(line: str) -> bool:
    return not line.strip() or line.lstrip().startswith("#")
