"""``wearers/NAME.toml``: one wearer's measures. Private: never shared with a design."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, Field

from layfigure.body.measures import stored_names
from layfigure.body.wearer import Wearer, wearer_from_readings
from layfigure.errors import FileError, MeasureContradiction, MeasureError, UnknownKeyError
from layfigure.files.formats import up_to_date
from layfigure.files.quantities import PrivateLength, PrivateMass
from layfigure.files.toml import TomlFile, parse_toml, read_toml
from layfigure.files.validation import validated


class WearerFile(BaseModel, extra="forbid"):
    """A wearer's file as typed.

    ``measures`` maps a measure of the catalogue to a size in quotes with its unit, or to two or three of
    them. A paired measure may be given once, for both sides, or as ``…_left`` and ``…_right``.
    """

    name: Annotated[str, Field(min_length=1, max_length=80)]
    posture: Literal["standing", "seated"] = "standing"
    unit: Literal["cm", "in"] = "cm"
    guess_from: Literal["women", "men", "both"] = "both"
    worn_under: list[Annotated[str, Field(max_length=80)]] = []
    note: Annotated[str, Field(max_length=4000)] = ""
    measures: dict[str, Any] = {}


class _Sizes(BaseModel, extra="forbid"):
    """Readings of one measure, whichever way they were typed."""

    lengths: list[PrivateLength] = []
    masses: list[PrivateMass] = []


def read_wearer(path: Path) -> Wearer:
    """Read and check one wearer's file.

    Raises FileError (syntax, unknown keys, format), MeasureError (unknown measure, absurd size, wrong
    unit) or MeasureContradiction. No message repeats a size.
    """
    return wearer_from_toml(read_toml(path, what="the wearer's file"))


def parse_wearer(text: str, *, name: str = "wearer.toml") -> Wearer:
    """A wearer from the text of a file; raises as ``read_wearer``."""
    return wearer_from_toml(parse_toml(text, name=name))


def wearer_from_toml(file: TomlFile) -> Wearer:
    """A wearer from a parsed file; raises as ``read_wearer``."""
    data = up_to_date(file.data, "wearer", where=file.where("format"))
    typed = validated(WearerFile, data, where=file.where, private=True)
    readings = _readings(typed.measures, file)
    try:
        return wearer_from_readings(
            typed.name,
            readings,
            where=file.name,
            posture=typed.posture,
            unit=typed.unit,
            sex={"women": "woman", "men": "man", "both": None}[typed.guess_from],
            worn_under=tuple(typed.worn_under),
        )
    except MeasureContradiction:
        raise
    except MeasureError as error:
        raise MeasureError(error.what, where=_line_of(error.what, file), advice=error.advice) from None


def find_wearers(folder: Path) -> dict[str, Path]:
    """Wearer files of a costume by name, which is the file's own name without ``.toml``."""
    return {path.stem: path for path in sorted((folder / "wearers").glob("*.toml"))}


def _readings(measures: Mapping[str, Any], file: TomlFile) -> dict[str, tuple[float, ...]]:
    """Every reading by stored name; a bare paired name stands for both sides unless one is given itself."""
    taken: dict[str, tuple[float, ...]] = {}
    explicit = {key for key in measures if key.endswith(("_left", "_right"))}
    origin: dict[str, str] = {}
    for key, typed in measures.items():
        names = _stored(key, file)
        values = _sizes(key, names[0], typed, file)
        for name in names:
            if len(names) == 2 and any(
                other in explicit and _stored(other, file) == (name,) for other in explicit
            ):
                continue
            if name in taken:
                raise FileError(
                    f"{key!r} and {origin[name]!r} are the same measure.",
                    where=file.where("measures", key),
                    advice="Keep one; two readings go in one list.",
                )
            taken[name], origin[name] = values, key
    return taken


def _stored(key: str, file: TomlFile) -> tuple[str, ...]:
    try:
        return stored_names(key)
    except MeasureError as error:
        where = file.where("measures", key)
        if isinstance(file.data.get("measures", {}).get(key), dict):
            raise UnknownKeyError(
                f"table {key!r} is unknown in measures.",
                where=where,
                advice="Write left and right as two measures, such as wrist_girth_left.",
            ) from None
        raise MeasureError(error.what, where=where, advice=error.advice) from None


def _sizes(key: str, name: str, typed: Any, file: TomlFile) -> tuple[float, ...]:
    values = typed if isinstance(typed, list) else [typed]
    kind = "masses" if name == "body_mass" else "lengths"
    if not 1 <= len(values) <= 3:
        where = file.where("measures", key)
        raise MeasureError(f"{key} needs one size, or a list of two or three.", where=where)
    try:
        if all(isinstance(value, str) for value in values):
            return _known_sizes(kind, tuple(values))
        return _read_sizes(kind, values)
    except FileError as error:
        # The schema speaks of its own list; the maker knows only the measure.
        reason = error.what.split(": ", 1)[-1]
        raise MeasureError(f"{key}: {reason}", where=file.where("measures", key)) from None


def _read_sizes(kind: str, values: Sequence[Any]) -> tuple[float, ...]:
    sizes = validated(_Sizes, {kind: list(values)}, where=lambda *_: "", private=True)
    return tuple(sizes.masses if kind == "masses" else sizes.lengths)


_known_sizes = lru_cache(maxsize=256)(_read_sizes)
"""While one size is typed, a file's others are read again with every key."""


def _line_of(message: str, file: TomlFile) -> str:
    """The line of the measure a message begins with, as typed in the file."""
    name = message.split(" ", 1)[0]
    for key in file.data.get("measures", {}):
        if name in _quiet_stored(key):
            return file.where("measures", key)
    return file.name


def _quiet_stored(key: str) -> tuple[str, ...]:
    try:
        return stored_names(key)
    except MeasureError:
        return ()
