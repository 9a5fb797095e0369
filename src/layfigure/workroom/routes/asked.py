"""What requests have in common."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import Depends, Request
from pydantic import BaseModel, Field

from layfigure.workroom.room import Room


async def _room(request: Request) -> Room:
    # Asked for with every request: what is not awaitable would first wait for a thread of its own.
    room = request.app.state.room
    assert isinstance(room, Room)
    return room


OpenRoom = Annotated[Room, Depends(_room)]
"""The open costume, for a route that asks for it."""

Slug = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=60)]
WearerSlug = Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9_-]*$", max_length=60)]

Base = Annotated[dict[str, str], Field(max_length=60)]


class Edit(BaseModel, extra="forbid"):
    """What every edit carries. base : revision of each file that the page had read."""

    base: Base = {}


def known_wearer(room: Room, wearer: str) -> None:
    """Raise FileError listing the wearers for one that is not there."""
    room.costume().wearer(wearer)


def saved(room: Room) -> dict[str, Any]:
    """What every edit answers: the files' revisions now, and what undo and redo would do."""
    undo, redo = room.store.next_steps()
    return {"revisions": room.store.revisions(), "undo": undo, "redo": redo}
