"""Wearers and measures through requests: kept, refused, shown, and never repeated."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from starlette.testclient import TestClient

from layfigure.body.measures import all_stored_names
from layfigure.body.wearer_file import read_wearer
from layfigure.workroom.body_data import unpacked
from layfigure.workroom.room import Room


@pytest.fixture
def ada(client: TestClient) -> str:
    answer = client.post("/api/wearers", json={"name": "Ada", "unit": "in", "guess_from": "women"})
    assert answer.status_code == 200
    return answer.json()["slug"]


def put(client: TestClient, name: str, *sizes: str, wearer: str = "ada", **more):
    body = {"readings": more.pop("readings", {"both": list(sizes)}), **more}
    return client.put(f"/api/wearers/{wearer}/measures/{name}", json=body)


def measure_of(client: TestClient, name: str, wearer: str = "ada") -> dict:
    return next(m for m in client.get(f"/api/wearers/{wearer}").json()["measures"] if m["name"] == name)


def test_a_new_wearer_is_measured_in_inches_with_fractions(client: TestClient, ada: str, root: Path) -> None:
    assert ada == "ada"
    for name, size in {"stature": "5 ft 6", "bust_girth": "38", "waist_girth": "30 1/4"}.items():
        assert put(client, name, f"{size} in" if "ft" in size else size).status_code == 200
    wearer = read_wearer(root / "wearers" / "ada.toml")
    assert wearer.measures["waist_girth"] == pytest.approx(30.25 * 25.4)
    assert wearer.measures["stature"] == pytest.approx(66 * 25.4)
    shown = measure_of(client, "waist_girth")
    assert shown["readings"] == {"both": ["30 1/4 in"]}
    assert shown["sides"]["both"]["guess"] is None
    guessed = measure_of(client, "wrist_girth")["sides"]["left"]
    assert not guessed["taken"]
    assert guessed["guess"]["about"].endswith(" in")
    assert guessed["guess"]["sure"].endswith(" in")


def test_only_what_the_pieces_need_is_asked_for_most_helpful_first(client: TestClient, ada: str) -> None:
    data = client.get("/api/wearers/ada").json()
    assert data["next"][0] == "stature"
    by_name = {m["name"]: m for m in data["measures"]}
    assert all(by_name[name]["pieces"] or name == "stature" for name in data["next"])
    # The demonstration has no shoe: nothing of it lies on the foot.
    assert "foot_girth" not in data["next"]
    assert {"gauntlet_left", "gauntlet_right"} <= set(by_name["hand_girth"]["pieces"])
    for name in data["next"][:6]:
        put(client, name, data_for(name))
    after = client.get("/api/wearers/ada").json()["next"]
    assert not set(data["next"][:6]) & set(after)


def data_for(name: str) -> str:
    """The average woman's size: what she would be guessed at."""
    from layfigure.body.measures import CATALOGUE
    from layfigure.body.prior import estimate

    return f"{estimate({}, 'woman')[CATALOGUE[name].sided()[0]].value:.0f} mm"


def test_somebody_who_sits_is_asked_for_lengths_on_the_seat(client: TestClient) -> None:
    client.post("/api/wearers", json={"name": "Bo", "posture": "seated"})
    order = client.get("/api/wearers/bo").json()["next"]
    assert order[0] == "sitting_height"
    assert "stature" not in order
    assert "waist_height" not in order


def test_left_and_right_are_kept_apart(client: TestClient, ada: str, root: Path) -> None:
    put(client, "stature", "66")
    assert put(client, "wrist_girth", readings={"left": ["6"], "right": ["6 1/4"]}).status_code == 200
    wearer = read_wearer(root / "wearers" / "ada.toml")
    assert wearer.measures["wrist_girth_right"] - wearer.measures["wrist_girth_left"] == pytest.approx(6.35)


def test_undo_takes_a_measure_back_and_brings_a_wearer_back(client: TestClient, ada: str, root: Path) -> None:
    file = root / "wearers" / "ada.toml"
    put(client, "stature", "66")
    kept = file.read_bytes()
    assert client.request("DELETE", "/api/wearers/ada", json={}).status_code == 200
    assert not file.exists()
    assert client.get("/api/wearers/ada").status_code == 404
    assert client.post("/api/undo").json()["done"] == "remove the wearer ada"
    assert file.read_bytes() == kept
    client.post("/api/undo")
    assert not read_wearer(file).measures


def test_what_somebody_else_changed_is_not_written_over(client: TestClient, ada: str, root: Path) -> None:
    base = client.get("/api/wearers/ada").json()["revisions"]
    file = root / "wearers" / "ada.toml"
    file.write_text(file.read_text("utf-8") + 'hip_girth = "40 in"\n', encoding="utf-8")
    theirs = file.read_bytes()
    for answer in (
        put(client, "stature", "66", base=base),
        client.patch("/api/wearers/ada", json={"name": "Eve", "base": base}),
        client.request("DELETE", "/api/wearers/ada", json={"base": base}),
    ):
        assert answer.status_code == 409
        assert answer.json()["where"] == "wearers/ada.toml"
    assert file.read_bytes() == theirs
    fresh = client.get("/api/wearers/ada").json()["revisions"]
    assert put(client, "stature", "66", base=fresh).status_code == 200


REFUSED = {
    "no size of a person": ("waist_girth", "3.7", "waist_girth"),
    "no unit of length": ("waist_girth", "31.7 bananas", "waist_girth"),
    "no number": ("waist_girth", "about 31.7", "waist_girth"),
    "a contradiction": ("hip_girth", "9.7 in", "hip_girth"),
    "two that cannot both be": ("under_bust_girth", "43.7", "under_bust_girth"),
    "unknown": ("wayst_girth", "31.7", "wayst_girth"),
}


