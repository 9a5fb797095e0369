"""``costume.toml`` opened for an edit that leaves the maker's comments, order and spelling alone."""

from __future__ import annotations

import tomllib

import tomlkit
from tomlkit.toml_document import TOMLDocument

from layfigure.design.costume import COSTUME_FILE
from layfigure.files.formats import CURRENT
from layfigure.files.toml import parse_toml


def costume_document(text: str) -> TOMLDocument:
    """The file as a document. Raises FileSyntaxError with the line."""
    parse_toml(text, name=COSTUME_FILE)
    return tomlkit.parse(text)


def or_new(text: str) -> str:
    """The file's text, or that of a costume about which nothing is said yet."""
    return text if text.strip() else f'format = {CURRENT["costume"]}\nname = "My costume"\n'


def with_table(text: str, block: str, beside: str) -> str | None:
    """The text with a table more, after the last one under a key; at the end where there is none.

    block : the table's own text, header first. beside : the key, ``edges``. A remark that stands above the
    next header stays there. None where the file writes that key otherwise and cannot take a table.
    """
    parsed = parse_toml(text, name=COSTUME_FILE)
    rows = text.replace("\r\n", "\n").splitlines()
    own = [line for path, line in parsed.lines.items() if path[0] == beside]
    end = len(rows)
    if own:
        end = min((line - 1 for line in parsed.lines.values() if line > max(own)), default=end)
    while end and (not rows[end - 1].strip() or rows[end - 1].lstrip().startswith("#")):
        if not own:
            break
        end -= 1
    gap = [""] if end and rows[end - 1].strip() else []
    after = rows[end:]
    if after and after[0].strip():
        after.insert(0, "")
    new = "\n".join([*rows[:end], *gap, *block.strip("\n").split("\n"), *after]) + "\n"
    try:
        tomllib.loads(new)
    except tomllib.TOMLDecodeError:
        return None
    return new


def without_table(text: str, path: tuple[str, int]) -> str:
    """The text without one entry of an array of tables; remarks above the next header stay."""
    parsed = parse_toml(text, name=COSTUME_FILE)
    rows = text.replace("\r\n", "\n").splitlines()
    own = [line for other, line in parsed.lines.items() if other[:2] == path]
    start = min(own) - 1
    end = min((line - 1 for line in parsed.lines.values() if line > max(own)), default=len(rows))
    while end > start and (not rows[end - 1].strip() or rows[end - 1].lstrip().startswith("#")):
        end -= 1
    if start and not rows[start - 1].strip():
        start -= 1
    return "\n".join([*rows[:start], *rows[end:]]) + "\n"
