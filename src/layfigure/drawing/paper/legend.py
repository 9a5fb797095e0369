"""The legend: what each kind of line on a pattern means."""

from __future__ import annotations

import numpy as np
from reportlab.pdfgen.canvas import Canvas

from layfigure.drawing.paper.pdf_pen import stroke, write
from layfigure.piece.ink import STYLES, Ink


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
