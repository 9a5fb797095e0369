"""The cutting table over HTTP: drafting, drawings, paper, and what is cut already."""

import io
from xml.etree import ElementTree as ET

import ezdxf
import pypdfium2
import pytest

CUT = "wearers/me.cut.json"
WEARER = "wearers/me.toml"
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def table(client, done):
    return done(client.post("/api/draft/me"))


def piece_of(table):
    return table["statements"][0]["pieces"][0]


def test_every_piece_with_verdict_and_what_would_lift_it(table):
    (guard,) = table["statements"]
    piece = piece_of(table)
    assert piece["label"] == "Forearm guard"
    assert piece["verdict"] in ("paper", "scrap", "good material")
    assert piece["reasons"]
    assert all(reason["lifted_by"] for reason in piece["reasons"])
    assert len(piece["totals"]) == 3
    assert piece["totals"][0]["length"].endswith("cm")
    assert piece["cautions"]
    assert guard["passed"]
    assert piece["cut"] is None


def test_the_drawing_is_true_to_size_with_a_group_for_every_kind_of_line(client, table):
    piece = piece_of(table)
    answer = client.get(f"/api/drawings/me/{piece['slug']}.svg")
    assert answer.headers["content-type"].startswith("image/svg+xml")
    drawn = ET.fromstring(answer.text)
    assert drawn.get("width").endswith("mm")
    groups = {group.get("class") for group in drawn.iter(f"{SVG}g")}
    assert {"piece", "cut", "stitch", "grain", "words"} <= groups
    inks = client.get("/api/cut").json()["inks"]
    assert groups - {"piece"} <= set(inks)
    # Words may stand beside the piece, so the drawing is at least as large as its outline.
    assert float(drawn.get("width")[:-2]) >= piece["shape"]["width"]
    assert client.get("/api/drawings/me/nothing.svg").status_code == 404


@pytest.mark.parametrize("paper", ["a4", "letter", "a0", "projector"])
def test_as_many_sheets_come_as_were_said(client, done, table, paper):
    wanted = {"pieces": [piece_of(table)["slug"]], "paper": paper}
    said = done(client.post("/api/sheets/me", json=wanted))
    preview = ET.fromstring(said["preview"])
    pages = [rect for rect in preview.iter(f"{SVG}rect") if rect.get("class") == "page"]
    assert len(pages) == said["joined"]
    made = done(client.post("/api/print/me", json=wanted))
    pdf = client.get(made["address"])
    assert pdf.headers["content-type"] == "application/pdf"
    with pypdfium2.PdfDocument(io.BytesIO(pdf.content)) as opened:
        assert len(opened) == said["sheets"] == made["sheets"]


def test_exchange_files_and_where_everything_lies(client, done, table, folder):
    svg = done(client.post("/api/print/me", json={"kind": "svg"}))
    assert ET.fromstring(client.get(svg["address"]).content).tag == f"{SVG}svg"
    dxf = done(client.post("/api/print/me", json={"kind": "dxf"}))
    assert ezdxf.read(io.StringIO(client.get(dxf["address"]).text)).modelspace()
    assert {path.name for path in (folder / "printed").iterdir()} == {
        ".gitignore",
        "me-all.svg",
        "me-all.dxf",
    }
    assert "*" in (folder / "printed/.gitignore").read_text().splitlines()
    assert "printed/" in (folder / ".gitignore").read_text().splitlines()
    for name in (".gitignore", "..%2Fwearers%2Fme.toml", "me-all.exe"):
        assert client.get(f"/printed/{name}").status_code == 404


def test_a_piece_is_marked_as_cut_and_unmarked(client, table, folder):
    piece = piece_of(table)
    mark = {"piece": piece["slug"], "cut": True, "fingerprint": piece["fingerprint"]}
    answer = client.post("/api/cut/me", json=mark)
    assert answer.status_code == 200, answer.text
    assert answer.json()["cut"]["state"] == "holds"
    assert answer.json()["undo"] == "mark Forearm guard as cut"
    assert CUT in answer.json()["revisions"]
    assert (folder / CUT).is_file()
    again = client.get("/api/table/me").json()
    assert again["drafted"]
    assert piece_of(again)["cut"]["differs"] == 0.0
    assert client.post("/api/cut/me", json={**mark, "cut": False}).json()["cut"] is None
    client.post("/api/undo")
    client.post("/api/undo")
    assert not (folder / CUT).exists()


