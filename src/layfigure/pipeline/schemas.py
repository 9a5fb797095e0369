"""JSON Schemas of the maker's files and of the kinds' options, by name."""

from __future__ import annotations

from typing import Any

from layfigure.colour.colours import COLOURS_FILE
from layfigure.colour.colours_file import ColoursFile
from layfigure.design import schema as files
from layfigure.draft.registry import known_kinds
from layfigure.errors import FileError
from layfigure.shop.money_file import MONEY_FILE, MoneyFile


def schema_names() -> list[str]:
    """Names of all schemas: files first, then ``kind-NAME`` for the options of each kind."""
    return [*files.schema_names(), "colours", "money", *(f"kind-{name}" for name in sorted(known_kinds()))]


def find_schema(name: str) -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of that name. Raises FileError listing the known ones."""
    if name in files.schema_names():
        return dict(files.schema_of(name))
    if name == "colours":
        return files.described(ColoursFile, name, COLOURS_FILE)
    if name == "money":
        return files.described(MoneyFile, name, MONEY_FILE)
    kinds = known_kinds()
    kind = name.removeprefix("kind-")
    if name.startswith("kind-") and kind in kinds:
        return kinds[kind].options.model_json_schema()
    raise FileError(f"there is no schema {name!r}.", advice=f"Known schemas: {', '.join(schema_names())}.")
