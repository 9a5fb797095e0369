"""Looking and marking: pictures taken in, and what is marked on each."""

from __future__ import annotations

import io
from functools import lru_cache
from pathlib import Path
from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request, UploadFile
from fastapi.responses import FileResponse, Response
from pydantic import BaseModel, Field
from starlette.exceptions import HTTPException

from layfigure.body.levels import all_region_names
from layfigure.design.costume import COSTUME_FILE, MARKS_FILE, Costume, Reference
from layfigure.design.costume_file import read_costume
from layfigure.design.mark_names import LANDMARK_NAMES
from layfigure.design.marks import Marks, PictureMarks, View
from layfigure.design.marks_file import OutlineFile, PictureFile, Place, StretchFile, parse_marks
from layfigure.design.marks_file import picture_as_data as marks_as_data
from layfigure.errors import FileError, LayfigureError, MarkError
from layfigure.files.inside import refuse_outside
from layfigure.workroom.background import error_as_data
from layfigure.workroom.edits.costume_references import with_reference, without_reference
from layfigure.workroom.edits.marks import (
    marks_of,
    picture_of,
    with_marks,
    with_picture,
    with_view,
    without_picture,
)
from layfigure.workroom.edits.plain_name import free_name
from layfigure.workroom.pages import page
from layfigure.workroom.room import Room
from layfigure.workroom.routes.asked import Edit, OpenRoom, Slug, saved
from layfigure.workroom.store import ABSENT, revision_of

router = APIRouter(tags=["pictures"])

REFERENCES = "references"
MOST_BYTES = 40_000_000
SMALL = 480
"""Longer side of a picture on its card [px]."""

SERVED = {"PNG": "image/png", "JPEG": "image/jpeg", "WEBP": "image/webp"}

PictureName = Annotated[str, Field(min_length=1, max_length=80)]
AskedName = Annotated[str, Query(alias="picture", min_length=1, max_length=80)]


class MarkedPicture(BaseModel, extra="forbid"):
    """All marks of one picture, as ``marks.json`` has them."""

    landmarks: Annotated[dict[str, Place | None], Field(max_length=200)] = {}
    outlines: Annotated[list[OutlineFile], Field(max_length=200)] = []
    edges: Annotated[
        dict[Slug, Annotated[list[StretchFile], Field(max_length=50)]], Field(max_length=300)
    ] = {}


class MarksEdit(Edit):
    """One picture's marks, as a whole. what : the edit in words, for undo."""

    picture: PictureName
    marks: MarkedPicture
    what: Annotated[str, Field(min_length=1, max_length=140)] = "mark a picture"


class ViewEdit(Edit):
    """What one picture shows. yaw : of a view in between, about how far round [degrees]; null to find out."""

    picture: PictureName
    view: View
    yaw: Annotated[float, Field(ge=-180.0, le=180.0)] | None = None
    photograph: bool = False


class MarkToo(Edit):
    """A picture of the costume's references that nothing is marked on yet."""

    file: Annotated[str, Field(min_length=1, max_length=300)]
    view: View


class Removal(Edit):
    """A picture to take out."""

    picture: PictureName


@router.get("/look", include_in_schema=False)
def look(request: Request) -> Response:
    """All pictures, and a place to drop more."""
    return page(request, "look.html.j2", moment="look")


@router.get("/look/{picture:path}", include_in_schema=False)
def look_at(request: Request, room: OpenRoom, picture: str) -> Response:
    """One picture, large."""
    if picture not in {one.name for one in marks_of(room.store.text(MARKS_FILE)).pictures}:
        raise HTTPException(404)
    return page(request, "picture.html.j2", moment="look", picture=picture)


@router.get("/api/pictures")
def pictures(room: OpenRoom) -> dict[str, Any]:
    """Every picture that can be marked, and how much is marked on it."""
    answer = saved(room)
    marks = _marks(room)
    return {
        **answer,
        "pictures": [_card(picture, marks) for picture in marks.pictures],
        "references": [
            {"file": one.file, "name": Path(one.file).stem, "note": one.note}
            for one in _unmarked(room, marks)
        ],
    }


@router.post("/api/pictures/known")
def mark_too(room: OpenRoom, edit: MarkToo) -> dict[str, Any]:
    """Begin to mark a picture that is among the costume's references already. picture : the name it got."""
    from layfigure.files.picture import picture_size

    text = room.store.text(MARKS_FILE)
    marks = marks_of(text)
    reference = next((one for one in _unmarked(room, marks) if one.file == edit.file), None)
    if reference is None:
        raise MarkError(
            "it is not among the references that wait to be marked.",
            where=edit.file,
            advice="Load the page again.",
        )
    taken = {picture.name for picture in marks.pictures}
    name = free_name(Path(edit.file).stem, taken, otherwise="picture")
    picture = PictureMarks(
        name=name,
        view=edit.view,
        size=picture_size(room.store.root / edit.file),
        file=edit.file,
        photograph=reference.photograph,
    )
    new = with_picture(text, picture).encode()
    room.store.write(f"mark the picture {name} too", {MARKS_FILE: new}, edit.base)
    return {**saved(room), "picture": name}


