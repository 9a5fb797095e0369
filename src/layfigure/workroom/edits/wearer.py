"""Edits of a wearer's file: a new one, what she is called, one measure typed or taken away.

Text in, text out. What the maker wrote beside an edited line stays: comments, order, names she prefers. Every
edit is read back by the library before it is returned, so a file that cannot be used is never written; what
is refused names the measure, and never repeats a size.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, MutableMapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any, Literal

import tomlkit
from tomlkit.exceptions import TOMLKitError

from layfigure.body.measures import CATALOGUE, stored_names, unknown_measure
from layfigure.body.wearer import LengthUnit, Posture, Wearer
from layfigure.body.wearer_file import parse_wearer, wearer_from_toml
from layfigure.errors import FileError, MeasureError
from layfigure.files.toml import TomlFile, parse_toml
from layfigure.workroom.edits.plain_name import numbered, plain_name

GuessFrom = Literal["women", "men", "both"]
Hand = Literal["both", "left", "right"]
"""On which side a paired measure was taken; ``both`` too for a measure without sides."""

MASS_UNITS: Mapping[LengthUnit, str] = {"cm": "kg", "in": "lb"}
"""What a number on the scales means to somebody who measures in these."""

_BARE = re.compile(r"[\d\s.,/⁄½¼¾⅛⅜⅝⅞+-]+")
_NEW = """\
format = 1
name = {name}
posture = {posture}
unit = {unit}
guess_from = {guess_from}

[measures]
"""


def begun(name: str, *, posture: Posture, unit: LengthUnit, guess_from: GuessFrom) -> str:
    """The file of a wearer of whom nothing was measured yet. Raises FileError for a name it cannot hold."""
    values = {"name": name, "posture": posture, "unit": unit, "guess_from": guess_from}
    text = _NEW.format(**{key: tomlkit.string(value).as_string() for key, value in values.items()})
    return _checked(text, "the new wearer")


def slug_for(name: str, taken: Collection[str]) -> str:
    """A file's name from a person's: plain small letters, another than those ``taken``."""
    return numbered(plain_name(name)[:40] or "wearer", {other.lower() for other in taken})


def described(text: str, changes: Mapping[str, Any], *, file: str) -> str:
    """The text with some of name, posture, unit, guess_from, worn_under and note said anew.

    An empty list or note is left out of the file. file : its name, for messages. Raises FileError for a value
    that the file cannot hold.
    """
    document = _document(text, file)
    added = {}
    for key, value in changes.items():
        if value in ("", []) and key != "name":
            document.pop(key, None)
        elif key in document:
            document[key] = value
        else:
            added[key] = value
    text = tomlkit.dumps(document)
    for key, value in added.items():
        text = _beside_the_name(text, key, value)
    return _checked(text, file)


def with_unit(typed: str, name: str, unit: LengthUnit) -> str:
    """A size as the file wants it: a bare number gets the unit that stands beside the input."""
    tidy = " ".join(typed.split())
    if not _BARE.fullmatch(tidy):
        return tidy
    return f"{tidy} {MASS_UNITS[unit] if CATALOGUE[name].kind == 'mass' else unit}"


def measured(text: str, name: str, readings: Mapping[Hand, Sequence[str]], *, file: str) -> str:
    """The text with one measure of the catalogue as given, one to three readings a side.

    name : without a side. readings : as typed, with their unit; a side left out or empty was not taken, and
    with none at all the measure is removed. file : its name, for messages. Raises MeasureError and
    MeasureContradiction as reading does.
    """
    if name not in CATALOGUE:
        raise unknown_measure(name)
    sides = _settled(name, readings)
    document = _document(text, file)
    table = document.get("measures")
    if table is None:
        document["measures"] = tomlkit.table()
        table = document["measures"]
    _take(table, name, sides, file)
    return _checked(tomlkit.dumps(document), file)


def tried(text: str, name: str, readings: Mapping[Hand, Sequence[str]], *, file: str) -> Wearer:
    """The wearer that ``measured`` would make, without writing her file anew: asked for with every key.

    Raises as ``measured``.
    """
    if name not in CATALOGUE:
        raise unknown_measure(name)
    parsed = _parsed(text, file)
    data = {**parsed.data, "measures": dict(parsed.data.get("measures", {}))}
    _take(data["measures"], name, _settled(name, readings), file)
    return wearer_from_toml(replace(parsed, data=data))


@lru_cache(maxsize=4)
def _parsed(text: str, file: str) -> TomlFile:
    return parse_toml(text, name=file)


def _take(table: Any, name: str, sides: Mapping[Hand, str | list[str]], file: str) -> None:
    """Write one measure's readings into a table of measures, in place of what is there of it."""
    if not isinstance(table, MutableMapping):
        raise FileError("measures is no table.", where=file, advice="Write [measures] in a text editor.")
    stored = set(CATALOGUE[name].sided())
    here = {key: tuple(_stored(key)) for key in table if stored & set(_stored(key))}
    wanted = {_key_for(name, hand, here): value for hand, value in sides.items()}
    for key in here:
        if key not in wanted:
            del table[key]
    for key, value in wanted.items():
        table[key] = value


