"""The files a maker gets: paper, exchange files, the card to hold while fitting, and the report."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.body.wearer import LengthUnit
from layfigure.draft.registry import DraftResult
from layfigure.drawing.card import placement_card
from layfigure.drawing.dxf import dxf_of
from layfigure.drawing.exchange_json import pieces_as_json
from layfigure.drawing.glb import Surface, glb_of
from layfigure.drawing.paper.pattern_pdf import pattern_pdf, sheet_count
from layfigure.drawing.paper.sizes import Paper, find_paper
from layfigure.drawing.sheet import drawn
from layfigure.drawing.sitting import worn_scene
from layfigure.drawing.svg import svg_of
from layfigure.drawing.worn_shade import shade_of
from layfigure.geometry.mesh import TriangleMesh
from layfigure.materials.cloth import Cloth
from layfigure.piece.draw import Heading
from layfigure.piece.piece import Piece
from layfigure.piece.seam_book import SeamBook
from layfigure.pipeline.as_data import draft_as_data, placement_as_data
from layfigure.place.placement import Placement
from layfigure.recompute.graph import Graph, Node
from layfigure.recompute.job import Job
from layfigure.recompute.pool import WorkerPool
from layfigure.recompute.sharing import shared_out
from layfigure.report.report import ReportContents, report_page

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outputs:
    """What to write.

    papers : names of papers to print on. cloths : materials by slug. shopping : what to buy, as plain data.
    """

    contents: ReportContents
    papers: Sequence[str]
    cloths: Mapping[str, Cloth]
    shopping: Mapping[str, Any] | None = None

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """Every piece of every statement, in the order of the design."""
        return tuple(piece for result in self.contents.drafts.values() for piece in result.pieces)

    @property
    def heading(self) -> Heading:
        """What all pieces carry."""
        return Heading(
            costume=self.contents.design.name,
            wearer=self.contents.form.wearer,
            seams=SeamBook.of(self.pieces),
            cloths={slug: cloth.name for slug, cloth in self.cloths.items()},
            unit=self.contents.unit,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """A pattern on paper. sheets : how many, plan included."""

    pdf: bytes
    sheets: int


def written(
    outputs: Outputs, folder: Path, graph: Graph, job: Job, pool: WorkerPool | None = None
) -> Mapping[str, int]:
    """Write every file into an empty folder; returns the sheets of every paper.

    Files are stages of the graph, each keyed by what it shows: what is as it was is not drawn again.
    """
    contents, pieces, heading = outputs.contents, outputs.pieces, outputs.heading
    if pool is not None:
        # Drawn here and there; every paper and file then finds the drawings it needs.
        drawings = {piece.slug: graph.node(drawn, piece, heading) for piece in pieces}
        for _, draw in shared_out(drawings, job, lambda slug: f"drawing {slug.replace('_', ' ')}", pool=pool):
            draw()
    patterns = {
        f"pattern-{name}.pdf": graph.node(_printed, pieces, find_paper(name), heading)
        for name in (outputs.papers if pieces else ())
    }
    files: dict[str, Node[Any]] = {**patterns, **_file_nodes(outputs, graph)}
    sheets: dict[str, int] = {}
    for name, made in shared_out(files, job, lambda name: f"writing {name}", pool=pool, slow=list(patterns)):
        result = made()
        if isinstance(result, Printed):
            sheets[name.removeprefix("pattern-").removesuffix(".pdf")] = result.sheets
            result = result.pdf
        (folder / name).write_bytes(result)
    counted = {name: sheets[name] for name in outputs.papers if name in sheets}
    job.progress(0.95, "report")
    page = graph.node(_report, replace(contents, heading=heading, papers=counted))
    (folder / "report.html").write_bytes(page.value())
    return counted


def _file_nodes(outputs: Outputs, graph: Graph) -> dict[str, Node[bytes]]:
    """Every file but patterns and the report."""
    contents, pieces, heading = outputs.contents, outputs.pieces, outputs.heading
    form, placement = contents.form, contents.placement
    lines = {slug: placed.line for slug, placed in placement.edges.items()}
    files = {
        "placement-card.pdf": graph.node(_card, form, placement, contents.design.name, contents.unit),
        "placement.json": graph.node(_placement_json, placement),
        "body.glb": graph.node(_glb, form.standing, lines, ()),
    }
    if outputs.shopping is not None:
        files["shopping.json"] = graph.node(_json, outputs.shopping)
    if contents.worn:
        files["costume.glb"] = graph.node(_costume_glb, form, contents.worn)
    if pieces:
        files["pieces.svg"] = graph.node(_svg, pieces, heading)
        files["pieces.dxf"] = graph.node(_dxf, pieces, heading)
        files["pieces.json"] = graph.node(_pieces_json, pieces, heading)
        files["draft.json"] = graph.node(_draft_json, contents.drafts)
    return files


def worn_surfaces(drafts: Mapping[str, DraftResult], cloths: Mapping[str, Cloth]) -> tuple[Surface, ...]:
    """What every piece shows of itself on the wearer, in the colour of its cloth."""
    return tuple(
        Surface(
            name=f"{slug} {surface.name}" if surface.name != slug else slug,
            mesh=surface.mesh,
            shade=shade_of(cloths.get(surface.cloth)),
        )
        for slug, result in drafts.items()
        for surface in result.worn
    )


def _printed(pieces: tuple[Piece, ...], paper: Paper, heading: Heading) -> Printed:
    return Printed(pdf=pattern_pdf(pieces, paper, heading), sheets=sheet_count(pieces, paper, heading))


def _card(form: Form, placement: Placement, costume: str, unit: LengthUnit) -> bytes:
    return placement_card(form, placement, costume, unit=unit)


def _glb(mesh: TriangleMesh, lines: Mapping[str, Points], worn: tuple[Surface, ...]) -> bytes:
    return glb_of(mesh, lines, worn=worn)


def _costume_glb(form: Form, worn: tuple[Surface, ...]) -> bytes:
    body, surfaces = worn_scene(form, worn)
    return glb_of(body, {}, worn=surfaces)


def _svg(pieces: tuple[Piece, ...], heading: Heading) -> bytes:
    return svg_of(pieces, heading).encode()


def _dxf(pieces: tuple[Piece, ...], heading: Heading) -> bytes:
    return dxf_of(pieces, heading).encode()


def _pieces_json(pieces: tuple[Piece, ...], heading: Heading) -> bytes:
    return pieces_as_json(pieces, heading).encode()


def _placement_json(placement: Placement) -> bytes:
    return _json(placement_as_data(placement))


def _draft_json(drafts: Mapping[str, DraftResult]) -> bytes:
    return _json(draft_as_data(drafts))


def _report(contents: ReportContents) -> bytes:
    return report_page(contents).encode()


def _json(data: object) -> bytes:
    return (json.dumps(data, ensure_ascii=False, indent=1) + "\n").encode()
