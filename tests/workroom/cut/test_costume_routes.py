"""The costume over HTTP: read, edited, refused with line and advice, never written over another edit."""

import pytest

COSTUME = "costume.toml"
GUARD = {
    "kind": "wrap",
    "label": "Thigh band",
    "cloth": "vegetable_tanned_leather_2mm",
    "side": "both",
    "edges": {"top": {"words": "20 % from crotch to knee"}, "bottom": {"words": "50 % from crotch to knee"}},
    "options": {"bands": 1},
}


def test_what_a_page_needs_to_know(client):
    read = client.get("/api/costume").json()
    assert [piece["slug"] for piece in read["pieces"]] == ["forearm_guard"]
    assert read["edges"][0]["bounds"] == ["forearm_guard"]
    assert any(cloth["slug"] == "vegetable_tanned_leather_2mm" for cloth in read["cloths"])
    assert read["revisions"][COSTUME] != "absent"
    kinds = {kind["name"]: kind for kind in client.get("/api/kinds").json()["kinds"]}
    assert {role["role"] for role in kinds["wrap"]["edges"] if role["required"]} == {"top", "bottom"}
    assert "closure" in kinds["wrap"]["schema"]["properties"]
    assert kinds["woven"]["cloths"][0]["role"] == "lining"


def test_a_piece_with_edges_said_on_the_spot_is_one_edit(client, folder):
    before = (folder / COSTUME).read_text()
    answer = client.post("/api/costume/pieces", json=GUARD)
    assert answer.status_code == 200, answer.text
    assert answer.json()["slug"] == "thigh_band"
    read = client.get("/api/costume").json()
    assert read["pieces"][-1]["edges"] == {"top": "thigh_band_top", "bottom": "thigh_band_bottom"}
    assert {edge["slug"]: edge["side"] for edge in read["edges"]}["thigh_band_top"] == "both"
    assert "# An edge is said in words" in (folder / COSTUME).read_text()
    client.post("/api/undo")
    assert (folder / COSTUME).read_text() == before


def test_a_value_is_set_and_taken_out_again(client, folder):
    before = (folder / COSTUME).read_text()
    change = {"path": ["options", "air"], "value": "5 mm"}
    assert client.post("/api/costume/pieces/forearm_guard", json=change).status_code == 200
    assert client.get("/api/costume").json()["pieces"][0]["options"] == {"air": "5 mm"}
    change = {"path": ["options", "air"], "value": None}
    assert client.post("/api/costume/pieces/forearm_guard", json=change).status_code == 200
    assert (folder / COSTUME).read_text() == before


def test_an_edge_said_for_a_piece_that_is_there(client):
    change = {"path": ["edges", "top"], "value": {"words": "halfway from wrist to elbow"}}
    assert client.post("/api/costume/pieces/forearm_guard", json=change).status_code == 200
    read = client.get("/api/costume").json()
    assert read["pieces"][0]["edges"]["top"] == "forearm_guard_top"
    made = next(edge for edge in read["edges"] if edge["slug"] == "forearm_guard_top")
    assert made["side"] == "left"
    assert client.post("/api/costume/edges/guard_top/remove", json={}).status_code == 200
    assert "guard_top" not in {edge["slug"] for edge in client.get("/api/costume").json()["edges"]}


@pytest.mark.parametrize(
    ("method", "path", "body", "said"),
    [
        ("PUT", "edges/guard_top", {"words": "halfway from hip to moon"}, "moon"),
        ("POST", "edges/guard_top/remove", {}, "guard_top"),
        ("POST", "pieces/forearm_guard", {"path": ["options", "air"], "value": "5"}, "unit"),
        ("POST", "pieces/forearm_guard", {"path": ["options", "aire"], "value": "5 mm"}, "air"),
        ("POST", "pieces/forearm_guard", {"path": ["cloth"], "value": "moonlight"}, "moonlight"),
        ("POST", "pieces/forearm_guard", {"path": ["edges", "top"], "value": {"word": "x"}}, "words"),
        ("POST", "pieces/nobody/remove", {}, "nobody"),
        ("POST", "pieces", {**GUARD, "edges": {"top": "guard_top"}}, "bottom"),
        ("POST", "pieces", {**GUARD, "kind": "wrop"}, "wrap"),
    ],
)
def test_what_cannot_be_is_answered_with_where_and_what_to_do_and_nothing_is_written(
    client, folder, method, path, body, said
):
    before = (folder / COSTUME).read_bytes()
    answer = client.request(method, f"/api/costume/{path}", json=body)
    assert answer.status_code == 422
    told = answer.json()
    assert COSTUME in told["where"]
    assert told["advice"] or told["what"].count(".") > 0
    assert said in told["what"] + told["advice"]
    assert (folder / COSTUME).read_bytes() == before
    assert not client.get("/api/state").json()["undo"]


def test_the_line_is_the_line_of_the_text_that_was_refused(client, folder):
    answer = client.put("/api/costume/edges/guard_top", json={"words": "at the moon"})
    lines = (folder / COSTUME).read_text().splitlines()
    assert answer.json()["where"] == f"costume.toml, line {lines.index('[edges.guard_top]') + 1}"


def test_an_edit_of_a_text_that_moved_on_is_refused_before_anything_else(client, folder):
    base = client.get("/api/costume").json()["revisions"]
    text = (folder / COSTUME).read_text().replace('slug = "forearm_guard"', 'slug = "renamed"')
    (folder / COSTUME).write_text(text)
    for path, body in [
        ("pieces/forearm_guard", {"path": ["layer"], "value": 2}),
        ("pieces/forearm_guard/remove", {}),
        ("pieces", GUARD),
    ]:
        answer = client.post(f"/api/costume/{path}", json={**body, "base": {COSTUME: base[COSTUME]}})
        assert answer.status_code == 409
        assert answer.json()["where"] == COSTUME
    assert (folder / COSTUME).read_text() == text


def test_line_ends_of_another_system_stay(client, folder):
    (folder / COSTUME).write_bytes((folder / COSTUME).read_bytes().replace(b"\n", b"\r\n"))
    assert client.put("/api/costume/edges/guard_top", json={"words": "at the elbow"}).status_code == 200
    written = (folder / COSTUME).read_bytes()
    assert written.count(b"\n") == written.count(b"\r\n")


def test_a_broken_file_is_told_with_its_line(client, folder):
    (folder / COSTUME).write_text('format = 1\nname = "x"\n[[pieces]\n')
    answer = client.get("/api/costume")
    assert answer.status_code == 422
    assert "line 3" in answer.json()["where"]
    assert client.get("/costume").status_code == 200


def test_the_wearer_carries_the_lines(client, done):
    seen = done(client.post("/api/lines/me", json={"view": "left"}))
    (panel,) = seen["panels"]
    assert panel["title"] == "The wearer"
    assert panel["picture"].startswith("data:image/png;base64,")
    assert {line["edge"] for line in panel["lines"]} == {"guard_top", "guard_foot"}
    assert seen["edges"]["guard_top"]["checks"]
