"""A small costume, all in words, and a client that is let in."""

from pathlib import Path

import pytest
from tests.workroom.let_in import let_in

from layfigure.pipeline.new_costume import start_costume
from layfigure.recompute.cache import Cache
from layfigure.recompute.graph import Graph
from layfigure.workroom.room import Room


@pytest.fixture
def folder(tmp_path) -> Path:
    """A costume as ``layfigure new`` writes it: one forearm guard."""
    start_costume(tmp_path / "costume")
    return tmp_path / "costume"


@pytest.fixture
def room(folder, tmp_path) -> Room:
    opened = Room(folder, graph=Graph(Cache(tmp_path / "cache")))
    opened.pool = lambda: None
    return opened


@pytest.fixture
def client(room):
    with let_in(room) as made:
        yield made


@pytest.fixture
def done(client):
    """``done(answer)``: the result of the task that an answer began."""

    def wait(answer):
        assert answer.status_code == 200, answer.text
        number = answer.json()["number"]
        for _ in range(300):
            task = client.get(f"/api/tasks/{number}?wait=true").json()
            if task["state"] not in ("waiting", "running"):
                assert task["state"] == "done", task
                return task["result"]
        raise AssertionError("the task never ended")

    return wait
