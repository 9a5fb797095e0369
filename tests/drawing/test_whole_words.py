from dataclasses import replace

import pytest
import shapely

from layfigure.drawing.paper.numbered_pieces import pieces_on_sheets
from layfigure.drawing.paper.pattern_pdf import laid_out
from layfigure.drawing.paper.printed_once import also_cut, printed_once
from layfigure.drawing.paper.sizes import PAPERS
from layfigure.drawing.paper.tiling import Tiling, lay_out
from layfigure.drawing.paper.whole_words import cut_words, join_lines
from layfigure.drawing.sheet import record, text_box
from layfigure.piece.draw import Heading
from layfigure.piece.pen import DrawnText
from layfigure.piece.seam_book import SeamBook
from sample_pieces import all_samples, leg_panel

SAMPLES = all_samples()
HEADING = Heading(costume="Brindle", wearer="Ada", seams=SeamBook.of(SAMPLES))


@pytest.fixture(scope="module")
def layouts() -> tuple[Tiling, Tiling]:
    """As nesting left it, and as it is printed."""
    printed, copies = printed_once(SAMPLES, HEADING.seams)
    said = replace(HEADING, also=also_cut(copies, HEADING))
    before = lay_out([record(piece, said) for piece in printed], PAPERS["a4"])
    return before, laid_out(SAMPLES, PAPERS["a4"], HEADING)


def cut_on(tiling: Tiling) -> list[DrawnText]:
    lines = join_lines(tiling)
    return [t for drawn, offset in tiling.sheet.placed for t in cut_words(drawn, [x - offset for x in lines])]


def test_few_words_are_cut_by_a_join_and_no_title_where_there_is_room(layouts: tuple[Tiling, Tiling]) -> None:
    before, after = layouts
    assert len(cut_on(before)) > 10
    assert len(cut_on(after)) <= len(cut_on(before)) // 3
    titles = {"Leg front", "Leg back"}
    assert titles.isdisjoint(text.words for text in cut_on(after))


def test_pages_and_places_stay_and_no_word_is_lost(layouts: tuple[Tiling, Tiling]) -> None:
    before, after = layouts
    assert after.tiles == before.tiles
    for (old, there), (new, here) in zip(before.sheet.placed, after.sheet.placed, strict=True):
        assert here == there
        assert {text.words for text in new.texts} == {text.words for text in old.texts}
        boxes = [text_box(text) for text in new.texts]
        assert all(a.intersection(b).area < 1e-6 for i, a in enumerate(boxes) for b in boxes[i + 1 :])


def test_joins_are_where_pages_end(layouts: tuple[Tiling, Tiling]) -> None:
    _, tiling = layouts
    ends = {tile.right for tile in tiling.tiles} | {tile.bottom for tile in tiling.tiles}
    lines = join_lines(tiling)
    assert len(lines) == tiling.columns + tiling.rows - 2
    assert all({line[0, 0], line[0, 1]} & ends for line in lines)


def test_a_piece_on_one_sheet_is_left_as_it_was() -> None:
    piece = leg_panel("leg_front")
    assert laid_out([piece], PAPERS["a0"], HEADING).sheet.placed[0][0] is record(piece, HEADING)


def test_every_sheet_names_the_pieces_it_shows(layouts: tuple[Tiling, Tiling]) -> None:
    _, tiling = layouts
    named = pieces_on_sheets(tiling)
    assert set(named) == {tile.name for tile in tiling.tiles}
    assert "1 Forearm guard, left" in {words for words_of_page in named.values() for words in words_of_page}
    for tile in tiling.tiles:
        for number, (drawn, offset) in enumerate(tiling.sheet.placed, start=1):
            cut = next(line.points for line in drawn.lines if line.ink == "boundary")
            shown = shapely.Polygon(cut + offset).intersects(tile.box)
            assert shown == any(words.startswith(f"{number} ") for words in named[tile.name])
