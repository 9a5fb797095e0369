"""What is cut is kept, and held against what would be cut now; the numbers are worked out by hand."""

import json
from dataclasses import replace

import numpy as np
import pytest

from layfigure.errors import FileError, FileVersionError
from layfigure.piece.piece import Grainline, Piece, PieceEdge, Total, Verdict, Window
from layfigure.pipeline import cut_pieces
from layfigure.pipeline.cut_file import cut_text, parse_cut
from layfigure.pipeline.cut_pieces import CutPiece, Standing, cut_piece


def strip(length=300.0, width=80.0, *, turn=0.0, window=None, cloth="felt", count=1) -> Piece:
    """A rectangle without allowances. window : where a square window of 20 mm begins, from its left end."""
    c, s = np.cos(turn), np.sin(turn)
    spin = np.array([[c, s], [-s, c]])
    corners = np.array([[0.0, 0.0], [length, 0.0], [length, width], [0.0, width], [0.0, 0.0]]) @ spin
    edges = tuple(
        PieceEdge(slug=f"edge_{k}", curve=corners[k : k + 2], role="opening", allowance=0.0) for k in range(4)
    )
    square = np.array([[0.0, 30.0], [20.0, 30.0], [20.0, 50.0], [0.0, 50.0]])
    windows = (
        () if window is None else (Window(slug="moon", curve=(square + np.array([window, 0.0])) @ spin),)
    )
    return Piece(
        slug="strip",
        label="Strip",
        kind="wrap",
        cloth=cloth,
        edges=edges,
        windows=windows,
        grainline=Grainline(start=(0.0, 0.0), end=(1.0, 0.0), kind="any"),
        totals=(Total(what="long edge", length=length),),
        verdict=Verdict(level="scrap"),
        count=count,
    )


def standing(cut: CutPiece, now: Piece | None) -> Standing:
    return cut_pieces.standing(cut, None if now is None else cut_piece(now))


def test_a_piece_that_is_as_it_was_holds_exactly():
    assert standing(cut_piece(strip()), strip()).state == "holds"
    assert standing(cut_piece(strip()), strip()).differs == 0.0


def test_where_it_lies_on_the_paper_says_nothing():
    stands = standing(cut_piece(strip(window=40.0)), strip(window=40.0, turn=1.1))
    assert stands.state == "holds"
    assert stands.differs == pytest.approx(0.0, abs=0.03)


@pytest.mark.parametrize(
    ("longer", "state"), [(1.6, "holds"), (-1.6, "holds"), (6.0, "spoiled"), (-6.0, "trim")]
)
def test_a_longer_strip_is_off_by_half_at_either_end(longer, state):
    stands = standing(cut_piece(strip()), strip(300.0 + longer))
    assert stands.state == state
    assert stands.differs == pytest.approx(abs(longer) / 2, abs=0.15)
    assert f"{stands.differs:.1f} mm" in stands.words


def test_a_window_that_moved_spoils_it_and_an_equal_outline_does_not_save_it():
    stands = standing(cut_piece(strip(window=40.0)), strip(window=47.0))
    assert stands.state == "spoiled"
    assert stands.differs == pytest.approx(7.0, abs=0.05)
    assert "windows" in stands.words.lower()
    assert standing(cut_piece(strip(window=40.0)), strip()).state == "spoiled"


def test_another_cloth_spoils_it_and_more_of_them_does_not():
    assert standing(cut_piece(strip()), strip(cloth="leather")).state == "spoiled"
    more = standing(cut_piece(strip()), strip(count=3))
    assert more.state == "holds"
    assert "2 more" in more.words


def test_a_piece_the_costume_has_no_more_is_told():
    assert standing(cut_piece(strip()), None).state == "gone"


def test_no_word_holds_a_size():
    for now in (strip(311.0), strip(290.0), strip(window=3.0), None):
        words = standing(cut_piece(strip()), now).words
        assert not {"300", "311", "290", "80.0"} & set(words.replace(".", " ").split())


def test_the_file_reads_back_and_says_the_same():
    cut = {"strip": cut_piece(strip(window=40.0)), "other": replace(cut_piece(strip(200.0)), slug="other")}
    back = parse_cut(cut_text(cut), name="ada.cut.json")
    assert [piece.fingerprint for piece in back.values()] == [piece.fingerprint for piece in cut.values()]
    assert standing(back["strip"], strip(window=40.0)).state == "holds"
    assert parse_cut("", name="ada.cut.json") == {}
    assert parse_cut(cut_text({}), name="ada.cut.json") == {}


CROSSED = "[[411, 0], [411, 1], [0, 0], [0, 411]]"
WORDS = '[[411.5, 0], [1, "x"], [0, 2]]'


def one_piece(outline: str) -> str:
    return f'{{"format": 1, "pieces": {{"a": {{"label": "A", "fingerprint": "x", "outline": {outline}}}}}}}'


@pytest.mark.parametrize(
    "text",
    [
        "[",
        "[]",
        '{"format": 1, "pieces": {"a": {"label": "A"}}}',
        '{"format": 1, "peices": {}}',
        one_piece(CROSSED),
        one_piece(WORDS),
    ],
)
def test_a_bad_file_is_refused_without_repeating_what_it_holds(text):
    with pytest.raises(FileError) as refused:
        parse_cut(text, name="ada.cut.json")
    assert "411" not in str(refused.value)
    assert "ada.cut.json" in str(refused.value)


def test_a_newer_format_is_refused():
    newer = json.dumps({"format": 2, "pieces": {}})
    with pytest.raises(FileVersionError):
        parse_cut(newer, name="ada.cut.json")
