"""Buying: what a wearer's costume takes, how it is laid, what it comes to, and another material tried."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated, Any

from fastapi import APIRouter, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from layfigure.pipeline.kept_layouts import layouts_folder
from layfigure.recompute.job import stop_if_cancelled
from layfigure.workroom.background import Task
from layfigure.workroom.cutting_table import draft_for
from layfigure.workroom.pages import page
from layfigure.workroom.room import Room
from layfigure.workroom.routes.asked import OpenRoom, Slug, WearerSlug, known_wearer, saved
from layfigure.workroom.routes.begin import result_file

router = APIRouter(tags=["buy"])

RESULTS = "out"
"""Folder of results, shared with the command line: a layout searched there serves here."""

Seconds = Annotated[float, Field(ge=5.0, le=600.0)]


class Longer(BaseModel, extra="forbid"):
    """Search on for a better layout of one cloth."""

    cloth: Slug
    seconds: Seconds = 30.0


class Widths(BaseModel, extra="forbid"):
    """Widths of roll to hold against each other for one cloth."""

    cloth: Slug


class Instead(BaseModel, extra="forbid"):
    """A piece tried in another material."""

    piece: Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=160)]
    material: Slug


@router.get("/buy", include_in_schema=False)
@router.get("/buy/{wearer}", include_in_schema=False)
def buying_page(request: Request, wearer: str = "") -> Response:
    """The page."""
    return page(request, "buy.html.j2", moment="buy", wearer=wearer)


@router.get("/api/buy")
def wearers(room: OpenRoom) -> dict[str, Any]:
    """Who there is to buy for, the pieces, and the materials one may be tried in."""
    folder = room.costume()
    return {
        **saved(room),
        "wearers": list(folder.wearers),
        "pieces": [
            {"slug": piece.slug, "name": piece.called, "material": piece.cloth}
            for piece in folder.costume.pieces
            if piece.cloth
        ],
        "materials": {slug: cloth.name for slug, cloth in folder.cloths.items()},
    }


@router.get("/api/colours")
def colours(room: OpenRoom) -> dict[str, Any]:
    """Which colours match, from ``colours.toml``; colours : null where none are described."""
    from layfigure.colour.words import UNITS
    from layfigure.pipeline.colours import costume_colours

    section = costume_colours(room.store.root)
    return {**saved(room), "colours": None if section is None else asdict(section), "units": UNITS}


@router.post("/api/buy/{wearer}")
def list_it(room: OpenRoom, wearer: WearerSlug) -> dict[str, Any]:
    """Draft, lay and list; a task whose result is the whole page."""
    known_wearer(room, wearer)

    def work(task: Task) -> dict[str, Any]:
        from layfigure.pipeline.buying import bought
        from layfigure.pipeline.kept_layouts import keep_layouts

        drafted = draft_for(room, wearer, task)
        stop_if_cancelled(task)
        task.progress(0.9, "laying the pieces")
        place = _place(room, wearer)
        buying = bought(drafted.work, drafted.results, place)
        if buying.laid.cloths:
            keep_layouts(buying.laid, drafted.work, place)
        return _as_data(room, wearer, buying)

    return room.background.begin("list what to buy", work, group=f"buy:{wearer}").as_data()


@router.post("/api/buy/{wearer}/longer")
def search_on(room: OpenRoom, wearer: WearerSlug, longer: Longer) -> dict[str, Any]:
    """Search on for one cloth; a task. Stopped, it keeps the best so far. Its result: the page."""
    known_wearer(room, wearer)

    def work(task: Task) -> dict[str, Any]:
        from layfigure.lay.settings import LaySettings
        from layfigure.pipeline.buying import bought
        from layfigure.pipeline.laying import lay_costume

        drafted = draft_for(room, wearer, task)
        settings = LaySettings(seconds=longer.seconds, again=True)
        place = _place(room, wearer)
        lay_costume(drafted.work, place, settings, task, only=(longer.cloth,), drafts=dict(drafted.results))
        return _as_data(room, wearer, bought(drafted.work, drafted.results, place))

    return room.background.begin("search for a better layout", work, group=f"buy:{wearer}").as_data()


@router.post("/api/buy/{wearer}/widths")
def compare(room: OpenRoom, wearer: WearerSlug, asked: Widths) -> dict[str, Any]:
    """Usual widths of one cloth, folded and single; a task, which writes nothing.

    Its result: cloth, and rows (width, how it is laid, what it takes, its area), by first layouts.
    """
    known_wearer(room, wearer)

    def work(task: Task) -> dict[str, Any]:
        from layfigure.pipeline.buying import FIRST
        from layfigure.pipeline.compared_widths import compare_widths

        drafted = draft_for(room, wearer, task)
        unit = drafted.work.wearer.unit
        rows = compare_widths(drafted.work, FIRST, task, only=(asked.cloth,), drafts=dict(drafted.results))
        return {"cloth": asked.cloth, "rows": [row.words(unit)[1:] for row in rows]}

    return room.background.begin("compare widths", work, group=f"buy:{wearer}").as_data()


@router.post("/api/buy/{wearer}/instead")
def try_instead(room: OpenRoom, wearer: WearerSlug, instead: Instead) -> dict[str, Any]:
    """What another material for a piece would change; a task, which writes nothing.

    Its result: now and then (names), refused (why not), rows (what, now, then).
    """
    known_wearer(room, wearer)

    def work(task: Task) -> dict[str, Any]:
        from layfigure.pipeline.buying import instead_of
        from layfigure.shop.instead import way_rows

        asked = instead.piece, instead.material
        now, then = instead_of(room.work(wearer), *asked, _place(room, wearer), job=task)
        currency = room.costume().stock.currency
        rows = [] if then.refused else way_rows(now, then, currency)
        return {"now": now.name, "then": then.name, "refused": then.refused, "rows": rows}

    return room.background.begin("try another material", work, group=f"instead:{wearer}").as_data()


@router.get("/layouts/{wearer}/{name}", include_in_schema=False)
def layout_file(room: OpenRoom, wearer: WearerSlug, name: str) -> Response:
    """A drawing of a layout, or all of them to print."""
    known_wearer(room, wearer)
    return result_file(room, str(_place(room, wearer).relative_to(room.store.root)), name)


def _as_data(room: Room, wearer: str, buying: Any) -> dict[str, Any]:
    from layfigure.lay.amount import amount_words
    from layfigure.report.buying_words import buying_words

    folder = room.costume()
    names = {piece.slug: piece.label for piece in folder.costume.pieces if piece.label}
    unit = folder.wearer(wearer).unit
    layouts = [
        {
            "cloth": slug,
            "name": folder.cloths[slug].name,
            "buy": amount_words(cloth.amount, unit),
            "remark": cloth.amount.remark,
            "seconds": round(cloth.layout.seconds),
            "roll": folder.stock.supply(slug).sold_as == "roll",
            "drawings": [
                f"/layouts/{wearer}/{slug}-{number}.svg"
                for number in range(1, len(cloth.layout.sections) + 1)
            ],
        }
        for slug, cloth in buying.laid.cloths.items()
    ]
    return {
        **asdict(buying_words(buying, unit, names)),
        "cautions": list(buying.cautions),
        "layouts": layouts,
        "paper": f"/layouts/{wearer}/layouts.pdf",
    }


def _place(room: Room, wearer: str) -> Any:
    return layouts_folder(room.store.root / RESULTS, room.costume(), wearer)
