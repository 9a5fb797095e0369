"""The second costume is a whole folder that every reader accepts, and its truth is its own."""

from collections.abc import Iterable
from pathlib import Path

import numpy as np
import pytest
from tests.truth.second_costume import WEARER, second_scene, write_second_costume

from layfigure.body.wearer_file import read_wearer
from layfigure.design.costume_file import read_costume
from layfigure.design.design import PieceStatement
from layfigure.design.marks_file import read_marks
from layfigure.draft.registry import known_kinds

BRINDLE = Path(__file__).parents[2] / "examples" / "brindle"


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


def test_it_has_a_piece_of_every_kind_and_shares_no_shape_with_the_demonstration(folder: Path) -> None:
    pieces, shown = read_costume(folder).pieces, read_costume(BRINDLE).pieces
    assert {piece.kind for piece in pieces} == set(known_kinds())

    def shapes(own: Iterable[PieceStatement]) -> set[tuple[str, str]]:
        named = ("garment", "form", "shape", "style", "use", "made_of", "over", "circle", "fastening")
        return {
            (piece.kind, f"{name} {piece.options[name]}")
            for piece in own
            for name in named
            if name in piece.options
        }

    # Leggings alone are in both: trousers that close to the skin are what a knit is first asked for.
    assert shapes(pieces) & shapes(shown) == {("knit", "garment leggings")}
    # Nor any cloth, but for the paper strip that a strand is laid out on, and what has no cloth at all.
    assert {piece.cloth for piece in pieces} & {piece.cloth for piece in shown} == {"pattern_paper", ""}


def test_its_wearer_has_other_proportions_than_the_demonstration_s(folder: Path) -> None:
    def proportions(root: Path, name: str) -> dict[tuple[str, str], float]:
        measures = read_wearer(root / "wearers" / f"{name}.toml").standing_measures
        ofs = (("waist_girth", "hip_girth"), ("hip_girth", "stature"), ("bust_girth", "hip_girth"))
        return {(a, b): measures[a] / measures[b] for a, b in ofs if a in measures and b in measures}

    own = proportions(folder, WEARER)
    for name in ("ostrander", "quillfeather"):
        other = proportions(BRINDLE, name)
        both = own.keys() & other.keys()
        assert both, name
        assert max(abs(own[of] - other[of]) / other[of] for of in both) > 0.05, name


def test_the_character_is_far_from_the_average(folder: Path) -> None:
    assert (folder / "truth.json").is_file()
    scene = second_scene()
    character = scene.character
    heads = character.stature / (character.levels["crown"] - character.levels["chin"])
    waist = scene.charts["torso"].chart.girth(np.array([3.0]))[0]
    hip = scene.charts["torso"].chart.girth(np.array([4.0]))[0]
    assert heads > 8.4
    assert waist / hip < 0.66
