"""TOML files read with the line of every key, so that an error can point at it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from layfigure.errors import FileError, FileSyntaxError

KeyPath = tuple[str | int, ...]

_LARGEST = 5_000_000
_KEY = r"""(?:[A-Za-z0-9_-]+|"(?:[^"\\]|\\.)*"|'[^']*')"""
_DOTTED = re.compile(rf"\s*({_KEY}(?:\s*\.\s*{_KEY})*)\s*=")
_HEADER = re.compile(rf"\s*(\[\[?)\s*({_KEY}(?:\s*\.\s*{_KEY})*)\s*\]")
_PART = re.compile(_KEY)


@dataclass(frozen=True, slots=True)
class TomlFile:
    """Parsed tables, and the line each key stands on.

    data : as ``tomllib`` reads it. name : of the file, for messages. lines : key path to line, from 1.
    """

    name: str
    data: dict[str, Any]
    lines: Mapping[KeyPath, int]

    def where(self, *path: str | int) -> str:
        """``costume.toml, line 12``: the line of a key, or of the nearest table around it."""
        for length in range(len(path), 0, -1):
            line = self.lines.get(path[:length])
            if line is not None:
                return f"{self.name}, line {line}"
        return self.name


def read_text_file(path: Path, *, what: str) -> str:
    """UTF-8 text of a maker's file. Raises FileError when it is missing, unreadable, huge or not text."""
    try:
        if path.stat().st_size > _LARGEST:
            raise FileError(f"{what} is larger than 5 MB.", where=path.name, advice="Is it the right file?")
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileSyntaxError(
            f"{what} is not UTF-8 text.", where=path.name, advice="Save it as UTF-8."
        ) from error
    except (FileNotFoundError, IsADirectoryError, NotADirectoryError) as error:
        raise FileError(f"{what} is not there.", where=str(path), advice="Check the folder.") from error
    except OSError as error:
        raise FileError(f"{what} cannot be read: {error.strerror}.", where=str(path)) from error


def read_toml(path: Path, *, what: str = "the file") -> TomlFile:
    """Read a TOML file. Raises FileError, or FileSyntaxError with the line where parsing stopped."""
    return parse_toml(read_text_file(path, what=what), name=path.name)


def parse_toml(text: str, *, name: str) -> TomlFile:
    """Parse TOML text. Raises FileSyntaxError with the line where parsing stopped."""
    text = text.replace("\r\n", "\n")
    try:
        data = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        reason, line = _syntax_reason(str(error), text)
        raise FileSyntaxError(
            f"this line cannot be read: {reason}.", where=f"{name}, line {line}", advice=_hint(text, line)
        ) from None
    return TomlFile(name, data, _key_lines(text))


def _syntax_reason(message: str, text: str) -> tuple[str, int]:
    """What the parser said without its position, and the line."""
    found = re.search(r"\(at line (\d+), column \d+\)", message)
    line = int(found[1]) if found else len(text.rstrip("\n").splitlines()) or 1
    reason = re.sub(r"\s*\(at .*\)", "", message).strip().rstrip(".")
    return (reason[:1].lower() + reason[1:] or "it is not TOML"), line


def _hint(text: str, line: int) -> str:
    """What to write instead: quotes round a size, the commonest slip, or the form that every line has."""
    lines = text.splitlines()
    content = lines[line - 1] if 0 < line <= len(lines) else ""
    if re.search(r"=\s*\d+(?:[.,]\d+)?\s*(?:/\s*\d+)?\s*[a-zA-Z%\"']", content):
        return 'Put quotes round a size, as in waist_girth = "71.5 cm".'
    return "A line is NAME = VALUE, words in quotes, or a heading in square brackets, such as [measures]."


def _key_lines(text: str) -> dict[KeyPath, int]:
    """Line of every key and table of a text that is known to parse.

    Keys inside inline tables and arrays stand on the line of the key that holds them, which ``where``
    finds as the nearest path above.
    """
    lines: dict[KeyPath, int] = {}
    counts: dict[KeyPath, int] = {}
    table: KeyPath = ()
    masked = _without_values(text)
    for number, line in enumerate(masked.split("\n"), start=1):
        header = _HEADER.match(line)
        if header:
            table = _resolve(_parts(header[2]), counts)
            if header[1] == "[[":
                counts[table] = counts.get(table, -1) + 1
                table = (*table, counts[table])
            lines.setdefault(table, number)
            continue
        pair = _DOTTED.match(line)
        if pair:
            lines.setdefault((*table, *_parts(pair[1])), number)
    return lines


def _resolve(parts: KeyPath, counts: Mapping[KeyPath, int]) -> KeyPath:
    """A header's path with the current number of every array of tables on the way, but the last part."""
    path: KeyPath = ()
    for part in parts[:-1]:
        path = (*path, part)
        if path in counts:
            path = (*path, counts[path])
    return (*path, *parts[-1:])


def _parts(dotted: str) -> KeyPath:
    return tuple(_unquoted(part) for part in _PART.findall(dotted))


def _unquoted(key: str) -> str:
    if key[0] == '"':
        text: str = tomllib.loads(f"key = {key}")["key"]
        return text
    return key[1:-1] if key[0] == "'" else key


def _without_values(text: str) -> str:
    """The text with comments, multi-line strings and the insides of arrays blanked, lines kept.

    What remains at the start of a line is then a key or a header and nothing else.
    """
    kept: list[str] = []
    depth = 0
    position = 0
    after_equals = False
    while position < len(text):
        char = text[position]
        token = next((q for q in ('"""', "'''", '"', "'") if text.startswith(q, position)), "")
        if token:
            end = _string_end(text, position, token)
            inside = text[position:end]
            kept.append(inside if not after_equals and depth == 0 else re.sub(r"[^\n]", " ", inside))
            position = end
            continue
        if char == "#":
            end = text.find("\n", position)
            position = len(text) if end < 0 else end
            continue
        if after_equals and char in "[{":
            depth += 1
        elif after_equals and char in "]}":
            depth -= 1
        if char == "\n":
            after_equals = after_equals and depth > 0
            kept.append(char)
        elif after_equals:
            kept.append(" ")
        else:
            kept.append(char)
            after_equals = char == "="
        position += 1
    return "".join(kept)


def _string_end(text: str, start: int, quote: str) -> int:
    """Position after the string that opens at ``start``."""
    position = start + len(quote)
    while position < len(text):
        if quote[0] == '"' and text[position] == "\\":
            position += 2
        elif text.startswith(quote, position):
            end = position + len(quote)
            # Up to two more quotes may belong to the text itself, just before the closing three.
            while len(quote) == 3 and text.startswith(quote[0], end) and end - position < 5:
                end += 1
            return end
        else:
            position += 1
    return len(text)
