"""The costume's lines: said in words, or begun so that they can be traced."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter
from pydantic import BaseModel, Field

from layfigure.design.costume import COSTUME_FILE
from layfigure.design.costume_file import FileSide, costume_from_toml
from layfigure.errors import LayfigureError
from layfigure.files.toml import parse_toml
from layfigure.workroom.edits.costume_lines import Line, slug_of, with_line
from layfigure.workroom.room import Room
from layfigure.workroom.routes.asked import Edit, OpenRoom, Slug, saved

router = APIRouter(prefix="/api/lines", tags=["lines"])

Words = Annotated[str, Field(min_length=1, max_length=300)]


class SaidLine(BaseModel, extra="forbid"):
    """A placement in words. slug : of the edge they are for, which they cannot be said from."""

    words: Words
    side: FileSide = "middle"
    slug: Slug | None = None


class NewLine(Edit):
    """A line to begin. name : as the maker calls it. words : None for one to be traced.

    closed : of a traced one, whether it runs back to its start on the body.
    """

    name: Annotated[str, Field(min_length=1, max_length=80)]
    words: Words | None = None
    side: FileSide = "middle"
    closed: bool = True


class LineEdit(Edit):
    """A line that is there, said otherwise."""

    slug: Slug
    words: Words | None = None
    side: FileSide = "middle"
    closed: bool = True


@router.post("/look")
def look(room: OpenRoom, said: SaidLine) -> dict[str, Any]:
    """Where words lie. Writes nothing. Raises PlacementError with what could be said instead."""
    from layfigure.workroom.where_words_lie import where_words_lie

    return where_words_lie(said.words, said.side, _others(room, said.slug))


@router.post("")
def begin(room: OpenRoom, new: NewLine) -> dict[str, Any]:
    """Begin a line. slug : the name it got in the files."""
    text = room.store.text(COSTUME_FILE)
    slug = slug_of(new.name, _taken(room))
    _write(room, slug, Line(words=new.words, side=new.side, closed=new.closed), text, new, f"begin {slug}")
    return {**saved(room), "slug": slug}


@router.put("")
def change(room: OpenRoom, edit: LineEdit) -> dict[str, Any]:
    """Say a line otherwise."""
    line = Line(words=edit.words, side=edit.side, closed=edit.closed)
    _write(room, edit.slug, line, room.store.text(COSTUME_FILE), edit, f"say {edit.slug} otherwise")
    return {**saved(room), "slug": edit.slug}


def _write(room: Room, slug: str, line: Line, text: str, edit: Edit, what: str) -> None:
    """Write the costume with a line, once it reads as a costume."""
    new = with_line(text, slug, line)
    costume_from_toml(parse_toml(new, name=COSTUME_FILE), folder=room.store.root)
    room.store.write(what.replace("_", " "), {COSTUME_FILE: new.encode()}, edit.base)


def _taken(room: Room) -> set[str]:
    data = parse_toml(room.store.text(COSTUME_FILE), name=COSTUME_FILE).data
    taken = {name for key in ("edges", "rows") if isinstance(data.get(key), dict) for name in data[key]}
    return taken | {f"{name}_{side}" for name in taken for side in ("left", "right")}


def _others(room: Room, slug: str | None) -> dict[str, str]:
    """Edges that words may be said from."""
    try:
        edges = costume_from_toml(
            parse_toml(room.store.text(COSTUME_FILE), name=COSTUME_FILE), folder=room.store.root
        ).edges
    except LayfigureError:
        return {}
    names = {own: own for own in edges} | {edge.marked_as: edge.marked_as for edge in edges.values()}
    return {name: target for name, target in names.items() if slug is None or edges_group(name, slug)}


def edges_group(name: str, slug: str) -> bool:
    """Whether a name is another line than the slug, sides taken together."""
    return name not in (slug, f"{slug}_left", f"{slug}_right")
