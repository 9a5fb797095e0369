"""The cutting table: every piece for one wearer, its drawing, its paper, and what is cut already."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Path, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field
from starlette.exceptions import HTTPException

from layfigure.body.bent_skin import sitting_pose
from layfigure.errors import DraftError
from layfigure.pipeline.cut_file import cut_text
from layfigure.pipeline.cut_pieces import standing
from layfigure.recompute.job import stop_if_cancelled
from layfigure.workroom.background import Task
from layfigure.workroom.cutting_table import (
    PAPER,
    cut_file,
    draft_for,
    drafted_last,
    read_cut,
    standing_as_data,
    table_as_data,
)
from layfigure.workroom.pages import page
from layfigure.workroom.routes.asked import Edit, OpenRoom, WearerSlug, known_wearer, saved
from layfigure.workroom.routes.begin import PaperName, result_file

router = APIRouter(tags=["cut"])

PRINTED = "printed"
"""Folder of what was printed or exported from here; it shows sizes, and is never shared."""

PieceSlug = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=160)]
Chosen = Annotated[list[PieceSlug], Field(max_length=1000)]
FileKind = Literal["pdf", "svg", "dxf"]


class Wanted(BaseModel, extra="forbid"):
    """Some pieces on a paper. pieces : by slug, all when empty. kind : what file they become."""

    pieces: Chosen = []
    paper: PaperName = "a4"
    kind: FileKind = "pdf"


class CutMark(Edit, extra="forbid"):
    """Mark a piece as cut, or not cut. fingerprint : of the piece as the page shows it."""

    piece: PieceSlug
    cut: bool
    fingerprint: Annotated[str, Field(max_length=40)]


@router.get("/cut", include_in_schema=False)
@router.get("/cut/{wearer}", include_in_schema=False)
def cutting_table(request: Request, wearer: str = "") -> Response:
    """The page."""
    return page(request, "cut.html.j2", moment="cut", wearer=wearer)


@router.get("/api/cut")
def wearers(room: OpenRoom) -> dict[str, Any]:
    """Who there is to cut for, and what every kind of line means."""
    from layfigure.drawing.paper.sizes import PAPERS
    from layfigure.piece.ink import STYLES

    return {
        **saved(room),
        "wearers": list(room.costume().wearers),
        "papers": list(PAPERS),
        "inks": {
            ink: {"width": style.width, "dash": list(style.dash), "meaning": style.meaning}
            for ink, style in STYLES.items()
        },
    }


@router.post("/api/draft/{wearer}")
def draft(room: OpenRoom, wearer: WearerSlug) -> dict[str, Any]:
    """Draft every piece for one wearer; a task whose result is the whole cutting table."""
    known_wearer(room, wearer)

    def work(task: Task) -> dict[str, Any]:
        return table_as_data(room, draft_for(room, wearer, task))

    return room.background.begin("draft the pieces", work, group=f"draft:{wearer}").as_data()


@router.get("/api/table/{wearer}")
def table(room: OpenRoom, wearer: WearerSlug) -> dict[str, Any]:
    """What was drafted last, with what is cut now; drafted : whether from the files as they are."""
    drafted = drafted_last(room, wearer)
    now = room.store.revisions()
    made = dict(drafted.revisions)
    for revisions in (now, made):
        revisions.pop(cut_file(wearer), None)
    return {**saved(room), **table_as_data(room, drafted), "drafted": made == now}


@router.get("/api/drawings/{wearer}/{piece}.svg", response_class=Response)
def drawing(room: OpenRoom, wearer: WearerSlug, piece: Annotated[PieceSlug, Path()]) -> Response:
    """One piece as drafted last, true to size: SVG in mm, a group for every kind of line."""
    from layfigure.pipeline.table_paper import piece_drawing

    drafted = drafted_last(room, wearer)
    found = drafted.pieces.get(piece)
    if found is None:
        raise HTTPException(404)
    text = piece_drawing(room.graph, found, drafted.heading)
    return Response(text, media_type="image/svg+xml")


@router.get("/api/fit/{wearer}/{piece}", response_class=Response)
def fit(
    room: OpenRoom, wearer: WearerSlug, piece: Annotated[PieceSlug, Path()], sitting: bool = False
) -> Response:
    """How the statement of a piece drafted last sits on its wearer, see ``worn_fit``.

    404 where nothing says how it lies.
    """
    from layfigure.workroom.worn_fit import fit_packed, worn_fit

    drafted = drafted_last(room, wearer)
    found = next(
        (slug for slug, result in drafted.results.items() if any(one.slug == piece for one in result.pieces)),
        None,
    )
    told = None if found is None else worn_fit(drafted.work, found, drafted.results[found])
    if told is None:
        raise HTTPException(404, "Nothing says how this piece lies on the body.")
    pose = sitting_pose(drafted.work.body.value().form) if sitting else None
    return Response(fit_packed(told, pose), media_type="application/octet-stream")


@router.get("/api/cloth/{wearer}/{piece}")
def cloth(room: OpenRoom, wearer: WearerSlug, piece: Annotated[PieceSlug, Path()]) -> dict[str, Any]:
    """What wearing asks of a piece's cloth, see ``cloth_works``; no fields where none are known."""
    from layfigure.workroom.cloth_works import fields_as_data

    drafted = drafted_last(room, wearer)
    found = drafted.pieces.get(piece)
    if found is None:
        raise HTTPException(404)
    return {"fields": fields_as_data(drafted, found)}


