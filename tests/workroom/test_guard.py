"""Who may talk to the workroom. The attacks are those of OWASP's cheat sheets, from memory."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from layfigure.workroom.app import create_app
from layfigure.workroom.guard import COOKIE, MOST_BYTES, TOKEN_HEADER, Keys
from layfigure.workroom.room import Room


@pytest.fixture
def stranger(room: Room, keys: Keys) -> Iterator[TestClient]:
    """Somebody who found the port and knows nothing."""
    with TestClient(create_app(room, keys), base_url="http://localhost", follow_redirects=False) as asking:
        yield asking


def test_nothing_is_shown_without_the_key(stranger: TestClient) -> None:
    for path in ("/", "/api/state", "/openapi.json", "/static/workroom.css"):
        assert stranger.get(path).status_code == 401
    assert "Brindle" not in stranger.get("/").text
    assert stranger.get("/?key=guess").status_code == 401


def test_the_printed_address_lets_a_browser_in_once_for_all(stranger: TestClient, keys: Keys) -> None:
    answer = stranger.get(f"/?key={keys.door}")
    assert answer.status_code == 303
    assert answer.headers["location"] == "/"
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    assert stranger.get("/").status_code == 200


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "192.168.1.5", "", "[::2]"])
def test_a_host_that_is_not_this_machine_is_refused(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"host": host}).status_code == 403


@pytest.mark.parametrize("host", ["localhost", "localhost:8080", "127.0.0.1:8080", "[::1]:8080"])
def test_this_machine_has_several_names(client: TestClient, host: str) -> None:
    assert client.get("/api/state", headers={"host": host}).status_code == 200


def test_another_page_cannot_write_or_read(client: TestClient, keys: Keys) -> None:
    assert client.post("/api/undo", headers={"origin": "http://evil.example"}).status_code == 403
    assert client.post("/api/undo", headers={"origin": "null"}).status_code == 403
    assert client.post("/api/undo", headers={"sec-fetch-site": "cross-site"}).status_code == 403
    assert client.get("/api/state", headers={"sec-fetch-site": "cross-site"}).status_code == 403
    assert client.post("/api/undo", headers={TOKEN_HEADER: "guess"}).status_code == 403
    assert client.post("/api/undo", headers={"origin": "http://localhost"}).status_code == 200


def test_a_page_of_an_earlier_start_is_told_so(client: TestClient) -> None:
    del client.headers[TOKEN_HEADER]
    answer = client.post("/api/undo")
    assert answer.status_code == 403
    assert "load it again" in answer.json()["what"]


def test_a_request_that_is_too_large_is_refused_before_it_is_read(client: TestClient) -> None:
    answer = client.post("/api/quick", headers={"content-length": str(MOST_BYTES + 1)}, content=b"{}")
    assert answer.status_code == 413


def test_a_body_longer_than_it_says_is_cut_off(client: TestClient) -> None:
    def stream() -> Iterator[bytes]:
        for _ in range(MOST_BYTES // 1_000_000 + 2):
            yield b" " * 1_000_000

    answer = client.post("/api/quick", content=stream(), headers={"content-type": "application/json"})
    assert answer.status_code == 413


def test_every_answer_carries_the_content_policy(client: TestClient) -> None:
    for path in ("/", "/api/state", "/static/room.js", "/nowhere"):
        headers = client.get(path).headers
        assert "default-src 'none'" in headers["content-security-policy"]
        assert "unsafe" not in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "no-referrer"


@pytest.mark.parametrize(
    "path",
    [
        "/static/../app.py",
        "/static/%2e%2e/app.py",
        "/quick/forearm_guard/../../wearers/ostrander.toml",
        "/quick/forearm_guard/..%2f..%2fwearers%2fostrander.toml",
        "/quick/forearm_guard/ostrander.toml",
    ],
)
def test_no_path_leads_out_of_what_is_served(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code in (404, 422)
    assert "cm" not in answer.text


def test_pages_hold_no_inline_script_or_style(client: TestClient) -> None:
    text = client.get("/").text
    assert " style=" not in text
    assert "<style" not in text
    assert "onclick" not in text
    assert text.count("<script") == text.count('<script type="module" src="/static/')


def test_a_password_opens_a_workroom_on_the_network(room: Room) -> None:
    keys = Keys(password="brass and lacquer")
    with TestClient(create_app(room, keys), base_url="http://192.168.1.5", follow_redirects=False) as visitor:
        assert visitor.get("/").headers["location"] == "/enter"
        assert visitor.post("/enter", data={"password": "guess"}).status_code == 403
        assert visitor.get("/").status_code == 303
        answer = visitor.post("/enter", data={"password": "brass and lacquer"})
        assert COOKIE in answer.headers["set-cookie"]
        assert visitor.get("/").status_code == 200
        # A name could be made to point here by a stranger; a number cannot.
        assert visitor.get("/", headers={"host": "workroom.example"}).status_code == 403


def test_without_a_password_there_is_no_door_to_knock_at(stranger: TestClient) -> None:
    assert stranger.get("/enter").status_code == 404
    assert stranger.post("/enter", data={"password": ""}).status_code in (404, 422)