@pytest.mark.parametrize(("name", "size", "named"), REFUSED.values(), ids=REFUSED.keys())
def test_a_refusal_names_the_measure_and_never_its_size(
    client: TestClient, ada: str, name: str, size: str, named: str, capfd: pytest.CaptureFixture[str]
) -> None:
    put(client, "stature", "66")
    put(client, "bust_girth", "38.3")
    before = client.get("/api/wearers/ada").json()
    for answer in (
        put(client, name, size),
        client.post("/api/wearers/ada/body", json={"measure": name, "readings": {"both": [size]}}),
    ):
        assert answer.status_code == 422
        assert named in answer.text
        said = answer.text + "".join(capfd.readouterr())
        for number in ("3.7", "31.7", "43.7", "9.7", "38.3", "805", "972"):
            assert number not in said
    assert client.get("/api/wearers/ada").json()["measures"] == before["measures"]


def test_a_bad_request_does_not_repeat_what_was_typed(client: TestClient, ada: str) -> None:
    answer = put(client, "waist_girth", readings={"both": ["31.77 in\x07"]})
    assert answer.status_code == 422
    assert "31.77" not in answer.text
    assert put(client, "waist_girth", *["31.77 in"] * 4).status_code == 422


def test_the_body_is_that_of_the_file_and_changes_while_typing(
    client: TestClient, ada: str, room: Room
) -> None:
    for name, size in {"stature": "66", "bust_girth": "38", "waist_girth": "30", "hip_girth": "40"}.items():
        put(client, name, size)
    answer = client.get("/api/wearers/ada/body?tape=waist_girth&edges=true")
    header, skin, lines = unpacked(answer.content)
    form = room.work("ada").body.value().form
    assert np.abs(skin - form.standing.vertices).max() <= 0.0501
    assert not header["average"]
    kinds = [line["kind"] for line in header["lines"]]
    assert kinds.count("tape") == 1
    assert kinds.count("edge") > 10
    tape = lines[kinds.index("tape")]
    assert round_girth(tape) == pytest.approx(30 * 25.4, abs=2.0)
    files = client.get("/api/state").json()["revisions"]
    tried = client.post(
        "/api/wearers/ada/body", json={"measure": "waist_girth", "readings": {"both": ["32"]}}
    )
    _, other, lines = unpacked(tried.content)
    assert round_girth(lines[0]) == pytest.approx(32 * 25.4, abs=2.0)
    assert np.abs(other - skin).max() > 4.0
    assert client.get("/api/state").json()["revisions"] == files
    only = client.get("/api/wearers/ada/body?tape=wrist_girth&skin=false")
    header, nothing, lines = unpacked(only.content)
    assert len(nothing) == 0
    assert [line["name"] for line in header["lines"]] == ["wrist_girth_left", "wrist_girth_right"]


def round_girth(points: np.ndarray) -> float:
    return float(np.linalg.norm(np.diff(np.vstack([points, points[:1]]), axis=0), axis=1).sum())


def test_nobody_measured_yet_is_shown_as_average(client: TestClient, ada: str) -> None:
    header, skin, _ = unpacked(client.get("/api/wearers/ada/body").content)
    assert header["average"]
    assert 1500 < np.ptp(skin[:, 2]) < 1750
    faces = np.frombuffer(client.get("/api/body/faces").content, dtype="<u4")
    assert faces.max() == len(skin) - 1


def test_every_tape_can_be_asked_for(client: TestClient, ada: str) -> None:
    for name in all_stored_names():
        answer = client.get(f"/api/wearers/ada/body?skin=false&tape={name}")
        assert answer.status_code == 200


def test_tapes_that_disagree_are_named_without_sizes(client: TestClient, ada: str) -> None:
    sizes = {"stature": "66", "bust_girth": "38", "waist_girth": "30", "hip_girth": "40", "thigh_girth": "23"}
    for name, size in (sizes | {"knee_girth": "22.9"}).items():
        assert put(client, name, size).status_code == 200
    header, _, _ = unpacked(client.get("/api/wearers/ada/body").content)
    said = " ".join(header["messages"])
    assert "knee" in said
    assert not any(digit in said for digit in "23456789")


def test_the_still_picture_needs_no_script(client: TestClient, ada: str) -> None:
    put(client, "stature", "66")
    picture = client.get("/api/wearers/ada/picture?tape=waist_girth")
    assert picture.headers["content-type"] == "image/svg+xml"
    assert "polyline" in picture.text or "polygon" in picture.text


def test_everybody_is_listed_even_with_a_file_that_cannot_be_used(client: TestClient, root: Path) -> None:
    (root / "wearers" / "bad.toml").write_text('format = 1\nname = "B"\nheight = 3\n', encoding="utf-8")
    (root / "wearers" / "worse.toml").write_bytes(b"\xff\xfe\x00")
    (root / "wearers" / "two words.toml").write_text('format = 1\nname = "B"\n', encoding="utf-8")
    listed = {one["slug"]: one for one in client.get("/api/wearers").json()["wearers"]}
    assert listed["ostrander"]["problem"] is None
    assert listed["ostrander"]["taken"] > 20
    assert all(listed[slug]["problem"] for slug in ("bad", "worse", "two words"))
    assert client.get("/api/wearers/bad").status_code == 422
    assert client.get("/api/wearers/worse/body").status_code == 422


def test_the_pages_are_there(client: TestClient, ada: str) -> None:
    assert client.get("/measure").status_code == 200
    assert client.get("/measure/ada").status_code == 200
    assert client.get("/measure/nobody", headers={"accept": "text/html"}).status_code == 404
