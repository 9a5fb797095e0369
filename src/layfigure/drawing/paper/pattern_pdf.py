"""The printed pattern: one PDF of pages that join to a sheet true to size."""

from __future__ import annotations

import io
from collections import OrderedDict
from collections.abc import Hashable, Sequence
from dataclasses import replace
from threading import Lock

import numpy as np
import pikepdf
import shapely
from reportlab.pdfgen.canvas import Canvas

from layfigure.drawing.paper.layers import LAYERS, make_layers
from layfigure.drawing.paper.legend import draw_legend
from layfigure.drawing.paper.numbered_pieces import pieces_on_sheets
from layfigure.drawing.paper.page_marks import (
    DIAMOND,
    cross_areas,
    draw_frame,
    draw_joins,
    draw_test_square,
    joins,
    pattern_things,
    place_test_square,
)
from layfigure.drawing.paper.pdf_pen import MM, PdfPen, fitted, stroke, write
from layfigure.drawing.paper.plan_page import draw_plan, plan_page_count
from layfigure.drawing.paper.printed_once import also_cut, printed_once
from layfigure.drawing.paper.sizes import Paper
from layfigure.drawing.paper.tiling import Tile, Tiling, lay_out
from layfigure.drawing.paper.whole_words import with_whole_words
from layfigure.drawing.sheet import heading_key, record
from layfigure.piece.draw import Heading
from layfigure.piece.piece import Piece
from layfigure.piece.seam_book import SeamBook
from layfigure.units import LengthUnit

PROJECTED_BOLDER = 2.2
"""Lines on a projected page are this much wider: 0.55 to 1.8 mm, as a projector needs (common practice)."""


MOST_KEPT = 4
"""Layouts kept: the sheets are counted first, then drawn."""

_KEPT: OrderedDict[Hashable, Tiling] = OrderedDict()
_KEEPING = Lock()


def sheet_count(pieces: Sequence[Piece], paper: Paper, heading: Heading | None = None) -> int:
    """Sheets that ``pattern_pdf`` would print, plan included: to be said before anything is printed."""
    heading = heading or Heading(costume="", seams=SeamBook.of(pieces))
    tiling = laid_out(pieces, paper, heading)
    return len(tiling.tiles) + plan_page_count(tiling, heading)


def pattern_pdf(pieces: Sequence[Piece], paper: Paper, heading: Heading) -> bytes:
    """The pattern of some pieces (or of one alone) on a paper, as a PDF file.

    The same input gives the same bytes. Raises DraftError when there is no piece.
    """
    tiling = laid_out(pieces, paper, heading)
    plan = plan_page_count(tiling, heading)
    total = len(tiling.tiles) + plan
    stream = io.BytesIO()
    canvas = Canvas(stream, invariant=True, pageCompression=1)
    canvas.setTitle(f"{heading.costume}: pattern")
    canvas.setCreator("layfigure")
    if plan:
        draw_plan(canvas, tiling, heading, total)
    _define_layers(canvas, tiling, heading.unit)
    # As lines: a square's side through a diamond does less harm than one through words.
    diamonds = [shapely.Point(join.at).buffer(DIAMOND + 1.0, quad_segs=1).exterior for join in joins(tiling)]
    things = shapely.STRtree([*pattern_things(tiling), *diamonds, *cross_areas(tiling)])
    shown = pieces_on_sheets(tiling)
    for number, tile in enumerate(tiling.tiles, start=plan + 1):
        _draw_page(canvas, tile, tiling, heading, f"{number} of {total}", things, shown[tile.name])
    canvas.save()
    return finished_pdf(stream)


def laid_out(pieces: Sequence[Piece], paper: Paper, heading: Heading) -> Tiling:
    """The joined sheet and its pages, as ``pattern_pdf`` prints them. The last few are kept."""
    key = (tuple(pieces), heading_key(heading), paper)
    with _KEEPING:
        kept = _KEPT.get(key)
    if kept is not None:
        return kept
    # A projected page shows every piece where it is: it saves no paper, and a beam cannot be turned over.
    printed, copies = (list(pieces), []) if paper.grows else printed_once(pieces, heading.seams)
    said = replace(heading, also=also_cut(copies, heading)) if copies else heading
    # What has nothing more to say is drawn once, for paper and files alike.
    drawings = [record(piece, said if piece.slug in said.also else heading) for piece in printed]
    tiling = replace(with_whole_words(lay_out(drawings, paper), said), copies=tuple(copies))
    with _KEEPING:
        _KEPT[key] = tiling
        if len(_KEPT) > MOST_KEPT:
            _KEPT.popitem(last=False)
    return tiling


