"""Cutting a large sheet into pages: which part of it every page shows, and which pages stay blank."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.drawing.paper.nesting import nested_sheets, tile_count
from layfigure.drawing.paper.printed_once import Copy
from layfigure.drawing.paper.sizes import Paper
from layfigure.drawing.sheet import Sheet, arrange, drawn_boxes, text_box
from layfigure.piece.pen import RecordingPen

Points = NDArray[np.float64]

MOST_COLUMNS = 12
"""Widest joined sheet that is tried, in pages."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """One page's part of the joined sheet. row 0 is the top. left, bottom, right, top : [mm], y up."""

    row: int
    column: int
    left: float
    bottom: float
    right: float
    top: float

    @property
    def name(self) -> str:
        """``B3``: row letter, column number."""
        return f"{chr(ord('A') + self.row % 26) * (1 + self.row // 26)}{self.column + 1}"

    @property
    def box(self) -> shapely.Polygon:
        """The page's part as a polygon."""
        return shapely.box(self.left, self.bottom, self.right, self.top)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tiling:
    """Pieces on a joined sheet, and the pages that make it up. tiles : only those with something on them,
    row by row. blank : the others. copies : pieces that are cut from the print of another.
    """

    sheet: Sheet
    paper: Paper
    rows: int
    columns: int
    tiles: tuple[Tile, ...]
    blank: tuple[Tile, ...]
    copies: tuple[Copy, ...] = ()

    def at(self, row: int, column: int) -> Tile | None:
        """The printed tile there, None where it is blank or outside."""
        for tile in self.tiles:
            if (tile.row, tile.column) == (row, column):
                return tile
        return None


def lay_out(drawings: Sequence[RecordingPen], paper: Paper) -> Tiling:
    """Set pieces on a joined sheet of as few pages, upright or lying, as the ways tried give."""
    if paper.grows:
        sheet = arrange(drawings)
        tile = Tile(row=0, column=0, left=0.0, bottom=0.0, right=sheet.width, top=sheet.height)
        return Tiling(sheet=sheet, paper=paper, rows=1, columns=1, tiles=(tile,), blank=())
    trees = [shapely.STRtree(covered_areas(drawn)) for drawn in drawings]
    boxes = drawn_boxes(drawings)
    candidates = [
        _cut_up(sheet, way, trees)
        for way in (paper, paper.turned)
        for sheet in [*_in_rows(drawings, way, boxes), *nested_sheets(drawings, way)]
    ]
    # Of equal counts, upright sheets are what makers expect, and the squarest whole is the easiest to join.
    return min(candidates, key=lambda t: (len(t.tiles), t.paper.lying, max(t.sheet.width, t.sheet.height)))


def _in_rows(drawings: Sequence[RecordingPen], paper: Paper, boxes: Points) -> list[Sheet]:
    """Drawings in rows on sheets of several widths."""
    page_width, _ = paper.printable
    step = page_width - paper.overlap
    widths = [0.5 * halves * step + paper.overlap for halves in range(2, 2 * MOST_COLUMNS + 1)]
    sheets = [arrange(drawings, width=width, boxes=boxes) for width in widths]
    return list({(sheet.width, sheet.height): sheet for sheet in reversed(sheets)}.values())


def _cut_up(sheet: Sheet, paper: Paper, trees: Sequence[shapely.STRtree]) -> Tiling:
    """Pages of a sheet. trees : covered areas of each drawing, where it was drawn."""
    width, height = paper.printable
    across, down = width - paper.overlap, height - paper.overlap
    columns = tile_count(sheet.width, width, paper.overlap)
    rows = tile_count(sheet.height, height, paper.overlap)
    every = [
        Tile(
            row=row,
            column=column,
            left=column * across,
            bottom=sheet.height - row * down - height,
            right=column * across + width,
            top=sheet.height - row * down,
        )
        for row in range(rows)
        for column in range(columns)
    ]
    # What lies in an overlap only is printed by the page before, so it does not call for a page of its own.
    own = np.array(
        [
            (
                tile.left + (paper.overlap if tile.column else 0.0),
                tile.bottom,
                tile.right,
                tile.top - (paper.overlap if tile.row else 0.0),
            )
            for tile in every
        ]
    )
    filled: set[int] = set()
    for tree, (_, (x, y)) in zip(trees, sheet.placed, strict=True):
        west, south, east, north = (own - [x, y, x, y]).T
        pages = shapely.box(west, south, east, north)
        filled.update(tree.query(pages, predicate="intersects")[0].tolist())
    return Tiling(
        sheet=sheet,
        paper=paper,
        rows=rows,
        columns=columns,
        tiles=tuple(tile for index, tile in enumerate(every) if index in filled),
        blank=tuple(tile for index, tile in enumerate(every) if index not in filled),
    )


def covered_areas(drawn: RecordingPen) -> list[shapely.Geometry]:
    """Areas of a drawing that must be on paper: the whole piece, not only its lines, and all words."""
    shapes: list[shapely.Geometry] = [
        shapely.Polygon(line.points) if line.ink == "boundary" else shapely.LineString(line.points)
        for line in drawn.lines
    ]
    return [*shapes, *(text_box(text) for text in drawn.texts)]
