"""Pages measured as a printer would see them: in the page description, and in a rendering."""

import io

import numpy as np
import pikepdf
import pytest

from layfigure.drawing.paper.nesting import tile_count
from layfigure.drawing.paper.pattern_pdf import forget_layouts, laid_out, pattern_pdf, sheet_count
from layfigure.drawing.paper.pdf_pen import fitted, words_width
from layfigure.drawing.paper.plan_lists import runs_of
from layfigure.drawing.paper.sizes import PAPERS, PaperError, find_paper
from layfigure.drawing.paper.tiling import Tiling, lay_out
from layfigure.drawing.sheet import record
from layfigure.errors import DraftError
from layfigure.piece.draw import Heading
from layfigure.piece.lettering import text_width
from layfigure.piece.piece import Piece
from layfigure.piece.seam_book import SeamBook
from printed_pages import joined_diagonals, page_words, rendered, rendered_in_colour, square_sides
from sample_pieces import all_samples, frustum_guard, leg_panel

SAMPLES = all_samples()
HEADING = Heading(costume="Brindle", wearer="Ada", seams=SeamBook.of(SAMPLES))


@pytest.fixture(scope="module")
def pages() -> dict[str, bytes]:
    return {name: pattern_pdf(SAMPLES, paper, HEADING) for name, paper in PAPERS.items()}


def opened(content: bytes) -> pikepdf.Pdf:
    return pikepdf.open(io.BytesIO(content))


# What is said before printing is what is printed.


@pytest.mark.parametrize("name", sorted(PAPERS))
def test_the_sheet_count_is_the_number_of_pages(pages: dict[str, bytes], name: str) -> None:
    with opened(pages[name]) as pdf:
        assert len(pdf.pages) == sheet_count(SAMPLES, PAPERS[name], HEADING)


def test_the_projected_page_is_one_and_the_plan_comes_first(pages: dict[str, bytes]) -> None:
    assert sheet_count(SAMPLES, PAPERS["projector"], HEADING) == 1
    with opened(pages["a0"]) as pdf:
        first, second = (page.mediabox for page in pdf.pages[:2])
        assert [float(v) for v in first[2:]] == pytest.approx([210 / 25.4 * 72, 297 / 25.4 * 72])
        assert [float(v) for v in second[2:]] == pytest.approx([841 / 25.4 * 72, 1189 / 25.4 * 72])


@pytest.mark.parametrize("name", sorted(PAPERS))
def test_a_page_does_not_depend_on_how_numbers_are_printed_on_a_screen(
    pages: dict[str, bytes], name: str
) -> None:
    """Another library may change numpy's print options for the whole process; a page's size did with them."""
    forget_layouts()
    with np.printoptions(legacy="1.13"):
        assert pattern_pdf(SAMPLES, PAPERS[name], HEADING) == pages[name]


def test_tile_count_against_the_worked_example() -> None:
    # 1000 by 1500 on printable 190 by 277 with 10 overlap: 6 by 6 (worked in the trade notes).
    assert tile_count(1000.0, 190.0, 10.0) == 6
    assert tile_count(1500.0, 277.0, 10.0) == 6
    assert tile_count(190.0, 190.0, 10.0) == 1
    assert tile_count(190.1, 190.0, 10.0) == 2


def test_one_piece_alone_needs_few_sheets_and_still_names_its_mate() -> None:
    guard = frustum_guard()
    assert sheet_count([guard], PAPERS["a4"]) == 1 + 2
    content = pattern_pdf([leg_panel("leg_front")], PAPERS["a0"], HEADING)
    with opened(content) as pdf:
        assert len(pdf.pages) == 2


def test_blank_pages_are_not_printed_and_nothing_is_lost() -> None:
    import shapely

    tiling = lay_out([record(piece, HEADING) for piece in SAMPLES], PAPERS["a4"])
    assert tiling.blank
    printed = shapely.union_all([tile.box for tile in tiling.tiles])
    for drawn, (x, y) in tiling.sheet.placed:
        for line in drawn.lines:
            assert printed.covers(shapely.affinity.translate(shapely.LineString(line.points), x, y))


