"""A workroom over a copy of the demonstration, asked without a network."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from layfigure.recompute.cache import Cache
from layfigure.recompute.graph import Graph
from layfigure.workroom.app import create_app
from layfigure.workroom.guard import COOKIE, TOKEN_HEADER, Keys
from layfigure.workroom.room import Room

BRINDLE = Path(__file__).parents[3] / "examples" / "brindle"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the demonstration's costume."""
    return Path(shutil.copytree(BRINDLE, tmp_path / "brindle"))


@pytest.fixture
def client(folder: Path, tmp_path: Path) -> Iterator[TestClient]:
    """A browser that is let in."""
    keys = Keys()
    app = create_app(Room(folder, graph=Graph(Cache(tmp_path / "cache"))), keys)
    with TestClient(app, base_url="http://localhost", headers={TOKEN_HEADER: keys.token}) as client:
        client.cookies.set(COOKIE, keys.door)
        yield client
