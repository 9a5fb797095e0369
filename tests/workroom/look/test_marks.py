"""One picture's marks read and replaced, the study of all, and lines begun or said in words."""

import json
import time
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient


def read(client: TestClient, picture: str = "front") -> Any:
    answer = client.get("/api/marks", params={"picture": picture})
    assert answer.status_code == 200, answer.text
    return answer.json()


def marked(data: Any) -> Any:
    return {key: data["marks"][key] for key in ("landmarks", "outlines", "edges")}


def put(client: TestClient, data: Any, picture: str = "front", **more: Any) -> Any:
    body = {"picture": picture, "marks": marked(data), "base": data["revisions"], "what": "mark", **more}
    return client.put("/api/marks", json=body)


def study(client: TestClient) -> Any:
    number = client.post("/api/study").json()["number"]
    for _ in range(120):
        seen = client.get(f"/api/tasks/{number}", params={"wait": True}).json()
        if seen["state"] in ("done", "failed"):
            assert seen["error"] is None
            return seen["result"]
        time.sleep(0.05)
    raise AssertionError("the study did not end")


def test_marks_are_read_and_replaced_and_everything_else_stays(client: TestClient, folder: Path) -> None:
    before = json.loads((folder / "marks.json").read_text())
    data = read(client)
    assert data["marks"]["landmarks"]["knee_left"] == [607.5, 830.3]
    assert {
        "slug": "guard_top_left",
        "group": "guard_top",
        "side": "left",
        "closed": True,
        "words": None,
    } in (data["lines"])
    data["marks"]["landmarks"]["knee_left"] = [600, 831.25]
    data["marks"]["landmarks"]["shoulder_point_left"] = None
    data["marks"]["outlines"].append({"region": "head", "points": [[500, 60]], "hidden": True})
    edge = {
        "points": [[500, 300], [520, 300], [510, 320]],
        "corners": [1],
        "closed": True,
        "regions": ["torso"],
    }
    data["marks"]["edges"]["window_1"] = [edge]
    answer = put(client, data, what="move the left knee")
    assert answer.status_code == 200, answer.text
    assert answer.json()["undo"] == "move the left knee"
    after = json.loads((folder / "marks.json").read_text())
    assert after["pictures"][1:] == before["pictures"][1:]
    front = after["pictures"][0]
    assert front["landmarks"]["knee_left"] == [600.0, 831.25]
    assert front["landmarks"]["shoulder_point_left"] is None
    assert front["outlines"][-1] == {"region": "head", "points": [[500.0, 60.0]], "hidden": True}
    assert front["edges"]["window_1"] == [edge]
    assert [front[key] for key in ("view", "size", "file")] == ["front", [997, 1200], "references/front.png"]
    client.post("/api/undo")
    assert json.loads((folder / "marks.json").read_text()) == before


def test_one_moved_mark_is_one_changed_line(client: TestClient, folder: Path) -> None:
    data = read(client)
    assert put(client, data).status_code == 200
    before = (folder / "marks.json").read_text().splitlines()
    data = read(client)
    data["marks"]["landmarks"]["chin"] = [513.0, 230.0]
    put(client, data)
    after = (folder / "marks.json").read_text().splitlines()
    assert len(after) == len(before)
    assert sum(one != other for one, other in zip(before, after, strict=True)) == 1


