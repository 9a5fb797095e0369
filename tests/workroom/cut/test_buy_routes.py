"""Buying over HTTP: the list, the layouts it comes from, a longer search, another material."""

from xml.etree import ElementTree as ET

import pytest

PRICED = """format = 1
currency = "EUR"

[materials.vegetable_tanned_leather_2mm]
like = "vegetable_tanned_leather_2mm"
price = "9 per ft2"
seller = "leather dealer"
errand = "post"

[materials.plate]
like = "eva_foam_5mm"
width = "100 cm"
sheet_length = "50 cm"
price = "6 per sheet"
"""


@pytest.fixture
def listed(client, done, folder):
    (folder / "materials.toml").write_text(PRICED, encoding="utf-8")
    (folder / "money.toml").write_text("format = 1\nbudget = 1\nrate = 10\n", encoding="utf-8")
    return done(client.post("/api/buy/me"))


def test_the_list_by_errand_with_what_it_comes_to(listed):
    post = next(one for one in listed["errands"] if one["where"] == "By post")
    assert post["seller"] == "leather dealer"
    (leather,) = post["lines"]
    assert leather["price"].endswith("EUR")
    assert "estimate" in leather["remark"]
    assert "over your budget" in listed["sum"]
    assert listed["over"]
    assert listed["pieces"][0]["label"].startswith("Forearm guard")


def test_a_sheet_is_laid_drawn_and_searched_on(client, done, folder, listed):
    costume = folder / "costume.toml"
    text = costume.read_text(encoding="utf-8")
    assert "vegetable_tanned_leather_2mm" in text
    text = text.replace('cloth = "vegetable_tanned_leather_2mm"', 'cloth = "plate"\ncount = 2')
    costume.write_text(text, encoding="utf-8")
    laid = done(client.post("/api/buy/me"))
    (layout,) = (one for one in laid["layouts"] if one["cloth"] == "plate")
    assert layout["buy"].startswith("buy 1 sheet of 50")
    drawing = client.get(layout["drawings"][0])
    assert drawing.headers["content-type"].startswith("image/svg+xml")
    assert ET.fromstring(drawing.text).tag.endswith("svg")
    assert client.get(laid["paper"]).content.startswith(b"%PDF")
    longer = done(client.post("/api/buy/me/longer", json={"cloth": "plate", "seconds": 5}))
    (again,) = (one for one in longer["layouts"] if one["cloth"] == "plate")
    assert again["buy"] == layout["buy"]
    assert again["seconds"] > layout["seconds"]


def test_widths_of_a_roll_are_held_against_each_other(client, done, folder, listed):
    costume = folder / "costume.toml"
    text = costume.read_text(encoding="utf-8")
    costume.write_text(text.replace('"vegetable_tanned_leather_2mm"', '"cotton_calico"'), encoding="utf-8")
    laid = done(client.post("/api/buy/me"))
    (layout,) = (one for one in laid["layouts"] if one["cloth"] == "cotton_calico")
    assert layout["roll"]
    files = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    compared = done(client.post("/api/buy/me/widths", json={"cloth": "cotton_calico"}))
    assert {"90 cm", "110 cm", "140 cm", "150 cm"} <= {row[0] for row in compared["rows"]}
    assert {row[1] for row in compared["rows"]} <= {"single", "folded"}
    assert all(row[3].endswith("m²") for row in compared["rows"])
    assert {path: path.read_bytes() for path in files} == files


def test_another_material_is_tried_and_nothing_written(client, done, folder, listed):
    before = (folder / "costume.toml").read_bytes()
    slug = client.get("/api/buy").json()["pieces"][0]["slug"]
    tried = done(client.post("/api/buy/me/instead", json={"piece": slug, "material": "plate"}))
    rows = {row[0]: row[1:] for row in tried["rows"]}
    assert {"weighs", "its materials", "the whole list", "hours", "thickness", "stiffness"} <= set(rows)
    assert rows["its materials"][1].startswith("6.00 EUR; no price for: hook and loop")
    assert rows["weighs"][0] != rows["weighs"][1]
    assert (folder / "costume.toml").read_bytes() == before


@pytest.mark.parametrize("name", ["..%2f..%2fcostume.toml", "me.toml", "plate.json", "nothing.svg"])
def test_no_other_file_is_handed_out(client, listed, name):
    assert client.get(f"/layouts/me/{name}").status_code == 404


def test_a_slip_in_the_file_of_money_is_told(client, folder):
    (folder / "money.toml").write_text("format = 1\n[pieces.nobody]\nbuy = 3\n", encoding="utf-8")
    answer = client.post("/api/buy/me")
    number = answer.json()["number"]
    seen = {}
    while seen.get("state") not in ("done", "failed"):
        seen = client.get(f"/api/tasks/{number}?wait=true").json()
    assert seen["state"] == "failed"
    assert "nobody" in seen["error"]["what"]
    assert client.post("/api/buy/stranger").status_code == 422


def test_colours_are_judged_where_they_are_described(client, folder):
    assert client.get("/api/colours").json()["colours"] is None
    (folder / "colours.toml").write_text(
        "format = 1\n"
        '[samples.cloth]\nlab = [60.0, 10.0, 20.0]\nilluminant = "D65"\n'
        '[samples.paint]\nlab = [40.0, 50.0, 30.0]\nilluminant = "D65"\n'
        '[[pairs]]\nmatch = ["cloth", "paint"]\n',
        encoding="utf-8",
    )
    answer = client.get("/api/colours")
    assert answer.status_code in (200, 422), answer.text
    if answer.status_code == 422:
        pytest.fail(answer.text)
    assert any("do not match" in line for line in answer.json()["colours"]["attention"])
    (folder / "colours.toml").write_text("format = 1\n[samples.cloth]\nlap = [1, 2, 3]\n", encoding="utf-8")
    wrong = client.get("/api/colours")
    assert wrong.status_code == 422
    assert "lap" in wrong.json()["what"]
