"""Wearers and their measures. Everything here is private: no answer but the maker's own page sees a size."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field
from starlette.background import BackgroundTask
from starlette.exceptions import HTTPException

from layfigure.body.bent_skin import sitting_pose
from layfigure.body.measures import CATALOGUE
from layfigure.body.wearer import Wearer
from layfigure.errors import FileSyntaxError, LayfigureError
from layfigure.report.body_picture import View
from layfigure.workroom.background import error_as_data
from layfigure.workroom.bodies import ShownBody
from layfigure.workroom.body_data import DrawnLine, faces_packed, packed
from layfigure.workroom.edits import wearer as edits
from layfigure.workroom.measure_page import needed_by_pieces, page_data
from layfigure.workroom.pages import page
from layfigure.workroom.room import Room
from layfigure.workroom.routes.asked import Edit, OpenRoom, Slug, WearerSlug, saved
from layfigure.workroom.store import ABSENT, WEARERS, revision_of

router = APIRouter(tags=["measures"])

BINARY = "application/octet-stream"

PlainText = r"^[^\x00-\x08\x0b-\x1f\x7f]*$"
"""No control characters: a file of words holds none."""

Name = Annotated[str, Field(min_length=1, max_length=80, pattern=r"^[^\x00-\x1f\x7f]*\S[^\x00-\x1f\x7f]*$")]
Reading = Annotated[str, Field(max_length=40, pattern=r"^[^\x00-\x1f\x7f]*$")]
Readings = Annotated[dict[edits.Hand, Annotated[list[Reading], Field(max_length=3)]], Field(max_length=3)]


class NewWearer(Edit):
    """Somebody to be measured."""

    name: Name
    posture: Literal["standing", "seated"] = "standing"
    unit: Literal["cm", "in"] = "cm"
    guess_from: Literal["women", "men", "both"] = "both"


class Described(Edit):
    """What is said about a wearer beside her measures; what is left out stays as it is."""

    name: Name | None = None
    posture: Literal["standing", "seated"] | None = None
    unit: Literal["cm", "in"] | None = None
    guess_from: Literal["women", "men", "both"] | None = None
    worn_under: (
        Annotated[list[Annotated[str, Field(max_length=80, pattern=PlainText)]], Field(max_length=20)] | None
    ) = None
    note: Annotated[str, Field(max_length=4000, pattern=PlainText)] | None = None


class Measured(Edit):
    """One measure: one to three readings, as typed, for both sides or for each; none takes it away."""

    readings: Readings


class Trying(BaseModel, extra="forbid"):
    """A measure that is still being typed. tape : whose tape to show. sitting : on the body as on a chair.

    soon : rather at once than quite right.
    """

    measure: Slug
    readings: Readings
    tape: Slug = ""
    sitting: bool = False
    soon: bool = False


SLUG = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,59}")
"""Names of wearers' files that can be opened here."""
RENAME = {"where": "", "advice": "Give the file a plain name, such as ada.toml."}

Tape = Annotated[str, Field(max_length=60, pattern=r"^([a-z][a-z0-9_]*)?$")]


@router.get("/measure", include_in_schema=False)
def choose(request: Request) -> Response:
    """Who is measured."""
    return page(request, "measure.html.j2", moment="measure")


@router.get("/measure/{wearer}", include_in_schema=False)
def measure(request: Request, room: OpenRoom, wearer: WearerSlug) -> Response:
    """One wearer, one measure at a time."""
    _text(room, wearer)
    return page(request, "measure_wearer.html.j2", moment="measure", wearer=wearer)


@router.get("/api/wearers")
def wearers(room: OpenRoom) -> dict[str, Any]:
    """Everybody there is a file of. taken : how many measures; problem : why her file cannot be used."""
    found = []
    for path in sorted((room.store.root / WEARERS).glob("*.toml")):
        entry: dict[str, Any] = {"slug": path.stem, "name": path.stem, "taken": 0, "problem": None}
        if not SLUG.fullmatch(path.stem):
            entry["problem"] = {"what": "its name holds more than letters, digits, - and _.", **RENAME}
            found.append(entry)
            continue
        try:
            wearer = _read(_text(room, path.stem), path.stem)
            entry |= {"name": wearer.name, "posture": wearer.posture, "unit": wearer.unit}
            entry["taken"] = len({_bare(name) for name in wearer.measures})
        except LayfigureError as error:
            entry["problem"] = error_as_data(error)
        found.append(entry)
    return {**saved(room), "wearers": found}


