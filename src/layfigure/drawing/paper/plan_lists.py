"""The lists of a plan: its pieces, how to make them and what to mind, in rows, and the rows set on pages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from layfigure.drawing.paper.numbered_pieces import numbered_pieces, sheets_of_pieces
from layfigure.drawing.paper.pdf_pen import words_width, wrapped
from layfigure.drawing.paper.printed_once import Copy, named
from layfigure.drawing.paper.sizes import Paper
from layfigure.drawing.paper.tiling import Tiling
from layfigure.piece.draw import VERDICT_WORDS, Heading

ROW = 4.6
"""Distance between rows of the lists [mm]."""

TEXT = 2.1
"""Height of a capital in the lists [mm]."""

TOP_OF_LIST = 122.0
"""Height on the first page below which the piece list stands [mm]."""

LONGEST_KEPT = 16
"""Rows of one block that are not parted by the end of a page."""


@dataclass(frozen=True, slots=True)
class Cell:
    """Words on a row. x : from the paper's left edge [mm]. room : width they may take [mm]."""

    x: float
    words: str
    room: float
    shade: float = 0.0


Row = tuple[Cell, ...]


def blocks_of_plan(tiling: Tiling, heading: Heading, paper: Paper) -> list[list[Row]]:
    """One block a piece, then how marks read on what is cut from another's print, how to make them, and what
    to mind.
    """
    pieces = numbered_pieces(tiling)
    placed = [drawn.piece.slug if drawn.piece else "" for drawn, _ in tiling.sheet.placed]
    sheets = dict(zip(placed, sheets_of_pieces(tiling), strict=True))
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
    blocks: list[list[Row]] = []
    for cells in table:
        columns = [wrapped(words, TEXT, room) for words, room in zip(cells, rooms, strict=True)]
        blocks.append(
            [
                tuple(
                    Cell(x, column[line], room, 0.0 if blocks else 0.3)
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
        begun: list[Row] = [(), (Cell(starts[1], title, room, 0.3),)]
        for lines, places in entries:
            broken = [part for line in lines for part in wrapped(line, TEXT, room)]
            whose = runs_of(places, numbers)
            if words_width(whose, TEXT) > rooms[0]:
                # Too many to stand beside: a row of their own, rather than letters nobody can read.
                begun.append((Cell(left, whose, right - left),))
                whose = ""
            first = (Cell(left, whose, rooms[0]), Cell(starts[1], broken[0], room))
            blocks.append([*begun, first, *((Cell(starts[1], line, room),) for line in broken[1:])])
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


def rows_on_pages(blocks: Sequence[Sequence[Row]], paper: Paper) -> list[list[Row]]:
    """Blocks of rows set on pages: a block stays together where it is not longer than ``LONGEST_KEPT``."""
    pages: list[list[Row]] = [[]]
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


def _rows_per_page(paper: Paper, *, first: bool) -> int:
    top = TOP_OF_LIST if first else paper.height - paper.margin - 16.0
    return int((top - paper.margin - 2.0) / ROW)
