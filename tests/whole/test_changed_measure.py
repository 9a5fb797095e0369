"""What changes when something changes, and that nothing else does."""

import re
import shutil
from pathlib import Path

import pytest
from tests.whole.made_costumes import Made, make_once

from layfigure.drawing.paper.pattern_pdf import forget_layouts
from layfigure.drawing.sheet import forget_drawings
from layfigure.piece.piece import Piece
from layfigure.pipeline.folder import open_costume
from layfigure.pipeline.make import make
from layfigure.pipeline.work import Work, plan
from layfigure.recompute.cache import Cache
from layfigure.recompute.graph import Graph


@pytest.fixture(scope="module")
def second(shared: Path) -> Made:
    """The costume written by script: the quickest of those that are made anyway."""
    return make_once(shared, "lamplighter on pell")


@pytest.fixture
def copy(second: Made, tmp_path: Path) -> Path:
    """Its folder, to be changed."""
    return Path(shutil.copytree(second.root, tmp_path / "costume"))


def planned(second: Made, folder: Path) -> tuple[Work, Graph]:
    """The stages of a folder over what was remembered when the costume was made."""
    opened = open_costume(folder)
    graph = Graph(Cache(second.cache / "layfigure"))
    return plan(opened, opened.wearer(second.wearer), graph), graph


def change(file: Path, pattern: str, new: str) -> None:
    text, count = re.subn(pattern, new, file.read_text(encoding="utf-8"), flags=re.MULTILINE)
    assert count == 1
    file.write_text(text, encoding="utf-8")


def test_the_same_files_elsewhere_ask_for_nothing_again(second: Made, copy: Path) -> None:
    """Nor does the wearer's note: nothing is read from it."""
    change(copy / "wearers" / f"{second.wearer}.toml", r"^note = .*$", 'note = "in the evening"')
    work, graph = planned(second, copy)
    work.study.value()
    work.placed.value()
    for node in work.drafts.values():
        node.value()
    assert graph.ran == []


def test_the_same_input_gives_the_same_bytes(second: Made, copy: Path, tmp_path: Path) -> None:
    """Drawn again from remembered pieces: every file, byte for byte, paper and report among them."""
    known, _ = planned(second, copy)
    opened = open_costume(copy)
    graph = Graph()
    work = plan(opened, opened.wearer(second.wearer), graph)
    for fresh, node in ((work.study, known.study), (work.body, known.body), (work.placed, known.placed)):
        fresh.learn(node.value())
    for slug, fresh in work.drafts.items():
        fresh.learn(known.drafts[slug].value())
    graph.ran.clear()
    forget_drawings()
    forget_layouts()
    make(work, tmp_path / "again", papers=("a4", "projector"))
    assert "_printed" in graph.ran
    assert "run_draft" not in graph.ran
    first = {path.name: path.read_bytes() for path in second.out.iterdir()}
    again = {path.name: path.read_bytes() for path in (tmp_path / "again").iterdir()}
    assert first.keys() == again.keys()
    assert [name for name in first if first[name] != again[name]] == []


def test_results_that_are_remembered_are_not_drawn_again(second: Made, copy: Path, tmp_path: Path) -> None:
    work, _ = planned(second, copy)
    make(work, tmp_path / "first", papers=("a4", "projector"))
    work, graph = planned(second, copy)
    make(work, tmp_path / "again", papers=("a4", "projector"))
    assert graph.ran == []
    first = {path.name: path.read_bytes() for path in (tmp_path / "first").iterdir()}
    assert first == {path.name: path.read_bytes() for path in (tmp_path / "again").iterdir()}


def test_a_stage_run_again_gives_the_same_numbers(second: Made, copy: Path) -> None:
    """Computed afresh, with nothing remembered: the golden rule behind every golden file."""
    work, _ = planned(second, copy)
    opened = open_costume(copy)
    graph = Graph(Cache())
    fresh = plan(opened, opened.wearer(second.wearer), graph, only=["sash", "arm_band"])
    for slug, node in fresh.drafts.items():
        before, after = work.drafts[slug].value(), node.value()
        assert [piece.slug for piece in after.pieces] == [piece.slug for piece in before.pieces]
        for one, other in zip(before.pieces, after.pieces, strict=True):
            assert one.stitch_line.tolist() == other.stitch_line.tolist()
            assert [total.length for total in one.totals] == [total.length for total in other.totals]
    assert graph.ran.count("run_study") == 1
    assert graph.ran.count("run_body") == 1