@router.post("/api/sheets/{wearer}")
def sheets(room: OpenRoom, wearer: WearerSlug, wanted: Wanted) -> dict[str, Any]:
    """How many sheets it will be, and how they are joined; a task, for many pieces take a while.

    Its result: sheets, joined (pages of the pattern itself), preview (SVG of the joined sheet).
    """
    from layfigure.drawing.paper.sizes import find_paper
    from layfigure.pipeline.table_paper import draw_pieces, sheet_plan

    drafted = drafted_last(room, wearer)
    pieces = drafted.chosen(wanted.pieces)

    def work(task: Task) -> dict[str, Any]:
        stop_if_cancelled(task)
        draw_pieces(room.graph, pieces, drafted.heading, task, room.pool() if len(pieces) > 1 else None)
        with PAPER:
            task.progress(0.9, "laying the pieces on sheets")
            plan = sheet_plan(room.graph, pieces, find_paper(wanted.paper), drafted.heading)
        return {"sheets": plan.sheets, "joined": plan.joined, "preview": plan.preview}

    return room.background.begin("count the sheets", work, group=f"sheets:{wearer}").as_data()


@router.post("/api/print/{wearer}")
def print_pieces(room: OpenRoom, wearer: WearerSlug, wanted: Wanted) -> dict[str, Any]:
    """Write a pattern or an exchange file; a task whose result says where it is and how many sheets."""
    from layfigure.drawing.paper.sizes import find_paper
    from layfigure.files.write import write_bytes, write_text
    from layfigure.pipeline.table_paper import draw_pieces, pieces_file, sheet_plan

    drafted = drafted_last(room, wearer)
    pieces = drafted.chosen(wanted.pieces)

    def work(task: Task) -> dict[str, Any]:
        count = None
        paper = find_paper(wanted.paper)
        stop_if_cancelled(task)
        draw_pieces(room.graph, pieces, drafted.heading, task, room.pool() if len(pieces) > 1 else None)
        with PAPER:
            task.progress(0.7, "writing the file")
            content = pieces_file(room.graph, pieces, wanted.kind, paper, drafted.heading)
            if wanted.kind == "pdf":
                count = sheet_plan(room.graph, pieces, paper, drafted.heading).sheets
        folder = room.store.root / PRINTED
        folder.mkdir(exist_ok=True)
        if not (folder / ".gitignore").exists():
            write_text(folder / ".gitignore", "# Patterns show the wearer's sizes.\n*\n")
        name = file_name(wearer, wanted)
        write_bytes(folder / name, content)
        return {"name": name, "address": f"/{PRINTED}/{name}", "sheets": count}

    return room.background.begin("print", work, group=f"print:{wearer}").as_data()


@router.get("/printed/{name}", include_in_schema=False)
def printed_file(room: OpenRoom, name: str) -> Response:
    """A file that was printed or exported from here."""
    return result_file(room, PRINTED, name)


@router.post("/api/cut/{wearer}")
def mark_as_cut(room: OpenRoom, wearer: WearerSlug, mark: CutMark) -> dict[str, Any]:
    """Mark a piece as cut, as it is shown; answers how it stands, null for one that is not cut.

    Raises DraftError where the piece has changed since the page showed it.
    """
    known_wearer(room, wearer)
    cut = read_cut(room, wearer)
    piece = room.drafted[wearer].as_cut.get(mark.piece) if wearer in room.drafted else None
    if not mark.cut:
        cut.pop(mark.piece, None)
    else:
        if piece is None or piece.fingerprint != mark.fingerprint:
            raise DraftError(
                "the piece is another by now than the page shows.",
                where=f"piece {mark.piece}",
                advice="Look at it again, then mark it.",
            )
        cut[mark.piece] = piece
    name = cut_file(wearer)
    label = mark.piece.replace("_", " ") if piece is None else piece.label
    what = f"mark {label} as {'cut' if mark.cut else 'not cut'}"
    room.store.write(what, {name: cut_text(cut).encode()}, mark.base)
    stands = standing(cut[mark.piece], piece) if mark.cut else None
    return {**saved(room), "cut": None if stands is None else standing_as_data(stands)}


def file_name(wearer: str, wanted: Wanted) -> str:
    """``ada-shin_guard-a4.pdf``: whose, what of, on which paper."""
    what = "all" if not wanted.pieces else wanted.pieces[0] if len(wanted.pieces) == 1 else "some-pieces"
    paper = f"-{wanted.paper}" if wanted.kind == "pdf" else ""
    return f"{wearer}-{what}{paper}.{wanted.kind}"
