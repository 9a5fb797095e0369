"""A workroom over a copy of the demonstration, asked without a network."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.workroom.let_in import let_in

from layfigure.recompute.cache import Cache
from layfigure.recompute.graph import Graph
from layfigure.workroom.room import Room

BRINDLE = Path(__file__).parents[3] / "examples" / "brindle"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the demonstration's costume."""
    return Path(shutil.copytree(BRINDLE, tmp_path / "brindle"))


@pytest.fixture
def client(folder: Path, tmp_path: Path) -> Iterator[TestClient]:
    """A browser that is let in."""
    with let_in(Room(folder, graph=Graph(Cache(tmp_path / "cache")))) as client:
        yield client
