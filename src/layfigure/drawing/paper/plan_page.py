"""The first page: how many sheets, how they join, what the lines mean, which pieces, how to make them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from reportlab.pdfgen.canvas import Canvas

from layfigure.drawing.paper.assembly_map import Room, draw_map, fits
from layfigure.drawing.paper.page_marks import SQUARE, diagonals, draw_test_square
from layfigure.drawing.paper.pdf_pen import MM, fitted, stroke, words_width, wrapped, write
from layfigure.drawing.paper.printed_once import Copy, named
from layfigure.drawing.paper.sizes import PAPERS, Paper
from layfigure.drawing.paper.tiling import Tile, Tiling
from layfigure.piece.draw import VERDICT_WORDS, Heading
from layfigure.piece.ink import STYLES, Ink
from layfigure.piece.piece import Piece
from layfigure.told_lengths import told_in
from layfigure.units import LengthUnit

Points = NDArray[np.float64]

ROW = 4.6
"""Distance between rows of the lists [mm]."""

TEXT = 2.1
"""Height of a capital in the lists [mm]."""

TOP_OF_LIST = 122.0
"""Height on the first page below which the piece list stands [mm]."""


LONGEST_KEPT = 16
"""Rows of one block that are not parted by the end of a page."""


def plan_paper(tiling: Tiling) -> Paper:
    """Paper of the plan: the pattern's own, upright, if it is small, else A4."""
    paper = tiling.paper.turned if tiling.paper.lying else tiling.paper
    return paper if paper.small else PAPERS["a4"]


def _rows_per_page(paper: Paper, *, first: bool) -> int:
    top = TOP_OF_LIST if first else paper.height - paper.margin - 16.0
    return int((top - paper.margin - 2.0) / ROW)


def plan_page_count(tiling: Tiling, heading: Heading) -> int:
    """Pages of the plan."""
    if tiling.paper.grows:
        return 0
    paper = plan_paper(tiling)
    lists = len(_pages(_blocks(tiling, heading, paper), paper))
    return lists if fits(tiling, _room_for_map(paper)) else lists + 1


def _room_for_map(paper: Paper) -> Room:
    """Beside the test square and a little less high: nothing else on the page may be taken for 10 cm."""
    foot = paper.height - paper.margin - 12.0 - SQUARE
    return paper.margin + 108.0, foot + 5.0, paper.width - paper.margin, foot + SQUARE


def draw_plan(canvas: Canvas, tiling: Tiling, heading: Heading, total: int) -> None:
    """Draw the plan's pages. total : sheets to print, plan included."""
    paper = plan_paper(tiling)
    pages = _pages(_blocks(tiling, heading, paper), paper)
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


def draw_legend(
    canvas: Canvas, at: tuple[float, float], *, shade: float = 0.0, bolder: float = 1.0, size: float = 2.0
) -> None:
    """What each kind of line means, downward from ``at`` [mm]."""
    x, y = at
    shown: list[Ink] = [ink for ink, style in STYLES.items() if style.meaning]
    for row, ink in enumerate(shown):
        style = STYLES[ink]
        height = y - row * 2.5 * size
        middle = height + 0.5 * size
        ends = np.array([[x, middle], [x + 11.0 * size, middle]])
        if ink == "notch":
            ends = np.array([[x + 5.0 * size, height - 0.6], [x + 5.0 * size, height + size + 0.6]])
        stroke(canvas, ends, width=style.width * bolder, dash=style.dash, shade=shade)
        if ink == "grain":
            tip = ends[1]
            head = tip + np.array([[-4.0, 1.3], [0.0, 0.0], [-4.0, -1.3]])
            stroke(canvas, head, width=style.width * bolder, shade=shade)
        write(canvas, style.meaning, (x + 13.0 * size, height), height=size, shade=shade)


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


@dataclass(frozen=True, slots=True)
class _Cell:
    """Words on a row. x : from the paper's left edge [mm]. room : width they may take [mm]."""

    x: float
    words: str
    room: float
    shade: float = 0.0