def test_long_lists_run_on_to_more_plan_pages_and_are_counted() -> None:
    from dataclasses import replace

    # Each of a thickness of its own: of pieces that are the same only one would be printed.
    pieces = [
        replace(
            frustum_guard(),
            slug=f"guard_{i}",
            thickness=float(i),
            note=tuple(f"Step {k} of {i}." for k in range(9)),
        )
        for i in range(8)
    ]
    heading = Heading(costume="Brindle", seams=SeamBook.of(pieces))
    tiling = lay_out([record(piece, heading) for piece in pieces], PAPERS["a4"])
    with opened(pattern_pdf(pieces, PAPERS["a4"], heading)) as pdf:
        assert len(pdf.pages) == sheet_count(pieces, PAPERS["a4"], heading) > len(tiling.tiles) + 1


def test_what_is_said_of_a_piece_with_a_window_goes_on_from_what_is_said_of_those_without() -> None:
    from dataclasses import replace

    shared, own = ("Alpha first.", "Beta then."), ("Alpha first.", "Beta then.", "Gamma: cut the window.")
    notes = (shared, own, shared, ("Alpha first.", "Delta."))
    pieces = [
        replace(frustum_guard(), slug=f"guard_{i}", thickness=float(i), note=note)
        for i, note in enumerate(notes)
    ]
    words = page_words(pattern_pdf(pieces, PAPERS["a0"], Heading(costume="B", seams=SeamBook.of(pieces))), 1)
    told = words[words.index("Alpha") - 1 :]
    # Steps stay in order: what differs in the middle is said in full.
    assert [word for word in told if word in ("Alpha", "Beta", "Gamma:", "Delta.")] == [
        *("Alpha", "Beta", "Gamma:"), *("Alpha", "Delta."),
    ]  # fmt: skip
    assert told[0] == "1-3"
    assert told[told.index("Gamma:") - 1] == "2"


def test_many_sheets_are_shown_on_a_page_of_their_own_with_every_name_and_number() -> None:
    from dataclasses import replace

    pieces = [replace(leg_panel("leg_front"), slug=f"leg_{i}", thickness=float(i)) for i in range(20)]
    heading = Heading(costume="Brindle", seams=SeamBook.of(pieces))
    tiling = lay_out([record(piece, heading) for piece in pieces], PAPERS["a4"])
    content = pattern_pdf(pieces, PAPERS["a4"], heading)
    names = {tile.name for tile in tiling.tiles}
    numbers = {str(number) for number in range(1, len(pieces) + 1)}
    assert names | numbers <= set(page_words(content, 2))
    few = pattern_pdf([frustum_guard()], PAPERS["a4"], HEADING)
    assert "A1" in page_words(few, 1)
    with opened(content) as pdf:
        assert len(pdf.pages) == sheet_count(pieces, PAPERS["a4"], heading)


def test_numbers_of_pieces_are_drawn_together() -> None:
    assert runs_of([1, 2, 3, 4, 6]) == "1-4, 6"
    assert runs_of([1, 2, 5]) == "1, 2, 5"
    assert runs_of([]) == ""


def test_a_long_title_is_set_smaller_and_a_short_one_is_left_alone() -> None:
    assert fitted("Brindle", 5.0, 190.0) == 5.0
    title = "Brindle, a carousel figure come alive, " * 4
    assert words_width(title, fitted(title, 5.0, 190.0)) == pytest.approx(190.0)


# How it prints.


@pytest.mark.parametrize("name", sorted(PAPERS))
def test_scaling_is_off_and_layers_can_be_switched(pages: dict[str, bytes], name: str) -> None:
    with opened(pages[name]) as pdf:
        assert pdf.Root.ViewerPreferences.PrintScaling == "/None"
        titles = {str(group.Name) for group in pdf.Root.OCProperties.OCGs}
        assert titles == {
            "Cut lines and allowances",
            "Stitch lines and notches",
            "Balance lines and grain",
            "Words",
        }
        forms = pdf.pages[-1].resources.XObject
        layered = [form for form in forms.values() if "/OC" in form]
        assert len(layered) == 4


