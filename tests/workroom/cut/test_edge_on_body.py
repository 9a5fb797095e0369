"""An edge moved on the body: the words follow, both bodies show it, and it lies where it was moved to."""

import threading

import numpy as np
import pytest
from tests.workroom.let_in import let_in

from layfigure.recompute.cache import Cache
from layfigure.recompute.graph import Graph
from layfigure.workroom.body_data import unpacked
from layfigure.workroom.room import Room

HELD = "/api/edge/me/held/guard_top"


def points(told, whose="wearer", slug="guard_top"):
    (run,) = told["lines"][whose][slug]["runs"]
    return np.array(run).reshape(-1, 3)


def held(client, path=HELD):
    answer = client.get(path)
    assert answer.status_code == 200, answer.text
    return answer.json()


def moved(client, told, path=HELD, **move):
    answer = client.post(path, json={"words": told["words"], **move})
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_a_line_moved_down_the_arm_is_said_so_and_lies_there(client):
    told = held(client)
    assert {grip["name"] for grip in told["grips"]} == {
        "line", "slant front", "slant outside", "slant back", "slant inside"
    }  # fmt: skip
    after = moved(client, told, grip="line", by=20.0)
    assert after["words"] != told["words"]
    assert after["ways"]["length"].endswith(("wrist", "elbow"))
    # Along the bone by 2 cm, as the sections' middles say, to what is written: a tenth of a percent.
    way = np.linalg.norm(points(after).mean(axis=0) - points(told).mean(axis=0))
    assert way == pytest.approx(20.0, abs=1.0)
    back = moved(client, after, grip="line", by=-20.0)
    assert back["words"] == told["words"]


def test_a_pointer_takes_the_line_along(client):
    told = held(client)
    start = points(told)[0]
    end = points(moved(client, told, grip="line", by=30.0))[0]
    track = {"body": "wearer", "start": start.tolist(), "end": end.tolist()}
    after = moved(client, told, grip="line", track=track)
    assert np.linalg.norm(points(after)[0] - end) < 2.0


def test_one_side_is_lifted_and_the_other_stays(client):
    told = held(client)
    after = moved(client, told, grip="slant back", by=-15.0)
    assert after["words"] == f"{told['words']}, 1.5 cm higher at the back"
    grips = {grip["said"]: grip for grip in told["grips"]}
    lifted = {grip["said"]: grip for grip in after["grips"]}
    back, front = "its height at the back", "its height at the front"
    assert np.linalg.norm(np.subtract(lifted[back]["at"]["wearer"], grips[back]["at"]["wearer"])) > 10.0
    assert np.linalg.norm(np.subtract(lifted[front]["at"]["wearer"], grips[front]["at"]["wearer"])) < 3.0


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_line_along_a_limb_is_taken_round_it_and_its_ends_moved(client, side):
    stripe = {"words": "along the outside from hip to ankle", "side": side}
    assert client.put("/api/costume/edges/stripe", json=stripe).status_code == 200
    path = "/api/edge/me/held/stripe"
    told = held(client, path)
    assert {grip["name"]: grip["moves"] for grip in told["grips"]} == {
        "line": "round",
        "top": "down",
        "bottom": "down",
    }
    run = np.vstack([np.array(run).reshape(-1, 3) for run in told["lines"]["wearer"]["stripe"]["runs"]])
    sits = {grip["name"]: np.array(grip["at"]["wearer"]) for grip in told["grips"]}
    assert np.linalg.norm(sits["top"] - run[0]) < 1.0
    assert np.linalg.norm(sits["bottom"] - run[-1]) < 1.0
    assert run[-1, 2] < sits["line"][2] < run[0, 2]
    after = moved(client, told, path, grip="bottom", by=-100.0)
    assert after["words"] == "along the outside from hip to 10 cm above the ankle"
    # A pointer on the thigh takes it to the front, as far as the line goes when it is told how far.
    front = moved(client, told, path, grip="line", by=-0.1)
    assert front["words"] == "along 15 % round from hip to ankle"
    # And on the trunk, where the outside of a right leg is the trunk's right.
    came = {grip["name"]: grip["at"]["wearer"] for grip in front["grips"]}
    for place in ("line", "top"):
        track = {"body": "wearer", "start": sits[place].tolist(), "end": came[place]}
        by_hand = moved(client, told, path, grip="line", track=track)
        assert float(by_hand["words"].split()[1]) == pytest.approx(15.0, abs=0.5)


