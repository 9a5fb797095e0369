"""The costume: its pieces in the order worn, the edges that bound them, and both on character and wearer."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from layfigure.body.measures import CATALOGUE
from layfigure.design.costume import COSTUME_FILE, MARKS_FILE
from layfigure.design.costume_file import costume_from_toml
from layfigure.errors import LayfigureError
from layfigure.files.toml import parse_toml
from layfigure.files.validation import validated
from layfigure.pipeline.folder import MESH_FILES
from layfigure.workroom.background import Task
from layfigure.workroom.edits import costume as edits
from layfigure.workroom.edits.marks import without_line
from layfigure.workroom.edits.plain_name import free_name
from layfigure.workroom.pages import page
from layfigure.workroom.room import Room
from layfigure.workroom.routes.asked import Edit, OpenRoom, Slug, WearerSlug, saved
from layfigure.workroom.store import revision_of

router = APIRouter(tags=["costume"])

TRACED = frozenset({".svg", ".dxf", ".json", *MESH_FILES})
NOT_TRACED = frozenset({"out", "printed", "quick", "references", "wearers"})
"""Folders of the costume in which no tracing lies: results, pictures and people."""
MOST_TRACINGS = 200

Side = Literal["left", "right", "middle", "both"]
Words = Annotated[str, Field(max_length=300)]
Part = Annotated[str, Field(max_length=60)] | Annotated[int, Field(ge=0, le=1000)]


class EdgeWords(BaseModel, extra="forbid"):
    """An edge said on the spot."""

    words: Words


class NewPiece(Edit, extra="forbid"):
    """A piece to add. edges : role to the name of an edge, or to words that make a new one."""

    kind: Slug
    label: Annotated[str, Field(min_length=1, max_length=120)]
    cloth: Slug | Literal[""] = ""
    side: Side = "middle"
    layer: Annotated[int, Field(ge=0, le=50)] | None = None
    edges: Annotated[dict[Slug, Slug | EdgeWords], Field(max_length=40, default_factory=dict)]
    options: Annotated[dict[Slug, Any], Field(max_length=80, default_factory=dict)]


class PieceValue(Edit, extra="forbid"):
    """One value of a piece to set; null takes it out. path : as ``["options", "width"]``."""

    path: Annotated[list[Part], Field(min_length=1, max_length=8)]
    value: Any = None


class EdgeValues(Edit, extra="forbid"):
    """What is said of an edge; what is left out stays as it is, null takes it out.

    words : null for one that is traced on pictures. closed : of a traced one, whether it runs back to its
    start on the body.
    """

    words: Words | None = None
    side: Side | None = None
    meaning: Literal["proportion", "anatomy"] | None = None
    closed: bool | None = None

    def stated(self) -> dict[str, Any]:
        """The values as the file has them: what is usual is not written, and words say themselves whether
        a line is closed.
        """
        given = self.model_dump(include={"words", "side", "meaning", "closed"}, exclude_unset=True)
        usual = {"side": "middle", "meaning": "proportion", "closed": True}
        given = {key: None if value == usual.get(key, "") else value for key, value in given.items()}
        return given | ({"closed": None} if given.get("words") is not None else {})


class NewEdge(EdgeValues, extra="forbid"):
    """An edge to add. name : as the maker calls it."""

    name: Annotated[str, Field(min_length=1, max_length=80)]


class Trial(BaseModel, extra="forbid"):
    """Words to be tried. side : of the edge they would make. slug : its name, which they cannot be said from;
    null for an edge that is not there yet.
    """

    words: Words
    side: Side = "middle"
    slug: Slug | None = None


class Seen(BaseModel, extra="forbid"):
    """Where the bodies are seen from. pictures : whether still pictures of them are wanted."""

    view: Literal["front", "back", "left", "right"] = "front"
    pictures: bool = True


@router.get("/costume", include_in_schema=False)
def costume_page(request: Request) -> Response:
    """The page."""
    return page(request, "costume.html.j2", moment="costume")


@router.get("/api/costume")
def costume(room: OpenRoom) -> dict[str, Any]:
    """The pieces and edges as the file has them, and the cloths there are.

    pieces : as typed, in the order of the file. edges : as typed, with the pieces each one bounds.
    Raises FileError for a file that cannot be read at all.
    """
    text = room.store.text(COSTUME_FILE)
    opened = room.costume()
    data = parse_toml(text, name=COSTUME_FILE).data
    pieces, stated = data.get("pieces", []), data.get("edges", {})
    return {
        **saved(room),
        "name": opened.costume.name,
        "edition": opened.costume.edition,
        "wearers": list(opened.wearers),
        "pieces": pieces,
        "edges": [
            {
                "slug": slug,
                "words": edge.get("words"),
                "side": edge.get("side", "middle"),
                "meaning": edge.get("meaning", "proportion"),
                "bounds": [piece["slug"] for piece in pieces if slug in _named(piece)],
            }
            for slug, edge in stated.items()
        ],
        "rows": list(data.get("rows", {})),
        "tracings": _tracings(room.store.root),
        "cloths": [
            {
                "slug": cloth.slug,
                "name": cloth.name,
                "kind": cloth.kind,
                "own": slug in _own_cloths(room),
                "tested": cloth.tested,
            }
            for slug, cloth in opened.cloths.items()
        ],
    }


@router.get("/api/kinds")
def kinds() -> dict[str, Any]:
    """Every kind of piece: what it is, the edges it takes, the materials beside its own, its options.

    windows, backing, seams, panels : whether it makes something of them. measures : names that a table of
    sizes may use.
    """
    from layfigure.draft.registry import known_kinds

    return {
        "kinds": [
            {
                "name": name,
                "summary": kind.summary,
                "edges": [
                    {"role": role, "what": what, "required": role in kind.required}
                    for role, what in kind.edges.items()
                ],
                "cloths": [{"role": role, "what": what} for role, what in kind.cloths.items()],
                "windows": kind.windows,
                "backing": kind.backing,
                "seams": kind.seams,
                "panels": kind.panels is not None,
                "schema": kind.options.model_json_schema(),
            }
            for name, kind in known_kinds().items()
        ],
        "measures": [name for name, measure in CATALOGUE.items() if measure.kind != "mass"],
    }


@router.post("/api/costume/pieces")
def add_piece(room: OpenRoom, new: NewPiece) -> dict[str, Any]:
    """Add a piece, and the edges that were said in words for it. Answers its slug."""

    def edit(text: str) -> tuple[str, str]:
        data = parse_toml(text, name=COSTUME_FILE).data
        taken = {piece.get("slug") for piece in data.get("pieces", [])}
        slug = free_name(new.label, taken, otherwise=new.kind)
        edges: dict[str, str] = {}
        for role, said in new.edges.items():
            if isinstance(said, EdgeWords):
                text, edges[role] = _with_words(text, f"{slug}_{role}", said.words, new.side)
            else:
                edges[role] = said
        piece = {"slug": slug, "kind": new.kind, "label": new.label}
        piece |= {"cloth": new.cloth} if new.cloth else {}
        piece |= {"side": new.side} if new.side != "middle" else {}
        own = {
            key: value
            for key, value in (("layer", new.layer), ("edges", edges), ("options", new.options))
            if value
        }
        return edits.with_piece(text, {**piece, **own}), slug

    return _written(room, f"add {new.label}", edit, new)


@router.post("/api/costume/pieces/{slug}")
def change_piece(room: OpenRoom, slug: Slug, change: PieceValue) -> dict[str, Any]:
    """Set one value of a piece. An edge given as ``{"words": …}`` is made on the spot."""

    def edit(text: str) -> tuple[str, str]:
        value, path = change.value, change.path
        if len(path) == 2 and path[0] == "edges" and isinstance(value, dict):
            said = validated(EdgeWords, value, where=lambda *_: COSTUME_FILE)
            pieces = parse_toml(text, name=COSTUME_FILE).data.get("pieces", [])
            side = next(
                (piece.get("side", "middle") for piece in pieces if piece.get("slug") == slug), "middle"
            )
            text, value = _with_words(text, f"{slug}_{path[1]}", said.words, side)
        return edits.with_piece_value(text, slug, path, value), slug

    return _written(room, f"change {slug.replace('_', ' ')}", edit, change)


@router.post("/api/costume/pieces/{slug}/remove")
def remove_piece(room: OpenRoom, slug: Slug, asked: Edit) -> dict[str, Any]:
    """Take a piece out of the costume; its edges stay."""
    return _written(
        room, f"remove {slug.replace('_', ' ')}", lambda text: (edits.without_piece(text, slug), ""), asked
    )


@router.post("/api/costume/words")
def try_words(room: OpenRoom, trial: Trial) -> dict[str, Any]:
    """Where words lie, before anything is made of them; writes nothing.

    says : where, in plain words. Raises PlacementError with what could be said instead.
    """
    from layfigure.workroom.where_words_lie import where_words_lie

    return where_words_lie(trial.words, trial.side, _said_from(room, trial.slug))


@router.post("/api/costume/edges")
def add_edge(room: OpenRoom, new: NewEdge) -> dict[str, Any]:
    """Add an edge: said in words, or to be traced on pictures. slug : the name it got in the files."""
    slug = ""

    def edit(text: str) -> tuple[str, str]:
        nonlocal slug
        taken = edits.names_taken(parse_toml(text, name=COSTUME_FILE).data)
        slug = free_name(new.name, taken, otherwise="line")
        return edits.with_edge(text, slug, new.stated()), ""

    return {**_written(room, f"begin {new.name}", edit, new), "slug": slug}


@router.put("/api/costume/edges/{slug}")
def put_edge(room: OpenRoom, slug: Slug, values: EdgeValues) -> dict[str, Any]:
    """Change how an edge is said, or add one of that name. Words take the place of what is marked of it."""
    what = f"change the edge {slug.replace('_', ' ')}"
    edited = _written(
        room,
        what,
        lambda text: (edits.with_edge(text, slug, values.stated()), ""),
        values,
        unmarked=slug if values.words is not None else "",
    )
    return {**edited, "slug": slug}


@router.post("/api/costume/edges/{slug}/remove")
def remove_edge(room: OpenRoom, slug: Slug, asked: Edit) -> dict[str, Any]:
    """Take an edge out; refused while a piece names it."""
    return _written(
        room,
        f"remove the edge {slug.replace('_', ' ')}",
        lambda text: (edits.without_edge(text, slug), ""),
        asked,
    )


@router.post("/api/lines/{wearer}")
def lines(room: OpenRoom, wearer: WearerSlug, seen: Seen) -> dict[str, Any]:
    """Character and wearer carrying the same lines, seen from one side; a task."""
    from layfigure.workroom.lines import lines_as_data

    work_of = room.work(wearer)

    def work(task: Task) -> dict[str, Any]:
        return lines_as_data(work_of, seen.view, task, room.character, pictures=seen.pictures)

    return room.background.begin("draw the lines", work, group=f"lines:{wearer}").as_data()


def _written(
    room: Room, what: str, edit: Callable[[str], tuple[str, str]], asked: Edit, *, unmarked: str = ""
) -> dict[str, Any]:
    """Edit the file, look at what it would mean, and only then write it.

    edit : the text to the new text and the piece it concerns, empty for none. unmarked : an edge whose marks
    on pictures go with the same edit.
    Raises FileChanged before anything else, then whatever the edit or the costume's reader says.
    """
    before = room.store.read(COSTUME_FILE)
    room.store.write(what, {COSTUME_FILE: before}, asked.base)
    text = room.store.text(COSTUME_FILE)
    new, slug = edit(edits.or_new(text.replace("\r\n", "\n")))
    marks_before = room.store.read(MARKS_FILE)
    marked = without_line(room.store.text(MARKS_FILE), unmarked) if unmarked else None
    edits.checked(room.store.root, new, marked=marked, pieces=[slug] if slug else [])
    if "\r\n" in text:
        new = new.replace("\n", "\r\n")
    contents, base = {COSTUME_FILE: new.encode()}, {COSTUME_FILE: revision_of(before)}
    if marked is not None:
        # The marks first: between the two, an edge without marks is asked for, where marks without an edge
        # would be refused.
        contents = {MARKS_FILE: marked.encode(), **contents}
        base[MARKS_FILE] = revision_of(marks_before)
    room.store.write(what, contents, base)
    return {**saved(room), "slug": slug}


def _with_words(text: str, name: str, words: str, side: str) -> tuple[str, str]:
    """The text with a new edge said in words, and its name."""
    slug = free_name(name, edits.names_taken(parse_toml(text, name=COSTUME_FILE).data), otherwise="edge")
    values = {"words": words} | ({"side": side} if side != "middle" else {})
    return edits.with_edge(text, slug, values), slug


def _said_from(room: Room, slug: str | None) -> dict[str, str]:
    """Edges that words may be said from, by the names they may be called; all but one's own, sides taken
    together.
    """
    try:
        file = parse_toml(room.store.text(COSTUME_FILE), name=COSTUME_FILE)
        edges = costume_from_toml(file, folder=room.store.root).edges
    except LayfigureError:
        return {}
    names = [*edges, *(edge.marked_as for edge in edges.values())]
    return {
        name: name for name in names if slug is None or name not in (slug, f"{slug}_left", f"{slug}_right")
    }


def _named(piece: dict[str, Any]) -> set[str]:
    """Edges that a piece names, whichever side of them."""
    names = {*piece.get("edges", {}).values(), *piece.get("windows", [])}
    return names | {name.removesuffix(f"_{side}") for name in names for side in ("left", "right")}


def _tracings(root: Path) -> list[str]:
    """Files in the costume's folder that a piece can be cut by, as costume.toml names them."""
    found = [path for path in root.rglob("*") if path.suffix.lower() in TRACED and path.is_file()]
    named = [path.relative_to(root) for path in found]
    return sorted(
        name.as_posix()
        for name in named
        if name.parts[0] not in NOT_TRACED and (name.suffix.lower() != ".json" or len(name.parts) > 1)
    )[:MOST_TRACINGS]


def _own_cloths(room: Room) -> set[str]:
    """Materials of the maker's own file."""
    from layfigure.materials.starter import starter_cloths

    starter = starter_cloths()
    return {slug for slug, cloth in room.costume().cloths.items() if starter.get(slug) != cloth}
