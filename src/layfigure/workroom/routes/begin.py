"""Beginning: one piece now from a few tapes, or a costume."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Request
from fastapi.responses import FileResponse, Response
from pydantic import BaseModel, Field
from starlette.exceptions import HTTPException

from layfigure.errors import MeasureError, MeasureMissing, UnitError
from layfigure.told_lengths import unit_typed
from layfigure.units import parse_length
from layfigure.workroom.cutting_table import PAPER
from layfigure.workroom.pages import page
from layfigure.workroom.room import Room
from layfigure.workroom.routes.asked import OpenRoom, Slug, saved

router = APIRouter(tags=["begin"])

QUICK = "quick"
"""Folder of the pieces made from a few tapes; it holds sizes, and is never shared."""

PaperName = Literal["a4", "letter", "a0", "projector"]


class QuickPiece(BaseModel, extra="forbid"):
    """One piece now. tapes : as typed, ``24 cm`` or ``9 1/2 in``, by the names its recipe asks for."""

    kind: Slug
    tapes: Annotated[dict[Slug, Annotated[str, Field(max_length=40)]], Field(max_length=12)]
    paper: PaperName = "a4"


@router.get("/", include_in_schema=False)
def begin(request: Request) -> Response:
    """The first page."""
    return page(request, "begin.html.j2", moment="begin")


@router.get("/api/standing")
def how_far(room: OpenRoom) -> dict[str, Any]:
    """How far the costume is, and what comes next."""
    from layfigure.workroom.next_step import standing

    return {**saved(room), **standing(room.costume()).as_data()}


@router.get("/api/recipes")
def recipes() -> dict[str, Any]:
    """Every piece that needs nothing but a few tapes. tapes : name to where the tape runs."""
    from layfigure.draft.quick.piece import quick_recipes

    return {
        "recipes": [
            {"kind": name, "summary": recipe.summary, "tapes": dict(recipe.tapes)}
            for name, (_, recipe) in quick_recipes().items()
        ]
    }


@router.post("/api/quick/look")
def look_at(wanted: QuickPiece) -> dict[str, Any]:
    """What one piece will be: its drawing as SVG in mm, how many sheets it prints on, what a check says.

    Writes nothing.
    """
    from layfigure.draft.failed_check import failure_line
    from layfigure.drawing.paper.pattern_pdf import sheet_count
    from layfigure.drawing.paper.sizes import find_paper
    from layfigure.drawing.svg import svg_of
    from layfigure.pipeline.one_piece import quick_look

    result, heading = quick_look(wanted.kind, _sizes(wanted), unit=unit_typed(wanted.tapes.values()))
    with PAPER:
        sheets = sheet_count(result.pieces, find_paper(wanted.paper), heading)
    return {
        "svg": svg_of(result.pieces, heading),
        "sheets": sheets,
        "pieces": [
            {
                "label": piece.label,
                "count": piece.count,
                "note": list(piece.note),
                "cautions": list(piece.cautions),
            }
            for piece in result.pieces
        ],
        "remarks": [failure_line(wanted.kind, check) for check in result.checks if not check.passed],
    }


@router.post("/api/quick")
def make_quick(room: OpenRoom, wanted: QuickPiece) -> dict[str, Any]:
    """Write one piece's pattern, SVG and DXF; a task whose result says the files and the sheets."""
    from layfigure.pipeline.one_piece import make_one_piece
    from layfigure.workroom.background import Task

    sizes, unit = _sizes(wanted), unit_typed(wanted.tapes.values())

    def work(_: Task) -> dict[str, Any]:
        folder = room.store.root / QUICK / wanted.kind
        folder.parent.mkdir(exist_ok=True)
        # Whoever asks again meanwhile waits: the folder is swapped whole, and listed as it was written.
        with PAPER:
            done = make_one_piece(wanted.kind, sizes, folder, paper=wanted.paper, unit=unit)
            names = sorted(path.name for path in folder.iterdir() if path.suffix in SERVED)
        return {
            "sheets": done.sheets,
            "files": [{"name": name, "address": f"/quick/{wanted.kind}/{name}"} for name in names],
        }

    return room.background.begin(f"make a {wanted.kind.replace('_', ' ')}", work, group="quick").as_data()


SERVED = {".pdf": "application/pdf", ".svg": "image/svg+xml", ".dxf": "image/vnd.dxf"}
"""Results that are handed out, with their media types (DXF: IANA's registry)."""


@router.get("/quick/{kind}/{name}", include_in_schema=False)
def quick_file(room: OpenRoom, kind: Slug, name: str) -> Response:
    """A file of a piece made from tapes."""
    return result_file(room, f"{QUICK}/{kind}", name)


def result_file(room: Room, folder: str, name: str) -> Response:
    """A file of results by its plain name. Raises a 404 for any other."""
    try:
        found = {path.name: path for path in (room.store.root / folder).iterdir()}
    except OSError:
        # Nothing was made yet, or the folder is being swapped for a newer one.
        found = {}
    path = found.get(name)
    if path is None or path.suffix not in SERVED or not path.is_file() or path.is_symlink():
        raise HTTPException(404)
    return FileResponse(
        path, media_type=SERVED[path.suffix], filename=name, content_disposition_type="inline"
    )


def _sizes(wanted: QuickPiece) -> dict[str, float]:
    """Tapes in mm. Raises MeasureError, MeasureMissing that name the tape and never repeat its size."""
    sizes: dict[str, float] = {}
    for name, typed in wanted.tapes.items():
        if not typed.strip():
            raise MeasureMissing(
                "this tape is still to be taken.", where=name, advice="Type it with its unit."
            )
        try:
            sizes[name] = parse_length(typed)
        except UnitError:
            raise MeasureError(
                "it is not one number with its unit.",
                where=name,
                advice='Write it like "24 cm" or "9 1/2 in".',
            ) from None
    return sizes
