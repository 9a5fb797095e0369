"""Edits of ``costume.toml``: pieces and edges added, changed and removed; comments and order stay.

Every function takes the file's text and returns the new one, or raises FileError. None of them judges what
the costume then means: ``checked`` does, before anything is written.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from layfigure.design.costume import COSTUME_FILE, Costume
from layfigure.design.relative_on_body import in_order
from layfigure.design.relative_words import RelativeEdge
from layfigure.errors import FileError, UnknownKeyError
from layfigure.files.formats import CURRENT
from layfigure.files.nearest import did_you_mean
from layfigure.pipeline.folder import open_costume
from layfigure.pipeline.slips import refuse_slips
from layfigure.workroom.edits.toml_block import (
    changed_table,
    confirmed,
    read_data,
    refused_as_one,
    set_value,
    with_table,
    without_table,
)

KeyPart = str | int

PIECE_KEYS = ("slug", "kind", "cloth", "side", "label", "layer", "count", "edges", "windows", "backing")
"""The order in which a new piece is written; everything else follows."""

NEVER_CHANGED = frozenset({"slug"})
"""What other things go by: files that are cut, pieces that back others."""


@refused_as_one(COSTUME_FILE)
def with_piece(text: str, piece: Mapping[str, Any]) -> str:
    """The text with a new piece after the last one. Raises FileError where its slug is taken."""
    slug = str(piece.get("slug", ""))
    expected = _data(text)
    pieces = expected.setdefault("pieces", [])
    if any(other.get("slug") == slug for other in pieces):
        raise FileError(
            f"there is a piece called {slug!r} already.", where=COSTUME_FILE, advice="Give it another name."
        )
    ordered = {key: piece[key] for key in PIECE_KEYS if key in piece}
    ordered |= {key: value for key, value in piece.items() if key not in ordered}
    pieces.append(ordered)
    beside = [("pieces", number) for number in range(len(pieces) - 1)]
    new = with_table(text, ("pieces", len(beside)), ordered, beside=beside[-1:])
    return confirmed(new, expected, name=COSTUME_FILE)


@refused_as_one(COSTUME_FILE)
def with_piece_value(text: str, slug: str, path: Sequence[KeyPart], value: Any) -> str:
    """The text with one value of a piece set, or taken out (None): path as ``("options", "width")``.

    What is left empty by it, options or edges, goes too. Raises FileError for a piece that is not there.
    """
    if path[0] in NEVER_CHANGED:
        raise FileError(
            f"{path[0]} stays as it is: other things go by it.",
            where=COSTUME_FILE,
            advice="Change its label, or make a new piece and remove this one.",
        )
    expected = _data(text)
    number = _number(expected, slug)

    def edit(piece: Any) -> None:
        set_value(piece, path, value)
        if value is None and len(path) > 1 and path[0] in piece and not piece[path[0]]:
            del piece[path[0]]

    edit(expected["pieces"][number])
    new = changed_table(text, ("pieces", number), edit)
    return confirmed(new, expected, name=COSTUME_FILE)


@refused_as_one(COSTUME_FILE)
def without_piece(text: str, slug: str) -> str:
    """The text without a piece, and without the comment right above it alone. Raises FileError."""
    expected = _data(text)
    number = _number(expected, slug)
    del expected["pieces"][number]
    if not expected["pieces"]:
        del expected["pieces"]
    return confirmed(without_table(text, ("pieces", number)), expected, name=COSTUME_FILE)


@refused_as_one(COSTUME_FILE)
def with_edge(text: str, slug: str, values: Mapping[str, Any]) -> str:
    """The text with an edge added, or some of its values set; None takes one out. Raises FileError."""
    expected = _data(text)
    edges = expected.setdefault("edges", {})
    beside = [("edges", other) for other in edges]
    is_new = slug not in edges

    def edit(edge: Any) -> None:
        for key, value in values.items():
            set_value(edge, (key,), value)

    edit(edges.setdefault(slug, {}))
    path = ("edges", slug)
    new = with_table(text, path, edges[slug], beside=beside) if is_new else changed_table(text, path, edit)
    return confirmed(new, expected, name=COSTUME_FILE)


@refused_as_one(COSTUME_FILE)
def without_edge(text: str, slug: str) -> str:
    """The text without an edge, and without the comment right above it alone. Raises FileError."""
    expected = _data(text)
    if slug not in expected.get("edges", {}):
        raise _nothing("edge", slug, expected.get("edges", {}))
    del expected["edges"][slug]
    if not expected["edges"]:
        del expected["edges"]
    return confirmed(without_table(text, ("edges", slug)), expected, name=COSTUME_FILE)


def or_new(text: str) -> str:
    """The file's text, or that of a costume about which nothing is said yet."""
    return text if text.strip() else f'format = {CURRENT["costume"]}\nname = "My costume"\n'


def names_taken(data: Mapping[str, Any]) -> set[str]:
    """Names that a new edge cannot have: of edges and rows as stated, and of the sides they become."""
    stated = {name for key in ("edges", "rows") if isinstance(data.get(key), Mapping) for name in data[key]}
    return stated | {f"{name}_{side}" for name in stated for side in ("left", "right")}


def checked(root: Path, text: str, *, marked: str | None = None, pieces: Sequence[str] = ()) -> Costume:
    """The costume that a text would make, held against the folder's other files before it is written.

    marked : the marks that go with it, None for those that are there.
    pieces : slugs as the file has them, whose kind, options and edges are looked at too.
    Raises FileError, PlacementError, MarkError or DraftError, with the line of the text and what to do.
    """
    costume = open_costume(root, text=text, marked=marked).costume
    said = {slug: edge.words for slug, edge in costume.edges.items() if isinstance(edge.words, RelativeEdge)}
    in_order(said, lambda slug: costume.edges[slug].where)
    for slug in pieces:
        for own in (slug, f"{slug}_left", f"{slug}_right"):
            for statement in costume.pieces:
                if statement.slug == own:
                    refuse_slips(statement, costume.where.get(own, ""))
    return costume


def _data(text: str) -> dict[str, Any]:
    return read_data(text, name=COSTUME_FILE)


def _number(data: Mapping[str, Any], slug: str) -> int:
    slugs = [piece.get("slug") for piece in data.get("pieces", [])]
    if slug not in slugs:
        raise _nothing("piece", slug, [str(one) for one in slugs])
    return slugs.index(slug)


def _nothing(what: str, slug: str, known: Any) -> FileError:
    return UnknownKeyError(
        f"there is no {what} {slug!r}.", where=COSTUME_FILE, advice=did_you_mean(slug, known)
    )