def test_one_font_is_embedded_as_a_subset(pages: dict[str, bytes]) -> None:
    with opened(pages["a4"]) as pdf:
        fonts = [
            obj
            for obj in pdf.objects
            if isinstance(obj, pikepdf.Dictionary) and obj.get("/Type") == "/FontDescriptor"
        ]
        assert fonts
        assert all("NotoSans" in str(font.FontName) and "/FontFile2" in font for font in fonts)
        assert len(pages["a4"]) < 300_000


def test_the_same_pieces_give_the_same_file() -> None:
    one, other = (pattern_pdf(SAMPLES[:1], PAPERS["letter"], HEADING) for _ in range(2))
    assert one == other


def test_words_are_never_wider_than_the_room_kept_for_them() -> None:
    for piece in SAMPLES:
        for text in record(piece, HEADING).texts:
            exact = words_width(text.words, text.height)
            assert exact <= text_width(text.words, text.height)
            if len(text.words) > 4:
                assert exact > 0.6 * text_width(text.words, text.height)


def test_bad_requests_say_what_to_do() -> None:
    with pytest.raises(PaperError, match=r"no paper 'a5'.*Known papers: a0, a4, letter, projector"):
        find_paper("a5")
    with pytest.raises(DraftError, match="no piece to draw"):
        pattern_pdf([], PAPERS["a4"], HEADING)


# True to size: the page description, which needs no renderer.


def rectangles(pdf: pikepdf.Pdf, page: int) -> list[tuple[float, float]]:
    """Width and height [mm] of every closed four-sided path on a page, through its transformations."""
    found = []
    stack, matrix = [], np.eye(3)
    path: list[np.ndarray] = []
    for operands, operator in pikepdf.parse_content_stream(pdf.pages[page]):
        op = str(operator)
        if op == "q":
            stack.append(matrix)
        elif op == "Q":
            matrix = stack.pop()
        elif op == "cm":
            a, b, c, d, e, f = map(float, operands)
            matrix = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ matrix
        elif op in ("m", "l"):
            path = [] if op == "m" else path
            path.append((np.array([*map(float, operands), 1.0]) @ matrix)[:2] / 72.0 * 25.4)
        elif op == "h" and len(path) == 4:
            found.append((float(np.ptp([p[0] for p in path])), float(np.ptp([p[1] for p in path]))))
    return found


@pytest.mark.parametrize("name", sorted(PAPERS))
def test_every_page_carries_a_square_of_ten_centimetres(pages: dict[str, bytes], name: str) -> None:
    with opened(pages[name]) as pdf:
        for page in range(len(pdf.pages)):
            squares = [r for r in rectangles(pdf, page) if r == pytest.approx((100.0, 100.0), abs=0.01)]
            assert len(squares) == 1, f"page {page + 1}"


# True to size: as rendered.


def test_the_rendered_square_is_1181_pixels_at_300_dots(pages: dict[str, bytes]) -> None:
    # 100 mm at 300 dots per inch: 1181.1 pixels; the printed scale must hold to 0.1 %, 1.2 pixels.
    for side in square_sides(rendered(pages["a4"], 1, 300)):
        assert side == pytest.approx(100.0 / 25.4 * 300.0, rel=1e-3)


def test_pages_joined_by_their_diamonds_have_the_stated_diagonals() -> None:
    # The sheet is put together as a maker does, diamond to diamond, from the rendered pages alone. The
    # goal is 1 mm in a metre.
    pieces: tuple[Piece, ...] = (leg_panel("leg_front"), leg_panel("leg_back", mirrored=True))
    tiling: Tiling = laid_out(pieces, PAPERS["a4"], HEADING)
    found = joined_diagonals(pattern_pdf(pieces, PAPERS["a4"], HEADING), tiling, 200)
    assert len(found) == 2
    for stated, measured in found:
        assert stated > 900.0
        assert measured == pytest.approx(stated, rel=1e-3)


def test_a_page_is_readable_without_colour(pages: dict[str, bytes]) -> None:
    # Cut lines are the heaviest and darkest thing on a page; nothing relies on colour at all.
    colours = rendered_in_colour(pages["a4"], 2, 50)
    assert np.ptp(colours, axis=2).max() == 0
    assert colours.min() < 60
