"""A workroom over a copy of a costume, asked without a network."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.workroom.let_in import let_in

from layfigure.recompute.cache import Cache
from layfigure.recompute.graph import Graph
from layfigure.workroom.guard import Keys
from layfigure.workroom.room import Room

DEMONSTRATION = Path(__file__).parents[2] / "examples" / "brindle"


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A copy of the demonstration's files."""
    place = tmp_path / "brindle"
    shutil.copytree(DEMONSTRATION, place, ignore=shutil.ignore_patterns("out", "quick"))
    return place


@pytest.fixture
def keys() -> Keys:
    return Keys()


@pytest.fixture
def room(root: Path) -> Iterator[Room]:
    opened = Room(root, graph=Graph(Cache()))
    yield opened
    opened.close()


@pytest.fixture
def client(room: Room, keys: Keys) -> Iterator[TestClient]:
    """Asks as a page of the workroom would."""
    with let_in(room, keys) as asking:
        yield asking
