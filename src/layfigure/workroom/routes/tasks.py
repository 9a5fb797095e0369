"""Long work, watched and cancelled."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path
from starlette.exceptions import HTTPException

from layfigure.workroom.background import Task
from layfigure.workroom.room import Room
from layfigure.workroom.routes.asked import OpenRoom

router = APIRouter(prefix="/api/tasks", tags=["tasks"])

Number = Annotated[str, Path(pattern=r"^[0-9a-f]{16}$")]
LONGEST_WAIT = 1.0
"""A page that watches is answered at the latest after so long [s]."""


@router.get("/{number}")
def task(room: OpenRoom, number: Number, wait: bool = False) -> dict[str, Any]:
    """How far a task is. wait : answer when it ends, or after a second."""
    found = _found(room, number)
    if wait:
        found.finished.wait(LONGEST_WAIT)
    return found.as_data()


@router.delete("/{number}")
def cancel(room: OpenRoom, number: Number) -> dict[str, Any]:
    """Ask a task to stop."""
    found = _found(room, number)
    found.cancel()
    return found.as_data()


def _found(room: Room, number: str) -> Task:
    found = room.background.find(number)
    if found is None:
        raise HTTPException(404)
    return found