def forget_layouts() -> None:
    """Forget what ``laid_out`` kept, as a measurement of time must."""
    with _KEEPING:
        _KEPT.clear()


def _define_layers(canvas: Canvas, tiling: Tiling, unit: LengthUnit) -> None:
    """Draw the whole joined sheet once for every layer; pages show their part of it."""
    sheet, dark = tiling.sheet, tiling.paper.dark
    shade, bolder = (1.0, PROJECTED_BOLDER) if dark else (0.0, 1.0)
    for layer in LAYERS:
        canvas.beginForm(layer.form, -20.0, -2000.0, sheet.width + 2000.0, sheet.height + 20.0)
        pen = PdfPen(canvas, layer.inks, shade=shade, bolder=bolder)
        for drawn, offset in sheet.placed:
            drawn.play(pen, offset)
        canvas.endForm()
    canvas.beginForm("joins", -20.0, -2000.0, sheet.width + 2000.0, sheet.height + 20.0)
    draw_joins(canvas, tiling, shade, unit)
    canvas.endForm()


def _draw_page(
    canvas: Canvas,
    tile: Tile,
    tiling: Tiling,
    heading: Heading,
    number: str,
    things: shapely.STRtree,
    shown: Sequence[str],
) -> None:
    paper = tiling.paper
    width, height = tile.right - tile.left, tile.top - tile.bottom
    page_width = width + 2.0 * paper.margin
    page_height = height + 2.0 * paper.margin
    legend = 0.0
    if paper.grows:
        # A projected page has no plan before it, so it carries the legend and the square itself.
        legend = 130.0
        page_width, page_height = max(page_width, 260.0) + 20.0, page_height + legend
    canvas.setPageSize((page_width * MM, page_height * MM))
    canvas.scale(MM, MM)
    if paper.dark:
        canvas.setFillGray(0.08)
        canvas.rect(0.0, 0.0, page_width, page_height, stroke=0, fill=1)
        _calibration_grid(canvas, page_width, page_height)
        draw_test_square(canvas, (10.0, 12.0), shade=1.0, unit=heading.unit)
        draw_legend(canvas, (125.0, 106.0), shade=1.0, bolder=PROJECTED_BOLDER, size=2.6)
    canvas.saveState()
    canvas.translate(paper.margin - tile.left, paper.margin - tile.bottom + legend)
    canvas.saveState()
    window = canvas.beginPath()
    window.rect(tile.left, tile.bottom, width, height)
    canvas.clipPath(window, stroke=0, fill=0)
    for layer in LAYERS:
        canvas.doForm(layer.form)
    canvas.doForm("joins")
    canvas.restoreState()
    if not paper.grows:
        draw_frame(canvas, tile, tiling)
        corner, words_at = place_test_square(tile, things)
        draw_test_square(canvas, corner, words_at=words_at, unit=heading.unit)
    canvas.restoreState()
    names = [tile.name, heading.costume, heading.wearer, f"sheet {number}", "print at 100 %"]
    if not paper.grows:
        # Which pieces a sheet has parts of: a part without its label tells nobody what it is.
        names = [tile.name, *shown, *names[1:]]
    words = " · ".join(name for name in names if name)
    place = (paper.margin, paper.margin - 3.6) if not paper.grows else (10.0, 5.0)
    size = fitted(words, 2.2, page_width - 2.0 * place[0])
    write(canvas, words, place, height=size, shade=1.0 if paper.dark else 0.0)
    canvas.showPage()


def _calibration_grid(canvas: Canvas, width: float, height: float) -> None:
    """A faint grid of 10 cm, to square the projector to the table."""
    for x in np.arange(10.0, width, 100.0):
        stroke(canvas, np.array([[x, 0.0], [x, height]]), width=0.25, dash=(1.0, 4.0), shade=0.55)
    for y in np.arange(12.0, height, 100.0):
        stroke(canvas, np.array([[0.0, y], [width, y]]), width=0.25, dash=(1.0, 4.0), shade=0.55)


def finished_pdf(stream: io.BytesIO) -> bytes:
    """What reportlab wrote, with layers made and page scaling off, which it cannot do."""
    stream.seek(0)
    finished = io.BytesIO()
    with pikepdf.open(stream) as pdf:
        make_layers(pdf)
        pdf.Root.ViewerPreferences = pikepdf.Dictionary(
            PrintScaling=pikepdf.Name("/None"), PickTrayByPDFSize=True, Duplex=pikepdf.Name("/Simplex")
        )
        pdf.save(finished, deterministic_id=True)
    return finished.getvalue()
