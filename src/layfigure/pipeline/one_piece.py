"""One piece now: drafted from a few tapes and written whole, with no costume around it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from layfigure.draft.quick.piece import quick_piece
from layfigure.draft.registry import DraftResult
from layfigure.draft.told import result_told
from layfigure.drawing.dxf import dxf_of
from layfigure.drawing.paper.pattern_pdf import pattern_pdf, sheet_count
from layfigure.drawing.paper.sizes import find_paper
from layfigure.drawing.svg import svg_of
from layfigure.files.write import replaced_folder
from layfigure.piece.draw import Heading
from layfigure.piece.seam_book import SeamBook
from layfigure.units import LengthUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class OnePiece:
    """What was drafted, and where it lies."""

    result: DraftResult
    folder: Path
    paper: str
    sheets: int


def quick_look(
    kind: str,
    tapes: Mapping[str, float],
    options: Mapping[str, Any] | None = None,
    *,
    point: float = 0.0,
    unit: LengthUnit = "cm",
) -> tuple[DraftResult, Heading]:
    """One piece and what its drawings carry, told in a unit; nothing is written. As ``make_one_piece``."""
    result = result_told(quick_piece(kind, tapes, options, point=point), unit, options or {})
    heading = Heading(costume=kind.replace("_", " "), seams=SeamBook.of(result.pieces), unit=unit)
    return result, heading


def make_one_piece(
    kind: str,
    tapes: Mapping[str, float],
    folder: Path,
    *,
    options: Mapping[str, Any] | None = None,
    point: float = 0.0,
    paper: str = "a4",
    unit: LengthUnit = "cm",
) -> OnePiece:
    """Draft one piece and write its pattern, SVG and DXF into a folder.

    tapes : sizes [mm] by the names the kind asks for. unit : in which lengths are told. Raises as
    ``quick_piece``, and OutputError.
    """
    result, heading = quick_look(kind, tapes, options, point=point, unit=unit)
    sheet = find_paper(paper)
    with replaced_folder(folder) as staging:
        (staging / f"pattern-{paper}.pdf").write_bytes(pattern_pdf(result.pieces, sheet, heading))
        (staging / "pieces.svg").write_text(svg_of(result.pieces, heading), encoding="utf-8")
        (staging / "pieces.dxf").write_text(dxf_of(result.pieces, heading), encoding="utf-8")
    count = sheet_count(result.pieces, sheet, heading)
    return OnePiece(result=result, folder=folder, paper=paper, sheets=count)
