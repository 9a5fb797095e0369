"""Which format a maker's file is in, and how an older one is brought up to date."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from layfigure.errors import FileVersionError

Table = dict[str, Any]
Migration = Callable[[Table], Table]

CURRENT: Mapping[str, int] = MappingProxyType(
    {"colours": 1, "costume": 1, "marks": 1, "wearer": 1, "materials": 1, "money": 1, "trace": 1}
)
"""The format this version writes, by kind of file."""

MIGRATIONS: Mapping[tuple[str, int], Migration] = MappingProxyType({})
"""(kind, format) to the function that turns a file of that format into the next. Each is stated here,
never guessed, and works on the parsed tables alone. Empty while every format is the first."""


def up_to_date(
    data: Table,
    kind: str,
    *,
    where: str,
    current: Mapping[str, int] = CURRENT,
    migrations: Mapping[tuple[str, int], Migration] = MIGRATIONS,
) -> Table:
    """The tables of a file in the current format, without the ``format`` key.

    Raises FileVersionError when the file states none, a newer one, or one no migration starts from.
    """
    now = current[kind]
    stated = data.get("format")
    if stated is None:
        raise FileVersionError(
            "the file does not state its format.", where=where, advice=f"Write 'format = {now}' at its top."
        )
    if not isinstance(stated, int) or isinstance(stated, bool) or stated < 1:
        raise FileVersionError(
            "the format is not a whole number.", where=where, advice=f"Write 'format = {now}'."
        )
    if stated > now:
        raise FileVersionError(
            f"the file is in format {stated}; this layfigure reads up to {now}.",
            where=where,
            advice="Update layfigure to open it.",
        )
    tables = {key: value for key, value in data.items() if key != "format"}
    for step in range(stated, now):
        if (kind, step) not in migrations:
            raise FileVersionError(f"format {step} of a {kind} file cannot be read any more.", where=where)
        tables = migrations[kind, step](tables)
    return tables
