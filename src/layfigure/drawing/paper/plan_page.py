"""The first page: how many sheets, how they join, what the lines mean, which pieces, how to make them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from reportlab.pdfgen.canvas import Canvas

from layfigure.drawing.paper.assembly_map import Room, draw_map, fits
from layfigure.drawing.paper.legend import draw_legend
from layfigure.drawing.paper.page_marks import SQUARE, diagonals, draw_test_square
from layfigure.drawing.paper.pdf_pen import MM, fitted, wrapped, write
from layfigure.drawing.paper.plan_lists import ROW, TEXT, TOP_OF_LIST, Row, blocks_of_plan, rows_on_pages
from layfigure.drawing.paper.sizes import PAPERS, Paper
from layfigure.drawing.paper.tiling import Tiling
from layfigure.piece.draw import Heading
from layfigure.told_lengths import told_in
from layfigure.units import LengthUnit


def plan_paper(tiling: Tiling) -> Paper:
    """Paper of the plan: the pattern's own, upright, if it is small, else A4."""
    paper = tiling.paper.turned if tiling.paper.lying else tiling.paper
    return paper if paper.small else PAPERS["a4"]


def plan_page_count(tiling: Tiling, heading: Heading) -> int:
    """Pages of the plan."""
    if tiling.paper.grows:
        return 0
    paper = plan_paper(tiling)
    lists = len(rows_on_pages(blocks_of_plan(tiling, heading, paper), paper))
    return lists if fits(tiling, _room_for_map(paper)) else lists + 1


def _room_for_map(paper: Paper) -> Room:
    """Beside the test square and a little less high: nothing else on the page may be taken for 10 cm."""
    foot = paper.height - paper.margin - 12.0 - SQUARE
    return paper.margin + 108.0, foot + 5.0, paper.width - paper.margin, foot + SQUARE


def draw_plan(canvas: Canvas, tiling: Tiling, heading: Heading, total: int) -> None:
    """Draw the plan's pages. total : sheets to print, plan included."""
    paper = plan_paper(tiling)
    pages = rows_on_pages(blocks_of_plan(tiling, heading, paper), paper)
    _begin(canvas, paper)
    _first_page(canvas, paper, tiling, heading, total)
    _draw_rows(canvas, pages[0], TOP_OF_LIST)
    canvas.showPage()
    if not fits(tiling, _room_for_map(paper)):
        _begin(canvas, paper)
        edge, top = paper.margin, paper.height - paper.margin
        write(canvas, f"{heading.costume}: how the sheets are joined", (edge, top - 6.0), height=4.0)
        draw_map(canvas, tiling, (edge, edge, paper.width - edge, top - 14.0), in_strips=True)
        canvas.showPage()
    for rows in pages[1:]:
        _begin(canvas, paper)
        top = paper.height - paper.margin
        write(canvas, f"{heading.costume}: plan, continued", (paper.margin, top - 6.0), height=4.0)
        _draw_rows(canvas, rows, top - 16.0)
        canvas.showPage()


def _begin(canvas: Canvas, paper: Paper) -> None:
    canvas.setPageSize((paper.width * MM, paper.height * MM))
    canvas.scale(MM, MM)


def _first_page(canvas: Canvas, paper: Paper, tiling: Tiling, heading: Heading, total: int) -> None:
    left, top = paper.margin, paper.height - paper.margin
    title = f"{heading.costume}, for {heading.wearer}" if heading.wearer else heading.costume
    write(canvas, title, (left, top - 6.0), height=fitted(title, 5.0, paper.width - 2.0 * left))
    # The square comes first: nothing else is worth printing before it has been measured.
    foot = top - 12.0 - SQUARE
    draw_test_square(canvas, (left, foot), unit=heading.unit)
    draw_legend(canvas, (left + 6.0, foot + 90.0), size=1.9)
    room = _room_for_map(paper)
    if fits(tiling, room):
        draw_map(canvas, tiling, room)
    else:
        write(canvas, "The next page shows how the sheets are joined.", (room[0], room[3] - 4.0), height=TEXT)
    lines = [
        part
        for line in _instructions(tiling, total, heading.unit)
        for part in wrapped(line, TEXT, paper.width - 2 * left)
    ]
    for row, line in enumerate(lines):
        write(canvas, line, (left, foot - 6.0 - 4.2 * row), height=TEXT)


SQUARE_TOLD: Mapping[LengthUnit, str] = {
    "cm": "It is 10 cm each way. If yours is not, print again at 100 % x 10 cm / what you measured.",
    "in": "It is 3 15/16 in each way. If yours is not, print again at 100 % x 3 15/16 in / what yours is.",
}


def _instructions(tiling: Tiling, total: int, unit: LengthUnit) -> list[str]:
    """What to do with the sheets, the test square first."""
    sheets = len(tiling.tiles)
    name = tiling.paper.name
    name = name.upper() if name.startswith("a") else name.capitalize()
    way = ", landscape" if tiling.paper.lying else ""
    pattern = f"{sheets} pattern sheet{'s' if sheets > 1 else ''} of {name}{way}"
    alike = plan_paper(tiling).name == tiling.paper.name
    lines = [
        "Print this page first, at 100 % (actual size), never “fit to page”, and measure the test square.",
        SQUARE_TOLD[unit],
        f"{total} sheets of paper: this plan and {pattern}." if alike else f"{pattern}, and this plan.",
    ]
    if sheets > 1:
        lines.append(
            "Trim the right and lower edges along the solid line. Lay each sheet over the next until the half"
            " diamonds meet: rows first (A1, A2, …), then row to row; or one piece at a time."
        )
    if tiling.blank:
        lines[-1] += " Hatched sheets are blank and are not printed."
    checks = [
        told_in(unit, f"from the cross on {d.pages[0]} to the cross on {d.pages[1]} {d.length:.1f} mm")
        for d in diagonals(tiling)
    ]
    if checks:
        lines.append(f"Measure when joined: {'; '.join(checks)}.")
    return lines


def _draw_rows(canvas: Canvas, rows: Sequence[Row], top: float) -> None:
    for index, row in enumerate(rows):
        for cell in row:
            height = fitted(cell.words, TEXT, cell.room)
            write(canvas, cell.words, (cell.x, top - ROW * index), height=height, shade=cell.shade)