def change_tape(folder, before, after):
    text = (folder / WEARER).read_text()
    assert before in text
    (folder / WEARER).write_text(text.replace(before, after))


def test_a_changed_tape_tells_which_cut_pieces_it_spoils(client, done, table, folder):
    piece = piece_of(table)
    mark = {"piece": piece["slug"], "cut": True, "fingerprint": piece["fingerprint"]}
    client.post("/api/cut/me", json=mark)
    change_tape(folder, 'hip_girth = "102 cm"', 'hip_girth = "102.1 cm"')
    assert not client.get("/api/table/me").json()["drafted"]
    held = piece_of(done(client.post("/api/draft/me")))["cut"]
    assert held["state"] == "holds"
    assert held["differs"] <= 1.0
    change_tape(folder, 'wrist_girth = "16.5 cm"', 'wrist_girth = "18.5 cm"')
    after = piece_of(done(client.post("/api/draft/me")))
    assert after["cut"]["state"] == "spoiled"
    assert after["cut"]["differs"] > 1.0
    assert after["fingerprint"] != piece["fingerprint"]


def test_a_piece_is_not_marked_unseen(client, table):
    piece = piece_of(table)
    mark = {"piece": piece["slug"], "cut": True, "fingerprint": "another"}
    answer = client.post("/api/cut/me", json=mark)
    assert answer.status_code == 422
    assert "another" in answer.json()["what"]


def test_two_windows_do_not_write_over_each_other(client, table):
    piece = piece_of(table)
    base = client.get("/api/cut").json()["revisions"]
    mark = {"piece": piece["slug"], "cut": True, "fingerprint": piece["fingerprint"]}
    base.setdefault(CUT, "absent")
    assert client.post("/api/cut/me", json={**mark, "base": base}).status_code == 200
    answer = client.post("/api/cut/me", json={**mark, "cut": False, "base": base})
    assert answer.status_code == 409
    assert answer.json()["where"] == CUT


def test_a_bad_file_of_cut_pieces_does_not_hide_the_table(client, done, folder):
    (folder / CUT).write_text("[")
    table = done(client.post("/api/draft/me"))
    assert piece_of(table)["label"] == "Forearm guard"
    assert table["cut_trouble"]["where"] == CUT
    piece = piece_of(table)
    mark = {"piece": piece["slug"], "cut": True, "fingerprint": piece["fingerprint"]}
    assert client.post("/api/cut/me", json=mark).status_code == 422
    assert (folder / CUT).read_text() == "["


def test_a_piece_that_cannot_be_drafted_says_so_and_the_others_go_on(client, done, folder):
    client.put("/api/costume/edges/guard_foot", json={"words": "9 % from wrist to elbow"})
    new = {
        "kind": "wrap",
        "label": "Thin band",
        "cloth": "vegetable_tanned_leather_2mm",
        "side": "left",
        "edges": {
            "top": {"words": "10 % from wrist to elbow"},
            "bottom": {"words": "60 % from wrist to elbow"},
        },
    }
    assert client.post("/api/costume/pieces", json=new).status_code == 200
    guard, band = done(client.post("/api/draft/me"))["statements"]
    assert guard["pieces"]
    assert not band["pieces"]
    assert band["remarks"]


def test_nothing_is_drawn_before_it_is_drafted(client):
    for path in ("/api/sheets/me", "/api/print/me"):
        assert client.post(path, json={}).status_code == 422
    assert client.get("/api/table/me").status_code == 422
    assert client.post("/api/draft/nobody").status_code == 422
    assert client.get("/cut").status_code == 200
    assert client.get("/cut/me").status_code == 200
