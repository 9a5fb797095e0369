"""One piece now, through the workroom's requests."""

from __future__ import annotations

import time
from pathlib import Path

import pypdfium2
import pytest
from starlette.testclient import TestClient

from layfigure.workroom.next_step import _next

TAPES = {"wrist_girth": "16 cm", "forearm_girth": "26 cm", "forearm_length": "9 1/2 in"}


def test_every_recipe_says_where_its_tapes_run(client: TestClient) -> None:
    recipes = client.get("/api/recipes").json()["recipes"]
    assert {recipe["kind"] for recipe in recipes} >= {"forearm_guard", "belt", "cape", "pouch"}
    assert all(place for recipe in recipes for place in recipe["tapes"].values())


def test_a_guard_is_shown_with_its_sheets_and_then_printed(client: TestClient, root: Path) -> None:
    wanted = {"kind": "forearm_guard", "tapes": TAPES, "paper": "a4"}
    seen = client.post("/api/quick/look", json=wanted).json()
    assert seen["svg"].startswith("<?xml") or seen["svg"].startswith("<svg")
    assert not (root / "quick").exists()
    task = client.post("/api/quick", json=wanted).json()
    for _ in range(40):
        task = client.get(f"/api/tasks/{task['number']}?wait=true").json()
        if task["state"] != "running":
            break
        time.sleep(0.01)
    assert task["state"] == "done", task
    assert task["result"]["sheets"] == seen["sheets"]
    (pdf,) = [file["address"] for file in task["result"]["files"] if file["name"].endswith(".pdf")]
    answer = client.get(pdf)
    assert answer.headers["content-type"] == "application/pdf"
    with pypdfium2.PdfDocument(answer.content) as document:
        assert len(document) == seen["sheets"]


@pytest.mark.parametrize("size", ["16", "sixteen", "16 16 cm", "16 cm; 17 cm"])
def test_a_tape_that_cannot_be_read_is_named_and_not_repeated(client: TestClient, size: str) -> None:
    tapes = {**TAPES, "wrist_girth": size}
    answer = client.post("/api/quick/look", json={"kind": "forearm_guard", "tapes": tapes})
    assert answer.status_code == 422
    assert answer.json()["where"] == "wrist_girth"
    assert size not in answer.json()["what"]


def test_an_unknown_piece_is_refused_with_what_there_is(client: TestClient) -> None:
    answer = client.post("/api/quick/look", json={"kind": "forearm_gard", "tapes": TAPES})
    assert answer.status_code == 422
    assert "forearm_guard" in answer.json()["advice"]


def test_a_request_that_is_no_request_is_refused_without_repeating_it(client: TestClient) -> None:
    answer = client.post("/api/quick/look", json={"kind": "forearm_guard", "tapes": {"wrist_girth": 160.25}})
    assert answer.status_code == 422
    assert "160" not in answer.text


def test_the_state_names_costume_and_wearers(client: TestClient, root: Path) -> None:
    state = client.get("/api/state").json()
    assert state["wearers"] == ["ostrander", "quillfeather"]
    assert state["problem"] is None
    (root / "costume.toml").write_text("format = 1\nname = \n", encoding="utf-8")
    problem = client.get("/api/state").json()["problem"]
    assert "line 2" in problem["where"]
    assert client.get("/").status_code == 200


def test_the_demonstration_is_ready_to_cut(client: TestClient) -> None:
    far = client.get("/api/standing").json()
    assert far["next"]["moment"] == "cut"
    assert far["pictures"] == 4
    assert far["pieces"] > 10
    assert set(far["tapes"]) == {"Ostrander", "Quillfeather"}


def test_a_new_costume_is_led_from_moment_to_moment() -> None:
    stages = [
        ({"pictures": 0, "points": 0, "marked": False, "edges": 0, "pieces": 0, "tapes": 0}, "look"),
        ({"pictures": 1, "points": 3, "marked": True, "edges": 1, "pieces": 0, "tapes": 0}, "look"),
        ({"pictures": 1, "points": 16, "marked": True, "edges": 1, "pieces": 0, "tapes": 1}, "measure"),
        ({"pictures": 0, "points": 0, "marked": False, "edges": 2, "pieces": 0, "tapes": 4}, "costume"),
        ({"pictures": 0, "points": 0, "marked": False, "edges": 2, "pieces": 1, "tapes": 4}, "cut"),
    ]
    for stage, moment in stages:
        assert _next(**stage)[0] == moment
    assert "13 more points" in _next(**stages[1][0])[1]
