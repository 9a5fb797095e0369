"""The workroom in Debian's Chromium, over a copy of a costume.

Without Chromium these tests are skipped with one line, unless LAYFIGURE_BROWSER=required.
"""

from __future__ import annotations

import os
import shutil
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import pytest
import uvicorn
from playwright.sync_api import Browser, ConsoleMessage, Page, sync_playwright

from layfigure.recompute.cache import Cache
from layfigure.recompute.graph import Graph
from layfigure.workroom.app import create_app
from layfigure.workroom.guard import Keys
from layfigure.workroom.room import Room
from layfigure.workroom.serve import listening

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or ""
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@contextmanager
def served(root: Path) -> Iterator[str]:
    """A workroom over a folder; yields the address that lets a browser in."""
    keys = Keys()
    door = listening(0, password=None)
    room = Room(root, graph=Graph(Cache()))
    server = uvicorn.Server(uvicorn.Config(create_app(room, keys), log_level="warning", access_log=False))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [door]}, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    try:
        yield f"http://127.0.0.1:{door.getsockname()[1]}/?key={keys.door}"
    finally:
        server.should_exit = True
        thread.join(timeout=20)
        room.close()
        door.close()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    if not CHROMIUM:
        hint = "no Chromium: install Debian's package chromium to run the workroom's browser tests"
        assert os.environ.get("LAYFIGURE_BROWSER") != "required", hint
        pytest.skip(hint)
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield opened
        opened.close()


Opening = Callable[..., Page]


@pytest.fixture
def open_page(browser: Browser, root: Path) -> Iterator[Opening]:
    """``open_page(path, width=…, dark=…)``: a page of a workroom over ``root``.

    What a page logs as an error fails the test.
    """
    troubles: list[str] = []

    def heard(message: ConsoleMessage) -> None:
        # A refused request is logged by the browser itself; the tests look at what the page says of it.
        if message.type == "error" and "Failed to load resource" not in message.text:
            troubles.append(message.text)

    with ExitStack() as stack:
        address = stack.enter_context(served(root))

        def opening(path: str = "/", *, width: int = 1280, height: int = 900, dark: bool = False) -> Page:
            context = browser.new_context(
                viewport={"width": width, "height": height},
                color_scheme="dark" if dark else "light",
                reduced_motion="reduce",
                accept_downloads=True,
            )
            stack.callback(context.close)
            page = context.new_page()
            page.set_default_timeout(60_000)
            page.on("pageerror", lambda error: troubles.append(str(error)))
            page.on("console", heard)
            page.goto(address)
            if path != "/":
                page.goto(address.split("/?")[0] + path)
            return page

        yield opening
    assert not troubles, troubles
