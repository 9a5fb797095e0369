"""What a piece draws itself on. A pen knows its medium; the piece does not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, Protocol

import numpy as np
from numpy.typing import NDArray

from layfigure.piece.ink import Ink
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]
Anchor = Literal["start", "middle"]
Facts = Mapping[str, str]


class Pen(Protocol):
    """A medium: paper, SVG, DXF, a list.

    Coordinates are millimetres, x to the right, y up. A piece is drawn between ``begin_piece`` and
    ``end_piece``. ``facts`` are what the line is, in words (edge, seam, notch); a medium that cannot
    carry them may leave them out.
    """

    def begin_piece(self, piece: Piece) -> None:
        """Start a piece; what follows belongs to it."""

    def line(self, ink: Ink, points: Points, *, closed: bool = False, facts: Facts | None = None) -> None:
        """Draw a polyline, (n, 2) [mm]."""

    def text(
        self,
        words: str,
        at: tuple[float, float],
        *,
        height: float,
        angle: float = 0.0,
        anchor: Anchor = "start",
    ) -> None:
        """Write one line of words.

        at : where the baseline starts, or its middle [mm]. height : of a capital [mm]. angle : of the
        baseline, counter-clockwise [deg].
        """

    def end_piece(self) -> None:
        """End the piece."""


@dataclass(frozen=True, slots=True, eq=False)
class DrawnLine:
    """A line as it reached a pen."""

    ink: Ink
    points: Points
    closed: bool
    facts: dict[str, str]


@dataclass(frozen=True, slots=True)
class DrawnText:
    """Words as they reached a pen."""

    words: str
    at: tuple[float, float]
    height: float
    angle: float
    anchor: Anchor


@dataclass(slots=True)
class RecordingPen:
    """A pen that keeps what it is told: for tests, for measuring a drawing, and to play it again."""

    piece: Piece | None = None
    lines: list[DrawnLine] = field(default_factory=list)
    texts: list[DrawnText] = field(default_factory=list)

    def begin_piece(self, piece: Piece) -> None:
        """Note the piece."""
        self.piece = piece

    def line(self, ink: Ink, points: Points, *, closed: bool = False, facts: Facts | None = None) -> None:
        """Keep a line."""
        self.lines.append(DrawnLine(ink, np.asarray(points, dtype=np.float64), closed, dict(facts or {})))

    def text(
        self,
        words: str,
        at: tuple[float, float],
        *,
        height: float,
        angle: float = 0.0,
        anchor: Anchor = "start",
    ) -> None:
        """Keep words."""
        self.texts.append(DrawnText(words, (float(at[0]), float(at[1])), height, angle, anchor))

    def end_piece(self) -> None:
        """Nothing to close."""

    def play(self, pen: Pen, offset: tuple[float, float] = (0.0, 0.0)) -> None:
        """Draw everything again on another pen, moved by ``offset`` [mm]."""
        if self.piece is not None:
            pen.begin_piece(self.piece)
        for line in self.lines:
            pen.line(line.ink, line.points + np.array(offset), closed=line.closed, facts=line.facts)
        for text in self.texts:
            at = (text.at[0] + offset[0], text.at[1] + offset[1])
            pen.text(text.words, at, height=text.height, angle=text.angle, anchor=text.anchor)
        if self.piece is not None:
            pen.end_piece()
