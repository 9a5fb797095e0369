"""How the files stand, and taking edits back."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter

from layfigure.errors import LayfigureError
from layfigure.workroom.background import error_as_data
from layfigure.workroom.routes.asked import OpenRoom, saved

router = APIRouter(prefix="/api", tags=["state"])


@router.get("/state")
def state(room: OpenRoom) -> dict[str, Any]:
    """The costume at a glance, asked for again and again by an open page.

    problem : what a file says that cannot be used, or null.
    """
    data = saved(room)
    try:
        costume = room.costume()
    except LayfigureError as error:
        return {**data, "name": "", "wearers": [], "problem": error_as_data(error)}
    return {**data, "name": costume.costume.name, "wearers": list(costume.wearers), "problem": None}


@router.post("/undo")
def undo(room: OpenRoom) -> dict[str, Any]:
    """Take back the last edit. done : what it was, empty where there was none."""
    step = room.store.undo()
    return {**saved(room), "done": "" if step is None else step.what}


@router.post("/redo")
def redo(room: OpenRoom) -> dict[str, Any]:
    """Do again what was taken back."""
    step = room.store.redo()
    return {**saved(room), "done": "" if step is None else step.what}
