"""A pen on PDF, through reportlab, in millimetres."""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import as_file, files

import numpy as np
from numpy.typing import NDArray
from reportlab import rl_config
from reportlab.pdfbase.pdfmetrics import registerFont, stringWidth
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from layfigure.piece.ink import STYLES, Ink
from layfigure.piece.lettering import CAPITAL
from layfigure.piece.pen import Anchor, Facts
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]

# Streams stay as they are compressed: spelling them in ASCII takes longest of all, for no reader of today.
rl_config.useA85 = 0

MM = 72.0 / 25.4
"""Points of the page description in a millimetre."""

FONT = "NotoSans"


@cache
def embedded_font() -> str:
    """Name of the one font, registered on first use. Only the letters used are embedded."""
    with as_file(files("layfigure.drawing") / "data" / "NotoSans-Regular.ttf") as path:
        registerFont(TTFont(FONT, str(path)))
    return FONT


def words_width(words: str, height: float) -> float:
    """Exact width of a line of words in the embedded font, capitals ``height`` high [mm]."""
    return float(stringWidth(words, embedded_font(), height / CAPITAL))


def fitted(words: str, height: float, room: float) -> float:
    """The height, or the largest below it at which the words fit a width [mm]."""
    return height * min(1.0, room / max(words_width(words, height), 1e-9))


def wrapped(words: str, size: float, room: float) -> list[str]:
    """Words on as few lines as fit a width [mm], broken at spaces; a single long word is left long.

    A number is not parted from its unit.
    """
    lines = [""]
    for word in re.split(r"(?<!\d) ", words):
        longer = f"{lines[-1]} {word}".lstrip()
        if lines[-1] and words_width(longer, size) > room:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


class PdfPen:
    """Draws on a reportlab canvas already scaled to millimetres.

    inks : the kinds drawn; others pass by, which is how one drawing fills several layers.
    shade : grey of lines and words, 0 black, 1 white. bolder : factor on line widths.
    """

    def __init__(
        self, canvas: Canvas, inks: frozenset[Ink], *, shade: float = 0.0, bolder: float = 1.0
    ) -> None:
        self._canvas = canvas
        self._inks = inks
        self._shade = shade
        self._bolder = bolder

    def begin_piece(self, piece: Piece) -> None:
        """Nothing to open."""

    def line(self, ink: Ink, points: Points, *, closed: bool = False, facts: Facts | None = None) -> None:
        """Stroke a polyline in the style of its kind."""
        if ink in self._inks:
            style = STYLES[ink]
            stroke(
                self._canvas,
                points,
                width=style.width * self._bolder,
                dash=style.dash,
                closed=closed,
                shade=self._shade,
            )

    def text(
        self,
        words: str,
        at: tuple[float, float],
        *,
        height: float,
        angle: float = 0.0,
        anchor: Anchor = "start",
    ) -> None:
        """Write words as text."""
        if "words" in self._inks:
            write(self._canvas, words, at, height=height, angle=angle, anchor=anchor, shade=self._shade)

    def end_piece(self) -> None:
        """Nothing to close."""


def stroke(
    canvas: Canvas,
    points: Points,
    *,
    width: float,
    dash: tuple[float, ...] = (),
    closed: bool = False,
    shade: float = 0.0,
) -> None:
    """Stroke a polyline, (n, 2) [mm]."""
    canvas.setStrokeGray(shade)
    canvas.setLineWidth(width)
    canvas.setLineJoin(1)
    canvas.setDash(list(dash), 0) if dash else canvas.setDash()
    steps = [f"{x:.4f} {y:.4f} l" for x, y in points.tolist()]
    steps[0] = f"n {steps[0][:-1]}m"
    # The operators are written here (ISO 32000-1, 8.5.2): a path's own methods take ten times as long.
    canvas.drawPath(PDFPathObject([*steps, "h"] if closed else steps), stroke=1, fill=0)


def write(
    canvas: Canvas,
    words: str,
    at: tuple[float, float],
    *,
    height: float,
    angle: float = 0.0,
    anchor: Anchor = "start",
    shade: float = 0.0,
) -> None:
    """Write one line of words; height of a capital and place in [mm]."""
    canvas.saveState()
    canvas.setFillGray(shade)
    canvas.setFont(embedded_font(), height / CAPITAL)
    canvas.translate(*at)
    if angle:
        canvas.rotate(angle)
    (canvas.drawCentredString if anchor == "middle" else canvas.drawString)(0.0, 0.0, words)
    canvas.restoreState()
