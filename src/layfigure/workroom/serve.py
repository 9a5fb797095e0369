"""Running the workroom: a port of this machine, a browser, and an end when the maker stops it."""

from __future__ import annotations

import socket
import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path

from layfigure.errors import OutputError
from layfigure.workroom.app import create_app
from layfigure.workroom.guard import Keys
from layfigure.workroom.room import Room

LOOPBACK = "127.0.0.1"
EVERYWHERE = "0.0.0.0"  # noqa: S104 - only with a password, on the maker's word


def listening(port: int, *, password: str | None) -> socket.socket:
    """A socket on this machine alone, or with a password on the network. port : 0 for any free one.

    Raises OutputError where the port is taken.
    """
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        found.bind((LOOPBACK if password is None else EVERYWHERE, port))
    except OSError as error:
        found.close()
        raise OutputError(
            f"port {port} cannot be used.", where="--port", advice="Leave --port out to take a free one."
        ) from error
    return found


def serve(
    folder: Path,
    *,
    port: int = 0,
    password: str | None = None,
    browser: bool = True,
    tell: Callable[[str], None] = print,
) -> None:
    """Serve one costume's workroom until it is interrupted. tell : is given the address to open."""
    import uvicorn

    keys = Keys(password=password)
    door = listening(port, password=password)
    number = door.getsockname()[1]
    address = f"http://{LOOPBACK}:{number}/?key={keys.door}"
    room = Room(folder)
    config = uvicorn.Config(
        create_app(room, keys), log_level="warning", access_log=False, server_header=False
    )
    server = uvicorn.Server(config)
    tell(address)
    if browser:
        threading.Timer(0.4, webbrowser.open, [address]).start()
    try:
        server.run(sockets=[door])
    finally:
        room.close()
        door.close()