_Row = tuple[_Cell, ...]


def pieces_on_sheets(tiling: Tiling) -> dict[str, list[str]]:
    """By page, its pieces with their numbers in the plan: ``8 Gauntlet, left``."""
    found: dict[str, list[str]] = {tile.name: [] for tile in tiling.tiles}
    cut_from: dict[str, list[str]] = {}
    for name, _, copy in _numbered(tiling):
        if copy:
            cut_from.setdefault(copy.of, []).append(name)
    for number, (drawn, (x, y)) in enumerate(tiling.sheet.placed, start=1):
        if drawn.piece is None:
            continue
        own = ", ".join(cut_from.get(drawn.piece.slug, ()))
        words = f"{number} {named(drawn.piece)}" + (f" (and {own})" if own else "")
        cut = next(line.points for line in drawn.lines if line.ink == "boundary")
        area = shapely.affinity.translate(shapely.Polygon(cut), x, y)
        shapely.prepare(area)
        for tile in tiling.tiles:
            if area.intersects(tile.box):
                found[tile.name].append(words)
    return found


def sheets_of_pieces(tiling: Tiling) -> list[str]:
    """The pages each piece lies on, so that one can be joined alone: ``A1-A3 B1-B3``."""
    found = []
    for drawn, (x, y) in tiling.sheet.placed:
        cut = next(line.points for line in drawn.lines if line.ink == "boundary")
        area = shapely.affinity.translate(shapely.Polygon(cut), x, y)
        rows: dict[int, list[Tile]] = {}
        for tile in tiling.tiles:
            if tile.box.intersects(area):
                rows.setdefault(tile.row, []).append(tile)
        ends = [(row[0].name, row[-1].name) for row in rows.values()]
        found.append(" ".join(first if first == last else f"{first}-{last}" for first, last in ends))
    return found


def _pages(blocks: Sequence[Sequence[_Row]], paper: Paper) -> list[list[_Row]]:
    """Blocks of rows set on pages: a block stays together where it is not longer than ``LONGEST_KEPT``."""
    pages: list[list[_Row]] = [[]]
    room = _rows_per_page(paper, first=True)
    for block in blocks:
        kept = len(block) <= LONGEST_KEPT
        for rows in [block] if kept else [[row] for row in block]:
            if len(pages[-1]) + len(rows) > room:
                pages.append([])
                room = _rows_per_page(paper, first=False)
            # A page does not begin with an empty row.
            pages[-1] += rows if pages[-1] or rows[0] else rows[1:]
    return pages


def _numbered(tiling: Tiling) -> list[tuple[str, Piece, Copy | None]]:
    """Every piece with its number on the map; one cut from the print of number 7 is 7b, the next 7c."""
    found: list[tuple[str, Piece, Copy | None]] = []
    for number, (drawn, _) in enumerate(tiling.sheet.placed, start=1):
        if drawn.piece is None:
            continue
        found.append((str(number), drawn.piece, None))
        own = [copy for copy in tiling.copies if copy.of == drawn.piece.slug]
        for letter, copy in enumerate(own, start=ord("b")):
            last = chr(letter) if letter <= ord("z") else f".{letter - ord('b') + 2}"
            found.append((f"{number}{last}", copy.piece, copy))
    return found