@router.post("/api/wearers")
def begin(room: OpenRoom, wanted: NewWearer) -> dict[str, Any]:
    """A file for somebody new. slug : its name."""
    name = wanted.name.strip()
    text = edits.begun(name, posture=wanted.posture, unit=wanted.unit, guess_from=wanted.guess_from)
    slug = edits.slug_for(name, [path.stem for path in (room.store.root / WEARERS).glob("*.toml")])
    file = _file(slug)
    room.store.write(f"begin to measure {name}", {file: text.encode()}, {file: ABSENT})
    return {**saved(room), "slug": slug}


@router.get("/api/wearers/{wearer}")
def one(room: OpenRoom, wearer: WearerSlug, pieces: bool = True) -> dict[str, Any]:
    """Everything the page of a wearer shows but her body. Raises MeasureError and others for her file.

    pieces : ask what the costume's pieces need, which takes a while the first time; without it, what every
    piece needs.
    """
    files = saved(room)
    text = _text(room, wearer)
    person = _read(text, wearer)
    return {
        **files,
        "slug": wearer,
        "file": _file(wearer),
        "name": person.name,
        "posture": person.posture,
        "unit": person.unit,
        "guess_from": {"woman": "women", "man": "men", None: "both"}[person.sex],
        "worn_under": list(person.worn_under),
        **page_data(person, text, needed_by_pieces(room) if pieces else None),
    }


@router.patch("/api/wearers/{wearer}")
def describe(room: OpenRoom, wearer: WearerSlug, wanted: Described) -> dict[str, Any]:
    """Change what is said about her."""
    changes = wanted.model_dump(exclude_none=True, exclude={"base"})
    if "worn_under" in changes:
        changes["worn_under"] = [worn.strip() for worn in changes["worn_under"] if worn.strip()]
    before, revision = _text_and_revision(room, wearer)
    after = edits.described(before, changes, file=f"{wearer}.toml")
    words = " and ".join(key.replace("_", " ") for key in changes) or "nothing"
    _write(room, wearer, f"say her {words} anew", after, revision, wanted)
    return saved(room)


@router.delete("/api/wearers/{wearer}")
def remove(room: OpenRoom, wearer: WearerSlug, asked: Edit) -> dict[str, Any]:
    """Remove her file; undo brings it back."""
    _, revision = _text_and_revision(room, wearer)
    _write(room, wearer, f"remove the wearer {wearer}", None, revision, asked)
    return saved(room)


@router.put("/api/wearers/{wearer}/measures/{name}")
def take(room: OpenRoom, wearer: WearerSlug, name: Slug, taken: Measured) -> dict[str, Any]:
    """Enter a measure, or take it away. A number without a unit is in the wearer's own."""
    before, revision = _text_and_revision(room, wearer)
    after = _with_measure(before, wearer, name, taken.readings)
    what = f"{'measure' if any(taken.readings.values()) else 'take away'} {name.replace('_', ' ')}"
    _write(room, wearer, what, after, revision, taken)
    return saved(room)


@router.get("/api/body/faces")
def faces() -> Response:
    """Triangles of every body's skin, the same for all: 32-bit whole numbers, three each."""
    from layfigure.body.template import load_template

    kept = {"cache-control": "private, max-age=31536000, immutable"}
    return Response(faces_packed(load_template().faces), media_type=BINARY, headers=kept)


@router.get("/api/wearers/{wearer}/body")
def body(
    room: OpenRoom,
    wearer: WearerSlug,
    tape: Tape = "",
    edges: bool = False,
    skin: bool = True,
    sitting: bool = False,
) -> Response:
    """Her body as saved, see ``body_data``. tape : stored or bare name of a measure to show the tape of.

    edges : with the costume's edges on it. skin : without it only the lines come. sitting : as on a chair.
    The header tells the messages of measuring and fitting, and ``average`` where nothing was measured yet.
    """
    from layfigure.pipeline.stages import body_messages

    person = _read(_text(room, wearer), wearer)
    shown = room.bodies.saved(person)
    lines = _tape(shown, tape)
    if edges:
        lines += _edges(room, wearer)
    told = {"average": not person.measures, "messages": list(body_messages(person, shown.fit))}
    return _packed(shown, lines, told, skin=skin, sitting=sitting)


