"""The page on the files is true: its examples are read by the readers it documents."""

import re
from pathlib import Path

import pytest

from layfigure.body.levels import all_region_names
from layfigure.body.measures import ALIASES
from layfigure.body.wearer_file import parse_wearer
from layfigure.design.costume import check_cloths
from layfigure.design.costume_file import parse_costume
from layfigure.design.mark_names import LANDMARK_NAMES
from layfigure.design.marks_file import parse_marks
from layfigure.design.relative_words import parse_placement
from layfigure.errors import PlacementError
from layfigure.materials.material_file import parse_materials, parse_stock
from layfigure.materials.starter import starter_cloths

PAGE = (Path(__file__).parents[2] / "docs/files.md").read_text(encoding="utf-8")


def blocks(kind: str) -> list[str]:
    found = re.findall(rf"```\w+ {kind}\n(.*?)```", PAGE, re.DOTALL)
    assert found, kind
    return found


def test_wearers_read_as_told() -> None:
    full, small = (parse_wearer(text) for text in blocks("wearer"))
    assert full.measures["waist_girth"] == pytest.approx(745.0)
    assert full.measures["bust_girth"] == pytest.approx(968.0)
    assert full.measures["wrist_girth_left"] == full.measures["wrist_girth_right"] == 155.0
    assert set(small.measures) == {"stature", "bust_girth", "hip_girth"}


def test_marks_and_costume_read_and_fit_together() -> None:
    (costume_text,), (marks_text,) = blocks("costume"), blocks("marks")
    costume = parse_costume(costume_text)
    marks = parse_marks(marks_text, edges=costume.marked_slugs())
    assert marks.edge_slugs() == ("thigh_band", "chest_window")
    assert {piece.slug for piece in costume.pieces} == {"shin_guard_left", "shin_guard_right"}
    check_cloths(costume, starter_cloths())


def test_materials_read_as_told() -> None:
    text, supplies = blocks("materials")
    cloths = parse_materials(text)
    assert cloths["suit_knit"].tested
    assert not cloths["dyed_knit"].tested
    assert cloths["dyed_knit"].stretch_across == pytest.approx(0.6)
    stock = parse_stock(supplies)
    assert stock.supply("coat_cloth").swatch
    assert stock.supply("armour_foam").finish in stock.finishes
    assert stock.hardware["snap_10mm"].on_shelf == 12


def test_every_phrase_of_the_page_is_understood() -> None:
    table = PAGE.split("### What can be said in words")[1].split("## `materials.toml`")[0]
    rows = [line.split("|")[1] for line in table.splitlines() if line.startswith("| `")]
    phrases = [phrase for row in rows for phrase in re.findall(r"`([^`]+)`", row)]
    assert len(phrases) >= 14
    edges = {name: name for name in ("shin_top", "shin_bottom", "belt", "guard_top", "window_3")}
    for phrase in phrases:
        whole = phrase.replace("…", "at the knee")
        try:
            parse_placement(whole, edges=edges, side="left")
        except PlacementError:
            parse_placement(whole, edges=edges, side="middle")


def test_every_landmark_and_region_is_on_the_page() -> None:
    for name in LANDMARK_NAMES:
        stem = re.sub(r"_(left|right)(_inner|_outer)?$|_(front|back)$", "", name)
        assert stem in PAGE, name
    for region in all_region_names():
        assert re.sub(r"_(left|right)$", "", region) in PAGE, region
    assert "chest" in ALIASES