def test_marks_made_on_an_older_file_are_not_written(client: TestClient, folder: Path) -> None:
    data = read(client)
    path = folder / "marks.json"
    theirs = path.read_text().replace("510.8, 57.2", "510.8, 58")
    path.write_text(theirs)
    data["marks"]["landmarks"]["chin"] = [1, 1]
    answer = put(client, data)
    assert answer.status_code == 409
    assert answer.json()["where"] == "marks.json"
    assert path.read_text() == theirs


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"landmarks": {"knee_left": [5000, 3]}}, "outside the picture"),
        ({"landmarks": {"kne_left": [5, 3]}}, "no landmark 'kne_left'"),
        ({"outlines": [{"region": "tail", "points": [[1, 1]]}]}, "no region 'tail'"),
        ({"edges": {"tail_top": [{"points": [[1, 1]]}]}}, "no edge 'tail_top'"),
        ({"edges": {"belt": [{"points": [[1, 1]], "corners": [4]}]}}, "corner 4 is not one of"),
        ({"edges": {"belt": [{"points": [[1, 1], [2, 2]], "closed": True}]}}, "fewer than three points"),
        ({"edges": {"belt": [{"points": []}]}}, "at least 1 item"),
        ({"landmarks": {"knee_left": ["NaN", 1]}}, "finite number"),
        ({"landmrks": {}}, "Extra inputs"),
    ],
)
def test_marks_that_make_no_sense_are_refused(
    client: TestClient, folder: Path, change: Any, what: str
) -> None:
    before = (folder / "marks.json").read_bytes()
    data = read(client)
    body = {"picture": "front", "marks": {**marked(data), **change}, "base": data["revisions"]}
    answer = client.put("/api/marks", json=body)
    assert answer.status_code == 422
    assert what in answer.json()["what"]
    assert (folder / "marks.json").read_bytes() == before


def test_an_unknown_picture_has_no_marks(client: TestClient) -> None:
    data = read(client)
    assert client.get("/api/marks", params={"picture": "frnt"}).json()["advice"] == "Did you mean 'front'?"
    assert put(client, data, "nobody").status_code == 422


def test_the_study_says_how_sure_and_draws_the_figure_over_every_picture(client: TestClient) -> None:
    result = study(client)
    assert result["problem"] is None
    assert set(result["pictures"]) == {"front", "back", "left", "three_quarter"}
    (belt,) = [line for line in result["lines"] if line["slug"] == "belt"]
    assert belt["words"].startswith("sure to ")
    assert "on a person 1.65 m tall" in belt["words"]
    assert result["next"][0]["words"].startswith("In the ")
    truth = read(client)["marks"]["landmarks"]
    (outline,) = result["pictures"]["front"]["outlines"]
    across = [point[0] for point in outline if abs(point[1] - truth["waist_left"][1]) < 12]
    # The figure's own waist is where the picture's is.
    near = [x for x in across if abs(x - truth["waist_left"][0]) < 40]
    assert near
    assert min(abs(x - truth["waist_left"][0]) for x in near) < 8
    assert min(point[1] for point in outline) == pytest.approx(truth["crown"][1], abs=15)


def test_a_picture_just_taken_in_does_not_stop_the_study(client: TestClient, folder: Path) -> None:
    front = (folder / "references/front.png").read_bytes()
    client.post("/api/pictures", files={"file": ("new.png", front)}, data={"view": "front"})
    result = study(client)
    assert result["waiting"] == ["new"]
    assert result["lines"]


def test_with_nothing_marked_the_study_waits(client: TestClient, folder: Path) -> None:
    marks = json.loads((folder / "marks.json").read_text())
    marks["pictures"] = [{**marks["pictures"][0], "landmarks": {}, "outlines": [], "edges": {}}]
    (folder / "marks.json").write_text(json.dumps(marks))
    assert study(client)["waiting"] == ["front"]
    # A line on a picture that says nothing of the body needs more, and says what.
    marks["pictures"][0]["edges"] = {"belt": [{"points": [[400, 500], [500, 510]]}]}
    (folder / "marks.json").write_text(json.dumps(marks))
    assert study(client)["problem"]["what"] == "too few marks to place the figure."
    (folder / "marks.json").unlink()
    assert study(client)["waiting"] == []