def test_one_changed_measure_redrafts_and_reads_no_picture_again(second: Made, copy: Path) -> None:
    change(
        copy / "wearers" / f"{second.wearer}.toml",
        r'^upper_arm_girth = "12 1/4 in"$',
        'upper_arm_girth = "12 1/2 in"',
    )
    work, graph = planned(second, copy)
    before = second.work.drafts["arm_band"].value()
    after = work.drafts["arm_band"].value()
    assert sorted(graph.ran) == ["run_body", "run_draft", "run_place"]
    assert graph.ran[-1] == "run_draft"
    # A quarter inch more round the arm: the band grows by about as much, and stays within twice of it.
    grown = top_edge(after) - top_edge(before)
    assert 0.25 * 6.35 < grown < 2.0 * 6.35


def top_edge(result: object) -> float:
    (piece,) = result.pieces  # type: ignore[attr-defined]
    return max(edge.length for edge in piece.edges)


def test_a_word_changed_in_the_design_leaves_body_and_pictures_alone(second: Made, copy: Path) -> None:
    change(copy / "costume.toml", r"^words = \"4 cm above the wrist\"$", 'words = "5 cm above the wrist"')
    work, graph = planned(second, copy)
    for node in work.drafts.values():
        node.value()
    assert graph.ran == ["run_place", "run_draft"], "the edge is placed, and the one piece it bounds drafted"


def test_a_comment_or_a_piece_alone_moves_no_edge(second: Made, copy: Path) -> None:
    costume = copy / "costume.toml"
    costume.write_text("# a line more\n" + costume.read_text(encoding="utf-8"), encoding="utf-8")
    work, graph = planned(second, copy)
    for node in work.drafts.values():
        node.value()
    assert graph.ran == [], "a comment changes line numbers, which only word messages"
    text = costume.read_text(encoding="utf-8")
    costume.write_text(text.replace('label = "', 'label = "New ', 1), encoding="utf-8")
    work, graph = planned(second, copy)
    for node in work.drafts.values():
        node.value()
    # A draft may ask for the design's own meshes again, which this process or the store remembers.
    assert not {"run_study", "run_body", "run_place"} & set(graph.ran)
    assert 0 < graph.ran.count("run_draft") < len(work.chosen)


def test_another_wearer_leaves_the_pictures_alone(second: Made, copy: Path) -> None:
    text = (copy / "wearers" / f"{second.wearer}.toml").read_text(encoding="utf-8")
    (copy / "wearers" / "other.toml").write_text(text.replace('"33 in"', '"34 in"'), encoding="utf-8")
    opened = open_costume(copy)
    graph = Graph(Cache(second.cache / "layfigure"))
    work = plan(opened, opened.wearer("other"), graph)
    work.placed.value()
    assert graph.ran == ["run_body", "run_place"]


STANDING = """
stature = "163.4 cm"
bust_height = "117.2 cm"
waist_height = "101.0 cm"
hip_height = "81.4 cm"
crotch_height = "75.8 cm"
knee_height = "45.2 cm"
"""


@pytest.mark.parametrize("tape", ["hip_girth", "crotch_height"])
def test_a_tape_left_out_takes_good_material_away(shared: Path, tmp_path: Path, tape: str) -> None:
    """The leggings are of tested cloth; with every tape they hang on taken standing they are trusted."""
    first = make_once(shared, "brindle on quillfeather")
    folder = Path(shutil.copytree(first.root, tmp_path / "costume"))
    wearer = folder / "wearers" / "quillfeather.toml"
    text = wearer.read_text(encoding="utf-8")
    text = re.sub(
        r"^(posture|sitting|seat_to|buttock|knee_height_sitting|popliteal).*\n", "", text, flags=re.MULTILINE
    )
    wearer.write_text(text + STANDING, encoding="utf-8")
    graph = Graph(Cache(first.cache / "layfigure"))

    def leggings() -> tuple[Piece, ...]:
        opened = open_costume(folder)
        return plan(opened, opened.wearer("quillfeather"), graph).drafts["leggings"].value().pieces

    assert {piece.verdict.level for piece in leggings()} == {"good material"}
    change(wearer, rf"^{tape} = .*\n", "")
    words = tape.replace("_", " ")
    for piece in leggings():
        assert piece.verdict.level != "good material"
        assert any(words in reason.why and reason.lifted_by for reason in piece.verdict.reasons)
