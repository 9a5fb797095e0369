"""The second costume is a whole folder that every reader accepts, and its truth is its own."""

from pathlib import Path

import numpy as np
import pytest
from tests.truth.second_costume import WEARER, second_scene, write_second_costume

from layfigure.body.wearer_file import read_wearer
from layfigure.design.costume_file import read_costume
from layfigure.design.marks_file import read_marks


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_second_costume(tmp_path_factory.mktemp("fenn_reach"), height=700)


def test_every_file_is_read_without_complaint(folder: Path) -> None:
    costume = read_costume(folder)
    marks = read_marks(folder / "marks.json", edges=costume.marked_slugs())
    assert not marks.missing
    assert {picture.view for picture in marks.pictures} == {"front", "back", "left"}
    marked = {edge.slug for picture in marks.pictures for edge in picture.edges}
    wanted = {edge.marked_as for edge in costume.edges.values() if edge.words is None}
    both = {f"{slug}_{side}" for slug in ("greave_top", "greave_bottom") for side in ("left", "right")}
    assert marked == (wanted - {"greave_top", "greave_bottom"}) | both
    assert read_wearer(folder / "wearers" / f"{WEARER}.toml").warnings == ()


def test_the_character_is_far_from_the_average(folder: Path) -> None:
    assert (folder / "truth.json").is_file()
    scene = second_scene()
    character = scene.character
    heads = character.stature / (character.levels["crown"] - character.levels["chin"])
    waist = scene.charts["torso"].chart.girth(np.array([3.0]))[0]
    hip = scene.charts["torso"].chart.girth(np.array([4.0]))[0]
    assert heads > 8.4
    assert waist / hip < 0.66
