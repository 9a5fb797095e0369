"""Drawings, sheets and files of some of a costume's pieces, as the cutting table asks for them.

All of it goes through the recompute graph: what was drawn once is not drawn again, also by the whole job.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from layfigure.drawing.dxf import dxf_of
from layfigure.drawing.paper.pattern_pdf import laid_out, pattern_pdf, sheet_count
from layfigure.drawing.paper.sizes import Paper
from layfigure.drawing.paper.tile_preview import tile_preview
from layfigure.drawing.sheet import drawn
from layfigure.drawing.svg import svg_of
from layfigure.piece.draw import Heading
from layfigure.piece.piece import Piece
from layfigure.recompute.graph import Graph
from layfigure.recompute.job import Job, stop_if_cancelled
from layfigure.recompute.pool import WorkerPool
from layfigure.recompute.sharing import shared_out

FileKind = Literal["pdf", "svg", "dxf"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPlan:
    """What printing some pieces takes. sheets : in all. joined : of them, pages of the pattern itself.

    preview : SVG of the joined sheet.
    """

    sheets: int
    joined: int
    preview: str


def piece_drawing(graph: Graph, piece: Piece, heading: Heading) -> str:
    """One piece true to size, as SVG in mm."""
    return graph.node(_svg, (piece,), heading).value().decode()


def draw_pieces(
    graph: Graph, pieces: Sequence[Piece], heading: Heading, job: Job, pool: WorkerPool | None = None
) -> None:
    """Draw pieces here and in workers, for what comes next to find. Raises Cancelled."""
    nodes = {piece.slug: graph.node(drawn, piece, heading) for piece in pieces}
    for _, draw in shared_out(nodes, job, lambda slug: f"drawing {slug.replace('_', ' ')}", pool=pool):
        draw()
    stop_if_cancelled(job)


def sheet_plan(graph: Graph, pieces: Sequence[Piece], paper: Paper, heading: Heading) -> SheetPlan:
    """How many sheets, and how they are joined: to be said before anything is printed."""
    return graph.node(_planned, tuple(pieces), paper, heading).value()


def pieces_file(
    graph: Graph, pieces: Sequence[Piece], kind: FileKind, paper: Paper, heading: Heading
) -> bytes:
    """A file of some pieces. paper : of a PDF."""
    if kind == "pdf":
        return graph.node(_pdf, tuple(pieces), paper, heading).value()
    return graph.node(_svg if kind == "svg" else _dxf, tuple(pieces), heading).value()


def _planned(pieces: tuple[Piece, ...], paper: Paper, heading: Heading) -> SheetPlan:
    tiling = laid_out(pieces, paper, heading)
    sheets = sheet_count(pieces, paper, heading)
    return SheetPlan(sheets=sheets, joined=len(tiling.tiles), preview=tile_preview(tiling))


def _pdf(pieces: tuple[Piece, ...], paper: Paper, heading: Heading) -> bytes:
    return pattern_pdf(pieces, paper, heading)


def _svg(pieces: tuple[Piece, ...], heading: Heading) -> bytes:
    return svg_of(pieces, heading).encode()


def _dxf(pieces: tuple[Piece, ...], heading: Heading) -> bytes:
    return dxf_of(pieces, heading).encode()