def typed_readings(text: str) -> dict[str, dict[Hand, list[str]]]:
    """Every measure as it stands in the file, by its name in the catalogue; what cannot be read is left out.

    A paired measure written once is under ``both``.
    """
    found: dict[str, dict[Hand, list[str]]] = {}
    measures = parse_toml(text, name="wearer").data.get("measures", {})
    for key, value in measures.items() if isinstance(measures, dict) else ():
        stored = _stored(key)
        if not stored:
            continue
        values = [str(one) for one in (value if isinstance(value, list) else [value])]
        stem, _, side = stored[0].rpartition("_")
        if stored[0] in CATALOGUE:
            found.setdefault(stored[0], {})["both"] = values
        elif len(stored) == 2:
            found.setdefault(stem, {})["both"] = values
        else:
            found.setdefault(stem, {})["left" if side == "left" else "right"] = values
    return found


def _settled(name: str, readings: Mapping[Hand, Sequence[str]]) -> dict[Hand, str | list[str]]:
    """What to write for each hand. Two sides alike are one entry."""
    clean = {hand: [one.strip() for one in given if one.strip()] for hand, given in readings.items()}
    if not CATALOGUE[name].paired and (clean.get("left") or clean.get("right")):
        raise MeasureError(f"{name} has no left and right.", advice="Type it once.")
    if clean.get("both") and (clean.get("left") or clean.get("right")):
        raise MeasureError(f"{name} is typed for both sides and for one.", advice="Choose one way.")
    if clean.get("left") and clean.get("left") == clean.get("right"):
        clean = {"both": clean["left"]}
    return {hand: given[0] if len(given) == 1 else given for hand, given in clean.items() if given}


def _key_for(name: str, hand: Hand, here: Mapping[str, tuple[str, ...]]) -> str:
    """The key to write under: the maker's own where she has one for just this, or the catalogue's."""
    means = CATALOGUE[name].sided() if hand == "both" else (f"{name}_{hand}",)
    return next(
        (key for key, stored in here.items() if stored == means),
        name if hand == "both" else f"{name}_{hand}",
    )


def _stored(key: str) -> tuple[str, ...]:
    try:
        return stored_names(key)
    except MeasureError:
        return ()


def _document(text: str, file: str) -> tomlkit.TOMLDocument:
    parse_toml(text, name=file)  # says which line, in our words
    try:
        return tomlkit.parse(text)
    except TOMLKitError:
        raise FileError(
            "the file cannot be edited here.", where=file, advice="Write it more plainly in a text editor."
        ) from None


def _beside_the_name(text: str, key: str, value: Any) -> str:
    """The text with a new key just above the name: below a heading it would belong to the heading."""
    line = f"{key} = {tomlkit.item(value).as_string()}\n"
    rows = text.splitlines(keepends=True)
    rows.insert(parse_toml(text, name="wearer").lines[("name",)] - 1, line)
    return "".join(rows)


def _checked(text: str, file: str) -> str:
    """The text, once the library has read it. Raises as ``parse_wearer``, with the file and the line."""
    wearer_of(text, file)
    return text


@lru_cache(maxsize=16)
def wearer_of(text: str, file: str) -> Wearer:
    """The wearer that a text describes; the same text is read once. Raises as ``parse_wearer``."""
    return parse_wearer(text, name=file)