@router.post("/api/pictures")
def take_in(
    room: OpenRoom,
    file: UploadFile,
    view: Annotated[View, Form()],
    photograph: Annotated[bool, Form()] = False,
) -> dict[str, Any]:
    """Take a picture in: upright, at most 4000 px each way, with nothing in its file but the picture.

    Adds it to the marks and to the costume's references. picture : the name it got. shrunk : it came larger.
    """
    from layfigure.files.picture import clean_picture

    called = Path((file.filename or "picture").replace("\\", "/")).name[:120]
    clean = clean_picture(file.file.read(MOST_BYTES + 1), name=called)
    marks_before, costume_before = room.store.read(MARKS_FILE), room.store.read(COSTUME_FILE)
    marks_text, costume_text = room.store.text(MARKS_FILE), room.store.text(COSTUME_FILE)
    name = free_name(Path(called).stem, _names_taken(room, marks_of(marks_text)), otherwise="picture")
    stored = f"{REFERENCES}/{name}{clean.suffix}"
    picture = PictureMarks(name=name, view=view, size=clean.size, file=stored, photograph=photograph)
    room.store.write(
        f"take in the picture {name}",
        {
            # The picture first: marks of a picture that is not there yet would be a broken promise.
            stored: clean.data,
            MARKS_FILE: with_picture(marks_text, picture).encode(),
            COSTUME_FILE: with_reference(costume_text, stored, photograph=photograph).encode(),
        },
        # What is there is added to, never replaced, so it is the state just read that counts.
        {stored: ABSENT, MARKS_FILE: revision_of(marks_before), COSTUME_FILE: revision_of(costume_before)},
    )
    return {**saved(room), "picture": name, "shrunk": clean.shrunk}


@router.patch("/api/pictures")
def turn(room: OpenRoom, edit: ViewEdit) -> dict[str, Any]:
    """Say anew what a picture shows."""
    marks_text, costume_text = room.store.text(MARKS_FILE), room.store.text(COSTUME_FILE)
    old = picture_of(marks_of(marks_text), edit.picture)
    new = with_view(marks_text, edit.picture, view=edit.view, yaw=edit.yaw, photograph=edit.photograph)
    contents: dict[str, bytes | None] = {MARKS_FILE: new.encode()}
    if old.file and old.photograph != edit.photograph:
        stated = with_reference(costume_text, old.file, photograph=edit.photograph)
        contents[COSTUME_FILE] = stated.encode()
    room.store.write(f"say what the picture {edit.picture} shows", contents, edit.base)
    return saved(room)


@router.delete("/api/pictures")
def take_out(room: OpenRoom, edit: Removal) -> dict[str, Any]:
    """Take a picture out, with its marks and its file; undo brings all of it back."""
    marks_text, costume_text = room.store.text(MARKS_FILE), room.store.text(COSTUME_FILE)
    marks = marks_of(marks_text)
    gone = picture_of(marks, edit.picture)
    left = without_picture(marks_text, edit.picture)
    contents: dict[str, bytes | None] = {MARKS_FILE: None if left is None else left.encode()}
    shared = any(other.file == gone.file for other in marks.pictures if other is not gone)
    if gone.file and not shared:
        refuse_outside(gone.file, where=MARKS_FILE)
        contents[COSTUME_FILE] = without_reference(costume_text, gone.file).encode()
        # A file the maker keeps elsewhere in the folder is the maker's own.
        if gone.file.startswith(f"{REFERENCES}/") and room.store.read(gone.file) is not None:
            contents[gone.file] = None
    room.store.write(f"take out the picture {edit.picture}", contents, edit.base)
    return saved(room)


@router.get("/api/pictures/image", include_in_schema=False)
def image(room: OpenRoom, name: AskedName, small: bool = False) -> Response:
    """A picture's file as it is, or a small copy for its card."""
    return _served(_file_of(room, name), small=small)


@router.get("/api/pictures/known/image", include_in_schema=False)
def known_image(room: OpenRoom, file: Annotated[str, Query(max_length=300)]) -> Response:
    """A small copy of a reference that waits to be marked."""
    if file not in {one.file for one in _unmarked(room, _marks(room))}:
        raise HTTPException(404)
    return _served(room.store.root / file, small=True)


def _served(path: Path, *, small: bool) -> Response:
    if small:
        stat = path.stat()
        return Response(_small(path, stat.st_mtime_ns, stat.st_size), media_type="image/jpeg")
    return FileResponse(path, media_type=_media_type(path))


