"""Words kept whole: a piece is drawn again with its labels off the lines where sheets are joined."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.drawing.paper.tiling import Tiling
from layfigure.drawing.sheet import text_box
from layfigure.piece.draw import Heading, draw_piece
from layfigure.piece.pen import DrawnText, RecordingPen
from layfigure.piece.piece import Piece
from layfigure.recompute.graph import remembered

Points = NDArray[np.float64]


def with_whole_words(tiling: Tiling, heading: Heading) -> Tiling:
    """The same pages with as few words as can be cut by a join. What a piece covers does not change."""
    lines = join_lines(tiling)
    if not lines:
        return tiling
    placed = tuple(
        (_drawn_again(drawn, heading, [line - np.array(offset) for line in lines]), offset)
        for drawn, offset in tiling.sheet.placed
    )
    return replace(tiling, sheet=replace(tiling.sheet, placed=placed))


def join_lines(tiling: Tiling) -> list[Points]:
    """Where sheets are trimmed and joined, each (2, 2) on the joined sheet [mm]."""
    every = (*tiling.tiles, *tiling.blank)
    west, east = min(t.left for t in every), max(t.right for t in every)
    south, north = min(t.bottom for t in every), max(t.top for t in every)
    across = sorted({t.right for t in every if t.column < tiling.columns - 1})
    down = sorted({t.bottom for t in every if t.row < tiling.rows - 1})
    upright = [np.array([[x, south], [x, north]]) for x in across]
    return upright + [np.array([[west, y], [east, y]]) for y in down]


def _drawn_again(drawn: RecordingPen, heading: Heading, joins: list[Points]) -> RecordingPen:
    """The piece drawn clear of the joins; as it was where nothing is cut or words beside it would move."""
    before = cut_words(drawn, joins)
    if drawn.piece is None or not before:
        return drawn
    again = remembered(_drawn_clear, drawn.piece, heading, joins)
    better = len(cut_words(again, joins)) < len(before) and _beside(again) == _beside(drawn)
    return again if better else drawn


def _drawn_clear(piece: Piece, heading: Heading, joins: list[Points]) -> RecordingPen:
    pen = RecordingPen()
    draw_piece(piece, pen, heading, joins=joins)
    return pen


def cut_words(drawn: RecordingPen, joins: list[Points]) -> list[DrawnText]:
    """Words that a join runs through."""
    lines = shapely.multilinestrings([shapely.LineString(line) for line in joins])
    return [text for text in drawn.texts if shapely.intersects(text_box(text), lines)]


def _beside(drawn: RecordingPen) -> set[DrawnText]:
    """Words that do not lie on the piece: what else lies there, only nesting knows."""
    area = shapely.Polygon(next(line.points for line in drawn.lines if line.ink == "boundary"))
    shapely.prepare(area)
    return {text for text in drawn.texts if not area.contains(text_box(text))}