def test_a_line_is_begun_and_can_be_traced(client: TestClient, folder: Path) -> None:
    base = read(client)["revisions"]
    answer = client.post(
        "/api/costume/edges",
        json={"name": "Collar, lower edge", "side": "middle", "closed": False, "base": base},
    )
    assert answer.status_code == 200, answer.text
    assert answer.json()["slug"] == "collar_lower_edge"
    assert "[edges.collar_lower_edge]\nclosed = false\n" in (folder / "costume.toml").read_text()
    data = read(client)
    data["marks"]["edges"]["collar_lower_edge"] = [{"points": [[450, 260], [500, 262]]}]
    assert put(client, data).status_code == 200


def test_a_line_said_in_words_is_written_once_it_means_something(client: TestClient, folder: Path) -> None:
    before = (folder / "costume.toml").read_text()
    base = read(client)["revisions"]
    bad = {"words": "somewhere nice", "side": "left", "base": base}
    answer = client.put("/api/costume/edges/skirt_hem", json=bad)
    assert answer.status_code == 422
    assert answer.json()["advice"]
    assert (folder / "costume.toml").read_text() == before
    good = {**bad, "words": "60 % from crotch to knee"}
    assert client.put("/api/costume/edges/skirt_hem", json=good).status_code == 200
    after = (folder / "costume.toml").read_text()
    assert after == before.replace("70 % from crotch to knee", "60 % from crotch to knee")
    assert client.put("/api/costume/edges/skirt_hem", json=good).status_code == 409


def test_words_on_a_traced_line_take_the_place_of_all_that_tracing_needs(
    client: TestClient, folder: Path
) -> None:
    text, marked = (folder / "costume.toml").read_text(), (folder / "marks.json").read_text()
    (folder / "costume.toml").write_text(
        text.replace("[edges.belt]\n", "[edges.belt]\nclosed = false  # open\n")
    )
    assert "belt" in marked
    said = {"words": "at the waist", "side": "middle", "meaning": "proportion"}
    answer = client.put("/api/costume/edges/belt", json=said)
    assert answer.status_code == 200, answer.text
    assert '[edges.belt]\nwords = "at the waist"\n' in (folder / "costume.toml").read_text()
    assert "belt" not in (folder / "marks.json").read_text()
    assert client.post("/api/undo").json()["done"] == "change the edge belt"
    assert (folder / "marks.json").read_text() == marked
    assert "closed = false  # open\n" in (folder / "costume.toml").read_text()


@pytest.mark.parametrize(
    ("words", "side", "says"),
    [
        ("halfway from knee to ankle", "left", "Right round the left lower leg, "),
        ("at the waist", "middle", "Right round the trunk, "),
        ("30 % from wrist to elbow", "both", "Right round either forearm, "),
        ("along the outside from hip to ankle", "right", "Down the trunk and the right thigh and"),
        ("at the waist, from 20 % to 40 % round", "middle", "Part of the way round the trunk, "),
        ("2 cm below shin_top", "left", "Follows shin top"),
    ],
)
def test_words_are_said_back(client: TestClient, words: str, side: str, says: str) -> None:
    answer = client.post("/api/costume/words", json={"words": words, "side": side}).json()
    assert answer["says"].startswith(says), answer


def test_the_height_said_back_is_the_bodys_own(client: TestClient) -> None:
    """ANSUR II (2012), civilian-range adults: the waist at the navel stands at about 0.60 of stature."""
    says = client.post("/api/costume/words", json={"words": "at the waist"}).json()["says"]
    assert 0.58 < int(says.split(", ")[1].split(" cm")[0]) / 165.0 < 0.67


def test_words_that_mean_nothing_say_what_could_be_said(client: TestClient) -> None:
    answer = client.post("/api/costume/words", json={"words": "at the knee"})
    assert answer.status_code == 422
    assert "side" in answer.json()["advice"]


def test_a_file_in_another_encoding_is_named_not_read(client: TestClient, folder: Path) -> None:
    (folder / "marks.json").write_bytes(b"\xff\xfe{")
    answer = client.get("/api/marks", params={"picture": "front"})
    assert answer.status_code == 422
    assert answer.json()["where"] == "marks.json"
