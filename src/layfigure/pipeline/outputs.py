"""The files a maker gets: paper, exchange files, the card to hold while fitting, and the report."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from layfigure.drawing.card import placement_card
from layfigure.drawing.dxf import dxf_of
from layfigure.drawing.exchange_json import pieces_as_json
from layfigure.drawing.glb import Surface, glb_of
from layfigure.drawing.paper.pattern_pdf import pattern_pdf, sheet_count
from layfigure.drawing.paper.sizes import find_paper
from layfigure.drawing.svg import svg_of
from layfigure.drawing.worn_shade import shade_of
from layfigure.materials.cloth import Cloth
from layfigure.piece.draw import Heading
from layfigure.piece.piece import Piece
from layfigure.piece.seam_book import SeamBook
from layfigure.pipeline.as_data import draft_as_data, placement_as_data
from layfigure.report.report import ReportContents, report_page


@dataclass(frozen=True, slots=True, kw_only=True)
class Outputs:
    """What to write. papers : names of papers to print on. cloths : materials by slug."""

    contents: ReportContents
    papers: Sequence[str]
    cloths: Mapping[str, Cloth]

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
        )


def sheet_counts(outputs: Outputs) -> dict[str, int]:
    """Sheets of every paper asked for, to be said before anything is printed."""
    pieces, heading = outputs.pieces, outputs.heading
    return {name: sheet_count(pieces, find_paper(name), heading) for name in outputs.papers} if pieces else {}


def write_outputs(outputs: Outputs, folder: Path) -> Iterator[str]:
    """Write every file into an empty folder, yielding what each is before it is made."""
    contents, pieces, heading = outputs.contents, outputs.pieces, outputs.heading
    yield "placement card"
    card = placement_card(contents.form, contents.placement, contents.design.name, unit=contents.unit)
    (folder / "placement-card.pdf").write_bytes(card)
    _write_json(folder / "placement.json", placement_as_data(contents.placement))
    yield "body"
    lines = {slug: placed.line for slug, placed in contents.placement.edges.items()}
    (folder / "body.glb").write_bytes(glb_of(contents.form.standing, lines))
    worn = _worn_surfaces(outputs)
    if worn:
        yield "the whole costume"
        (folder / "costume.glb").write_bytes(glb_of(contents.form.standing, {}, worn=worn))
    if pieces:
        for name in outputs.papers:
            yield f"pattern on {name}"
            (folder / f"pattern-{name}.pdf").write_bytes(pattern_pdf(pieces, find_paper(name), heading))
        yield "exchange files"
        (folder / "pieces.svg").write_text(svg_of(pieces, heading), encoding="utf-8")
        (folder / "pieces.dxf").write_text(dxf_of(pieces, heading), encoding="utf-8")
        (folder / "pieces.json").write_text(pieces_as_json(pieces, heading), encoding="utf-8")
        _write_json(folder / "draft.json", draft_as_data(contents.drafts))
    yield "report"
    page = report_page(replace(contents, heading=heading))
    (folder / "report.html").write_text(page, encoding="utf-8")


def _worn_surfaces(outputs: Outputs) -> list[Surface]:
    return [
        Surface(
            name=f"{slug} {surface.name}" if surface.name != slug else slug,
            mesh=surface.mesh,
            shade=shade_of(outputs.cloths.get(surface.cloth)),
        )
        for slug, result in outputs.contents.drafts.items()
        for surface in result.worn
    ]


def _write_json(path: Path, data: object) -> None:
    path.write_text(json.dumps(data, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