def _blocks(tiling: Tiling, heading: Heading, paper: Paper) -> list[list[_Row]]:
    """One block a piece, then how marks read on what is cut from another's print, how to make them, and what
    to mind.
    """
    pieces = _numbered(tiling)
    sheets = dict(zip(_placed_slugs(tiling), sheets_of_pieces(tiling), strict=True))
    left, right = paper.margin, paper.width - paper.margin
    starts = (left, left + 8.0, left + 54.0, left + 107.0, left + 143.0)
    rooms = (7.0, 45.0, 51.0, 34.0, right - starts[4])
    table = [("", "piece", "cut", "how far to trust it", "on sheets")]
    printed = ""
    for number, piece, copy in pieces:
        cloth = heading.cloths.get(piece.cloth, piece.cloth.replace("_", " "))
        trust = VERDICT_WORDS[piece.verdict.level].removeprefix("trust: ")
        if copy is None:
            printed = number
        where = sheets[piece.slug] if copy is None else _cut_from(printed, copy)
        table.append((number, named(piece), f"{piece.count} of {cloth}, layer {piece.layer}", trust, where))
    blocks: list[list[_Row]] = []
    for cells in table:
        columns = [wrapped(words, TEXT, room) for words, room in zip(cells, rooms, strict=True)]
        blocks.append(
            [
                tuple(
                    _Cell(x, column[line], room, 0.0 if blocks else 0.3)
                    for x, column, room in zip(starts, columns, rooms, strict=True)
                    if line < len(column)
                )
                for line in range(max(map(len, columns)))
            ]
        )
    marks: dict[tuple[str, ...], list[int]] = {}
    notes: dict[tuple[str, ...], list[int]] = {}
    cautions: dict[tuple[str, ...], list[int]] = {}
    for place, (_, piece, copy) in enumerate(pieces):
        if copy and copy.marks:
            read = ", ".join(f"{mark} is {own}" for mark, own in copy.marks)
            marks.setdefault((f"{read}.",), []).append(place)
        if piece.note:
            notes.setdefault(piece.note, []).append(place)
        for caution in piece.cautions:
            cautions.setdefault((caution,), []).append(place)
    numbers = [number for number, _, _ in pieces]
    room = right - starts[1]
    for title, entries in (
        ("seam marks of pieces cut from the print of another", [*marks.items()]),
        ("how to make them", _told_once(notes)),
        ("take care; local rules come first", [*cautions.items()]),
    ):
        # A title stays with what follows it.
        begun: list[_Row] = [(), (_Cell(starts[1], title, room, 0.3),)]
        for lines, places in entries:
            broken = [part for line in lines for part in wrapped(line, TEXT, room)]
            whose = runs_of(places, numbers)
            if words_width(whose, TEXT) > rooms[0]:
                # Too many to stand beside: a row of their own, rather than letters nobody can read.
                begun.append((_Cell(left, whose, right - left),))
                whose = ""
            first = (_Cell(left, whose, rooms[0]), _Cell(starts[1], broken[0], room))
            blocks.append([*begun, first, *((_Cell(starts[1], line, room),) for line in broken[1:])])
            begun = []
    return blocks


def _told_once(notes: Mapping[tuple[str, ...], list[int]]) -> list[tuple[tuple[str, ...], list[int]]]:
    """Notes with the pieces that have them; of one that begins with another's lines only what follows, for a
    piece with a window is made as those without, and then cut.
    """
    told: dict[tuple[str, ...], tuple[tuple[str, ...], list[int]]] = {}
    for note, places in notes.items():
        done = 0
        for start in sorted((other for other in notes if note[: len(other)] == other), key=len):
            told.setdefault(start, (start[done:], []))[1].extend(places)
            done = len(start)
    return [(lines, sorted(places)) for lines, places in told.values()]


def _placed_slugs(tiling: Tiling) -> list[str]:
    return [drawn.piece.slug if drawn.piece else "" for drawn, _ in tiling.sheet.placed]


def _cut_from(printed: str, copy: Copy) -> str:
    return f"cut from {printed}{', turned over' if copy.turned else ''}"


def runs_of(numbers: Sequence[int], names: Sequence[str] | None = None) -> str:
    """Rising numbers with their runs drawn together: ``1-4, 6``. names : what to write for 0, 1, 2 …"""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    written = [[str(number) if names is None else names[number] for number in run] for run in runs]
    return ", ".join(f"{run[0]}-{run[-1]}" if len(run) > 2 else ", ".join(run) for run in written)


def _draw_rows(canvas: Canvas, rows: Sequence[_Row], top: float) -> None:
    for index, row in enumerate(rows):
        for cell in row:
            height = fitted(cell.words, TEXT, cell.room)
            write(canvas, cell.words, (cell.x, top - ROW * index), height=height, shade=cell.shade)
