"""A small picture of a piece for the report: the drawing of the pattern itself, without its words."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from layfigure.drawing.sheet import record
from layfigure.piece.draw import Heading
from layfigure.piece.ink import Ink
from layfigure.piece.pen import Anchor, Facts
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]

_MARGIN = 6.0


@dataclass(slots=True)
class PicturePen:
    """A pen that keeps the lines and leaves the words to the page around the picture."""

    lines: list[tuple[Ink, Points, bool]] = field(default_factory=list)

    def begin_piece(self, piece: Piece) -> None:
        """Nothing to open."""

    def line(self, ink: Ink, points: Points, *, closed: bool = False, facts: Facts | None = None) -> None:
        """Keep a line of the piece; leaders only lead to words, and the boundary is for machines."""
        if ink not in {"leader", "boundary"}:
            self.lines.append((ink, np.asarray(points, dtype=np.float64), closed))

    def text(
        self,
        words: str,
        at: tuple[float, float],
        *,
        height: float,
        angle: float = 0.0,
        anchor: Anchor = "start",
    ) -> None:
        """Write nothing."""

    def end_piece(self) -> None:
        """Nothing to close."""


def piece_svg(piece: Piece, heading: Heading, *, width: int = 300, height: int = 260) -> str:
    """The piece as an SVG element fitted into a box, y up. The page's style sheet knows the inks' classes.

    heading : as on the pattern, whose drawing is used again; nothing of it shows.
    """
    pen = PicturePen()
    record(piece, heading).play(pen)
    every = np.concatenate([points for _, points, _ in pen.lines])
    low, high = every.min(axis=0), every.max(axis=0)
    size = np.maximum(high - low, 1.0)
    scale = float(min((width - 2 * _MARGIN) / size[0], (height - 2 * _MARGIN) / size[1]))
    shift = np.array([_MARGIN - low[0] * scale, _MARGIN + high[1] * scale])
    paths = []
    for ink, points, closed in pen.lines:
        places = points * [scale, -scale] + shift
        path = "M" + " L".join(f"{x:.1f} {y:.1f}" for x, y in places) + (" Z" if closed else "")
        paths.append(f'<path class="{ink}" d="{path}"/>')
    across, down = size * scale + 2 * _MARGIN
    return (
        f'<svg class="piece" viewBox="0 0 {across:.0f} {down:.0f}" width="{across:.0f}" '
        f'height="{down:.0f}" role="img" aria-label="{piece.slug.replace("_", " ")}">{"".join(paths)}</svg>'
    )
