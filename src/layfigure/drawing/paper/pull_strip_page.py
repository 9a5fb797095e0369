"""A page to pull a strip of cloth along: from the rest length, a scale that reads the stretch."""

from __future__ import annotations

import io

import numpy as np
from reportlab.pdfgen.canvas import Canvas

from layfigure.drawing.paper.page_marks import draw_test_square
from layfigure.drawing.paper.pattern_pdf import finished_pdf
from layfigure.drawing.paper.pdf_pen import MM, stroke, words_width, wrapped, write
from layfigure.drawing.paper.sizes import PAPERS, Paper
from layfigure.materials.pull_strip import stretch_of

REST = 100.0
"""Length of the strip at rest, between two pins [mm]."""

LONGEST = 250.0
"""How far the scale goes [mm]: 150 %, as the stretchiest knits do."""

STEPS = (
    """Fold a strip of the cloth on the line, 10 cm from pin to pin, well away from cut edge and selvedge:
    first across (from selvedge to selvedge), then along.""",
    """Hold the first pin on 0. Pull the second along the scale until more effort is needed, before the edge
    distorts. Do not force it.""",
    """Read the stretch beside the second pin, and let go. Where the pin rests after a minute, read what has
    not gone back.""",
    """Do it with three strips and take the middle reading. Write it as you read it:
    stretch_across = "10 cm stretches to 16 cm".""",
)


def pull_strip_page(paper: Paper = PAPERS["a4"]) -> bytes:
    """The page as a PDF, a test square on it; the same paper gives the same bytes.

    The scale reads ``stretch_of``; the hand test is the usual one of sewing (TRADE 3.1).
    """
    stream = io.BytesIO()
    canvas = Canvas(stream, invariant=True, pageCompression=1)
    canvas.setTitle("pull-strip: how far does the cloth stretch?")
    canvas.setCreator("layfigure")
    canvas.setPageSize((paper.width * MM, paper.height * MM))
    canvas.scale(MM, MM)
    left, top = paper.margin, paper.height - paper.margin
    write(canvas, "How far does the cloth stretch?", (left, top - 6.0), height=4.6)
    y = top - 14.0
    room = _middle(paper) - left - 38.0
    for number, step in enumerate(STEPS, start=1):
        for row, line in enumerate(wrapped(" ".join(step.split()), 2.3, room)):
            if row == 0:
                write(canvas, f"{number}", (left, y), height=2.3)
            write(canvas, line, (left + 6.0, y), height=2.3)
            y -= 4.8
        y -= 2.4
    _scale(canvas, paper)
    draw_test_square(canvas, (left, paper.margin))
    canvas.showPage()
    canvas.save()
    return finished_pdf(stream)


def _scale(canvas: Canvas, paper: Paper) -> None:
    """The scale, upright at the right of the page, zero at the bottom."""
    x = _middle(paper)
    foot = paper.margin + 6.0
    reach = min(LONGEST, paper.height - 2.0 * paper.margin - 10.0)
    stroke(canvas, np.array([[x, foot], [x, foot + reach]]), width=0.35)
    for mark, words in ((0.0, "0: first pin"), (REST, "10 cm at rest, 0 %")):
        stroke(canvas, np.array([[x - 5.0, foot + mark], [x + 6.0, foot + mark]]), width=0.7)
        write(canvas, words, (x + 8.0, foot + mark - 1.0), height=2.2)
    # 2.5 % is 2.5 mm: as fine as an eye reads a pin in cloth.
    for pulled in np.arange(REST, reach + 1e-9, 2.5):
        share = stretch_of(REST, float(pulled))
        whole = abs(share * 20.0 - round(share * 20.0)) < 1e-9
        named = abs(share * 10.0 - round(share * 10.0)) < 1e-9
        tick = 6.0 if named else 4.0 if whole else 2.0
        stroke(
            canvas, np.array([[x, foot + pulled], [x + tick, foot + pulled]]), width=0.35 if named else 0.2
        )
        if named and pulled > REST:
            write(canvas, f"{share:.0%}".replace("%", " %"), (x + 8.0, foot + pulled - 1.0), height=2.2)
            words = f"{pulled / 10.0:.0f} cm"
            write(canvas, words, (x - 3.0 - words_width(words, 1.9), foot + pulled - 1.0), height=1.9)


def _middle(paper: Paper) -> float:
    """Where the scale stands, from the left [mm]: words fit at both sides."""
    return paper.width - paper.margin - 36.0