def test_what_words_cannot_follow_is_said_and_nothing_is_written(client, folder):
    before = (folder / "costume.toml").read_bytes()
    told = held(client)
    answer = client.post(HELD, json={"words": told["words"], "grip": "line", "by": 900.0})
    assert answer.status_code == 422
    assert "beyond the" in answer.json()["what"]
    off = {"body": "wearer", "start": points(told)[0].tolist(), "end": [0.0, 0.0, 100.0]}
    answer = client.post(HELD, json={"words": told["words"], "grip": "line", "track": off})
    assert "not on the same limb" in answer.json()["what"]
    assert client.get("/api/edge/me/held/nowhere").status_code == 422
    assert client.get("/api/edge/me/body/character").status_code == 404
    assert (folder / "costume.toml").read_bytes() == before


@pytest.fixture(scope="module")
def brindle(tmp_path_factory):
    import shutil
    from pathlib import Path

    root = tmp_path_factory.mktemp("costume") / "brindle"
    shutil.copytree(Path(__file__).parents[3] / "examples/brindle", root)
    opened = Room(root, graph=Graph(Cache(tmp_path_factory.mktemp("cache"))))
    opened.pool = lambda: None
    with let_in(opened) as client:
        yield client
    opened.close()


def test_character_and_wearer_carry_the_moved_line(brindle):
    path = "/api/edge/quillfeather/held/skirt_hem"
    told = held(brindle, path)
    after = moved(brindle, told, path, grip="line", by=-40.0)
    assert after["words"].endswith("% from crotch to knee")
    for whose in ("wearer", "character"):
        heights = [points(each, whose, "skirt_hem")[:, 2].mean() for each in (told, after)]
        assert heights[1] - heights[0] > 15.0
    # What is said from it comes along; what lies on both sides moves on both.
    both = held(brindle, "/api/edge/quillfeather/held/glove_cuff_left")
    assert both["both"]
    assert set(both["lines"]["character"]) == {"glove_cuff_left", "glove_cuff_right"}


def test_a_traced_line_says_which_words_come_near_it(brindle):
    told = held(brindle, "/api/edge/quillfeather/held/belt")
    assert told["words"] == ""
    assert told["grips"] == []
    assert told["instead"]["off"] < 40
    assert "% from" in told["instead"]["words"]
    assert held(brindle, "/api/edge/quillfeather/held/window_1")["instead"] is None


def test_both_bodies_are_sent_with_every_edge(brindle):
    for whose in ("wearer", "character"):
        header, skin, lines = unpacked(brindle.get(f"/api/edge/quillfeather/body/{whose}").content)
        names = {line["name"] for line in header["lines"]}
        assert {"belt", "skirt_hem", "guard_top_left", "window_3"} <= names
        near = [np.linalg.norm(skin - line[0], axis=1).min() for line in lines]
        assert max(near) < 60.0


def test_lines_are_drawn_while_pieces_are_drafted(client, done, monkeypatch):
    """Drafting may take a minute; the page Costume must not wait for it."""
    let_go, begun = threading.Event(), threading.Event()

    def long_drafting(*_):
        begun.set()
        assert let_go.wait(60.0)
        return {}

    monkeypatch.setattr("layfigure.pipeline.together.draft_together", long_drafting)
    drafting = client.post("/api/draft/me").json()
    assert begun.wait(60.0)
    seen = done(client.post("/api/lines/me", json={"pictures": False}))
    assert seen["whom"] == ["wearer"]
    assert client.get(f"/api/tasks/{drafting['number']}").json()["state"] == "running"
    let_go.set()
