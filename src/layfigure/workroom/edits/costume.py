"""Edits of ``costume.toml``: pieces and edges added, changed and removed; comments and order stay.

Every function takes the file's text and returns the new one, or raises FileError. None of them judges what
the costume then means: ``checked`` does, before anything is written.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

import tomlkit

from layfigure.design.costume import COSTUME_FILE, Costume
from layfigure.design.relative_on_body import in_order
from layfigure.design.relative_words import RelativeEdge
from layfigure.errors import FileError, UnknownKeyError
from layfigure.files.nearest import did_you_mean
from layfigure.pipeline.folder import open_costume
from layfigure.pipeline.slips import refuse_slips
from layfigure.workroom.edits.plain_name import numbered, plain_name
from layfigure.workroom.edits.toml_block import (
    confirmed,
    edited_block,
    find_block,
    read_data,
    refused_as_one,
    remarks_above,
    set_value,
    whole_document,
    with_lines,
    without_lines,
    written,
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
    block = "[[pieces]]\n" + tomlkit.dumps({key: written(value) for key, value in ordered.items()})
    last = find_block(text, ("pieces", len(pieces) - 2), name=COSTUME_FILE) if len(pieces) > 1 else None
    if len(pieces) > 1 and last is None:
        new = whole_document(text, lambda file: file["pieces"].append(written(ordered)))
    else:
        new = with_lines(text, block, after=last)
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
    block = find_block(text, ("pieces", number), name=COSTUME_FILE)
    if block is None:
        new = whole_document(text, lambda file: edit(file["pieces"][number]))
    else:
        new = edited_block(text, block, lambda file: edit(file["pieces"][0]))
    return confirmed(new, expected, name=COSTUME_FILE)


@refused_as_one(COSTUME_FILE)
def without_piece(text: str, slug: str) -> str:
    """The text without a piece, and without the comment right above it alone. Raises FileError."""
    expected = _data(text)
    number = _number(expected, slug)
    del expected["pieces"][number]
    if not expected["pieces"]:
        del expected["pieces"]
    return confirmed(_removed(text, ("pieces", number)), expected, name=COSTUME_FILE)


@refused_as_one(COSTUME_FILE)
def with_edge(text: str, slug: str, values: Mapping[str, Any]) -> str:
    """The text with an edge added, or some of its values set; None takes one out. Raises FileError."""
    expected = _data(text)
    edges = expected.setdefault("edges", {})
    is_new = slug not in edges
    edge = edges.setdefault(slug, {})
    for key, value in values.items():
        set_value(edge, (key,), value)
    if is_new:
        last = _last_edge(text, edges, slug)
        block = f"[edges.{slug}]\n" + tomlkit.dumps({key: written(one) for key, one in edge.items()})
        if last is not None or len(edges) == 1:
            new = with_lines(text, block, after=last)
        else:
            new = whole_document(text, lambda file: file["edges"].add(slug, written(edge)))
        return confirmed(new, expected, name=COSTUME_FILE)

    def edit(place: Any) -> None:
        for key, value in values.items():
            set_value(place["edges"][slug], (key,), value)

    found = find_block(text, ("edges", slug), name=COSTUME_FILE)
    new = whole_document(text, edit) if found is None else edited_block(text, found, edit)
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
    return confirmed(_removed(text, ("edges", slug)), expected, name=COSTUME_FILE)


def free_slug(label: str, taken: Iterable[str], *, otherwise: str) -> str:
    """A name for a new thing: its label in small letters, digits and underscores, numbered where taken.

    otherwise : for a label without a letter of that kind.
    """
    return numbered(plain_name(label).lstrip("0123456789_")[:50] or otherwise, set(taken))


def checked(root: Path, text: str, *, pieces: Sequence[str] = ()) -> Costume:
    """The costume that a text would make, held against the folder's other files before it is written.

    pieces : slugs as the file has them, whose kind, options and edges are looked at too.
    Raises FileError, PlacementError, MarkError or DraftError, with the line of the text and what to do.
    """
    costume = open_costume(root, text=text).costume
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


def _removed(text: str, path: tuple[str, KeyPart]) -> str:
    block = find_block(text, path, name=COSTUME_FILE)
    if block is not None:
        # A comment over several tables without a blank line between is about all of them.
        shared = text.split("\n")[block.end : block.end + 1] not in ([], [""])
        return without_lines(text, block.start if shared else remarks_above(text, block), block.end)

    def edit(file: Any) -> None:
        del file[path[0]][path[1]]
        if not file[path[0]]:
            del file[path[0]]

    return whole_document(text, edit)


def _last_edge(text: str, edges: Mapping[str, Any], new: str) -> Any:
    """Where the edge that is written last ends; None where none has a heading."""
    blocks = [find_block(text, ("edges", slug), name=COSTUME_FILE) for slug in edges if slug != new]
    return max((block for block in blocks if block is not None), key=lambda block: block.end, default=None)
