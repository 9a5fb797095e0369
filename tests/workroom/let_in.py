"""A client that a workroom lets in, as it does a page of its own."""

from __future__ import annotations

from starlette.testclient import TestClient

from layfigure.workroom.app import create_app
from layfigure.workroom.guard import COOKIE, TOKEN_HEADER, Keys
from layfigure.workroom.room import Room


def let_in(room: Room, keys: Keys | None = None) -> TestClient:
    """Asks over a room, to be used as a context manager; it follows no redirect."""
    keys = keys or Keys()
    return TestClient(
        create_app(room, keys),
        base_url="http://localhost",
        headers={TOKEN_HEADER: keys.token},
        cookies={COOKIE: keys.door},
        follow_redirects=False,
    )