@router.get("/api/wearers/{wearer}/picture")
def picture(room: OpenRoom, wearer: WearerSlug, tape: Tape = "", view: View | None = None) -> Response:
    """Her body as saved in a still picture (SVG), with the tape of a measure on it."""
    from layfigure.workroom.still_body import still_picture

    shown = room.bodies.saved(_read(_text(room, wearer), wearer))
    svg = still_picture(shown.form.standing, _tape(shown, tape), view)
    return Response(svg, media_type="image/svg+xml")


@router.post("/api/wearers/{wearer}/body")
def try_on(room: OpenRoom, wearer: WearerSlug, trying: Trying) -> Response:
    """The body she would have with a measure that is still being typed. Writes nothing.

    The header tells whether it was ``found``; asked for ``soon``, it may be only about where it will be.
    """
    text = _text(room, wearer)
    typed = _with_units(text, wearer, trying.measure, trying.readings)
    person = edits.tried(text, trying.measure, typed, file=f"{wearer}.toml")
    before = _read(text, wearer)
    shown = room.bodies.trial(person, before, soon=trying.soon)
    lines = _tape(shown, trying.tape or trying.measure)
    told = {"average": not person.measures, "found": shown.found}
    answer = _packed(shown, lines, told, sitting=trying.sitting)
    answer.background = BackgroundTask(room.bodies.look_back)
    return answer


def _packed(
    shown: ShownBody,
    lines: list[DrawnLine],
    told: dict[str, Any],
    *,
    skin: bool = True,
    sitting: bool = False,
) -> Response:
    surface = shown.form.standing.vertices
    surface = surface if skin else surface[:0]
    if sitting:
        pose = sitting_pose(shown.form)
        surface, lines = pose(surface), [replace(line, points=pose(line.points)) for line in lines]
    return Response(packed(surface, lines, told), media_type=BINARY)


def _tape(shown: ShownBody, name: str) -> list[DrawnLine]:
    """Where a measure's tape runs; of a paired one, on both sides."""
    from layfigure.body.tape_route import tape_route

    stored = CATALOGUE[name].sided() if name in CATALOGUE else (name,)
    return [
        DrawnLine(one, "tape", route.points, route.closed)
        for one in stored
        for route in tape_route(shown.standing, one)
    ]


def _edges(room: Room, wearer: str) -> list[DrawnLine]:
    """The costume's edges on her; none where they cannot be placed yet, which other pages say."""
    try:
        placed = room.work(wearer).placed.value()
    except LayfigureError:
        return []
    return [DrawnLine(slug, "edge", edge.line, edge.edge.closed) for slug, edge in placed.edges.items()]


def _with_measure(text: str, wearer: str, name: str, readings: Readings) -> str:
    typed = _with_units(text, wearer, name, readings)
    return edits.measured(text, name, typed, file=f"{wearer}.toml")


def _with_units(text: str, wearer: str, name: str, readings: Readings) -> Readings:
    unit = _read(text, wearer).unit
    known = name if name in CATALOGUE else "stature"  # an unknown one is refused later, in words
    return {hand: [edits.with_unit(one, known, unit) for one in given] for hand, given in readings.items()}


def _file(wearer: str) -> str:
    return f"{WEARERS}/{wearer}.toml"


def _text(room: Room, wearer: str) -> str:
    """The text of her file. Raises a 404 where there is none."""
    return _text_and_revision(room, wearer)[0]


def _text_and_revision(room: Room, wearer: str) -> tuple[str, str]:
    content = room.store.read(_file(wearer))
    if content is None:
        raise HTTPException(404)
    try:
        return content.decode("utf-8-sig"), revision_of(content)
    except UnicodeDecodeError:
        raise FileSyntaxError(
            "the file is not UTF-8 text.", where=f"{wearer}.toml", advice="Save it as UTF-8."
        ) from None


def _read(text: str, wearer: str) -> Wearer:
    return edits.wearer_of(text, f"{wearer}.toml")


def _write(room: Room, wearer: str, what: str, after: str | None, revision: str, edit: Edit) -> None:
    """Write her file. revision : that ``after`` was made from; the page's own counts where it says one."""
    file = _file(wearer)
    content = None if after is None else after.encode()
    room.store.write(what, {file: content}, {file: edit.base.get(file, revision)})


def _bare(stored: str) -> str:
    stem, _, side = stored.rpartition("_")
    return stem if side in ("left", "right") and stem in CATALOGUE else stored
