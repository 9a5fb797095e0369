"""A recorded run of edits, as a page of the workroom sends them."""

from __future__ import annotations

from collections.abc import Callable

from starlette.testclient import TestClient

Edit = Callable[[TestClient], None]


def _asked(method: str, path: str, body: dict[str, object] | None = None) -> Edit:
    def edit(client: TestClient) -> None:
        revisions = client.get("/api/state").json()["revisions"]
        sent = None if body is None else {**body, "base": revisions}
        answer = client.request(method, path, json=sent)
        assert answer.status_code < 300, f"{method} {path}: {answer.status_code} {answer.text}"

    return edit


EDITS: list[Edit] = [
    _asked("POST", "/api/undo"),
]
