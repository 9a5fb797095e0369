"""A recorded run of edits, as the pages of the workroom send them."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

from PIL import Image
from starlette.testclient import TestClient

Edit = Callable[[TestClient], None]


def _asked(method: str, path: str, body: dict[str, Any] | None = None) -> Edit:
    """An edit made from the files as they are."""

    def edit(client: TestClient) -> None:
        revisions = client.get("/api/state").json()["revisions"]
        sent = None if body is None else {**body, "base": revisions}
        answer = client.request(method, path, json=sent)
        assert answer.status_code < 300, f"{method} {path}: {answer.status_code} {answer.text}"

    return edit


def _dropped(client: TestClient) -> None:
    """A picture dropped in."""
    drawn = io.BytesIO()
    Image.new("RGB", (60, 90), "white").save(drawn, "PNG")
    sent = {"file": ("front.png", drawn.getvalue(), "image/png")}
    answer = client.post("/api/pictures", files=sent, data={"view": "front"})
    assert answer.status_code == 200, answer.text


def _measured(name: str, *readings: str) -> Edit:
    return _asked("PUT", f"/api/wearers/ada/measures/{name}", {"readings": {"both": list(readings)}})


POINTS = {"crown": [30.0, 5.0], "chin": [30.0, 16.5], "nape": None}

EDITS: list[Edit] = [
    _asked("POST", "/api/wearers", {"name": "Ada"}),
    _measured("stature", "168 cm"),
    _measured("waist_girth", "74 cm", "75 cm"),
    _asked("PUT", "/api/costume/edges/guard_top", {"words": "halfway from wrist to elbow"}),
    _dropped,
    _asked("PUT", "/api/marks", {"picture": "front", "marks": {"landmarks": POINTS}}),
    _asked(
        "POST",
        "/api/costume/pieces",
        {"kind": "belt", "label": "Belt", "edges": {"line": {"words": "at the waist"}}},
    ),
    _asked("POST", "/api/undo"),
    _asked("POST", "/api/redo"),
    _asked("DELETE", "/api/pictures", {"picture": "front"}),
    _asked("POST", "/api/undo"),
    _asked("POST", "/api/costume/pieces/forearm_guard/remove", {}),
    _asked("DELETE", "/api/wearers/ada", {}),
]