@router.get("/api/marks")
def marks(room: OpenRoom, name: AskedName) -> dict[str, Any]:
    """All that is marked on one picture, and the costume's lines that may be traced on it."""
    answer = saved(room)
    found = _marks(room)
    picture = picture_of(found, name)
    lines, problem = _lines(room, found)
    return {
        **answer,
        "marks": marks_as_data(picture),
        "missing": picture.file in found.missing or not picture.file,
        "pictures": [one.name for one in found.pictures],
        "lines": lines,
        "problem": problem,
        "landmarks": dict(LANDMARK_NAMES),
        "regions": list(all_region_names()),
    }


@router.put("/api/marks")
def mark(room: OpenRoom, edit: MarksEdit) -> dict[str, Any]:
    """Replace one picture's marks. Raises MarkError for those that make no sense; nothing is written then."""
    typed = PictureFile(name=edit.picture, view="front", **edit.marks.model_dump())
    try:
        known = _costume(room).marked_slugs()
    except LayfigureError:
        # A slip elsewhere in the costume is shown where it is; marks are kept all the same.
        known = None
    new = with_marks(room.store.text(MARKS_FILE), typed, known)
    room.store.write(edit.what, {MARKS_FILE: new.encode()}, edit.base)
    return saved(room)


def _marks(room: Room) -> Marks:
    """The marks with their pictures looked at; none where there is no file."""
    text = room.store.text(MARKS_FILE)
    return parse_marks(text, folder=room.store.root) if text.strip() else Marks(pictures=())


def _costume(room: Room) -> Costume:
    return read_costume(room.store.root)


def _card(picture: PictureMarks, marks: Marks) -> dict[str, Any]:
    return {
        "name": picture.name,
        "view": picture.view,
        "yaw": picture.yaw,
        "size": list(picture.size),
        "photograph": picture.photograph,
        "missing": picture.file in marks.missing or not picture.file,
        "landmarks": len(picture.landmarks),
        "unseen": len(picture.unseen),
        "outlines": sum(len(outline.points) for outline in picture.outlines),
        "lines": len({edge.slug for edge in picture.edges}),
    }


def _lines(room: Room, found: Marks) -> tuple[list[dict[str, Any]], dict[str, str] | None]:
    """The costume's edges in its own order, and what stands in the way of reading it."""
    try:
        stated = _costume(room).edges.values()
    except LayfigureError as error:
        return [{"slug": slug, "group": slug, "side": "middle", "closed": True, "words": None}
                for slug in found.edge_slugs()], error_as_data(error)  # fmt: skip
    return [
        {
            "slug": edge.slug,
            "group": edge.marked_as,
            "side": edge.side,
            "closed": edge.closed,
            "words": None if edge.words is None else edge.words.text,
        }
        for edge in stated
    ], None


def _unmarked(room: Room, marks: Marks) -> list[Reference]:
    """References whose files are there and that are no marked picture; none where the costume has a slip."""
    try:
        references = _costume(room).references
    except LayfigureError:
        return []
    marked = {picture.file for picture in marks.pictures}
    root = room.store.root
    return [
        one
        for one in references
        if one.file not in marked
        and (root / one.file).resolve().is_relative_to(root)
        and (root / one.file).is_file()
    ]


def _names_taken(room: Room, marks: Marks) -> set[str]:
    """Names a new picture may not have: of pictures, and of files beside its own."""
    folder = room.store.root / REFERENCES
    files = {path.stem for path in folder.iterdir()} if folder.is_dir() else set()
    return {picture.name for picture in marks.pictures} | files


def _file_of(room: Room, name: str) -> Path:
    """A picture's file, inside the costume's folder. Raises a 404 where it is not there."""
    picture = picture_of(marks_of(room.store.text(MARKS_FILE)), name)
    refuse_outside(picture.file, where=MARKS_FILE)
    path = (room.store.root / picture.file).resolve()
    if not picture.file or not path.is_relative_to(room.store.root) or not path.is_file():
        raise HTTPException(404)
    return path


def _media_type(path: Path) -> str:
    """What a file is by its content. Raises FileError for what is no picture a browser shows."""
    from layfigure.files.picture import picture_format

    found = picture_format(path)
    if found not in SERVED:
        raise FileError(
            "the picture is of a kind that browsers do not show.",
            where=path.name,
            advice="Save it as PNG or JPEG.",
        )
    return SERVED[found]


@lru_cache(maxsize=60)
def _small(path: Path, _changed: int, _size: int) -> bytes:
    from layfigure.files.picture import open_picture

    picture = open_picture(path)
    picture.thumbnail((SMALL, SMALL))
    written = io.BytesIO()
    picture.save(written, format="JPEG", quality=85)
    return written.getvalue()
