"""Laying a costume: drafts and hides in, a layout a cloth out, and the earlier ones that still hold."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from layfigure.errors import LayError
from layfigure.lay.hide_file import read_hide
from layfigure.lay.laid import AllLaid, ClothLaid
from layfigure.lay.lay_all import lay_all
from layfigure.lay.layout import Layout, Surface
from layfigure.lay.settings import LaySettings
from layfigure.piece.piece import Piece
from layfigure.pipeline.folder import CostumeFolder
from layfigure.pipeline.kept_layouts import keep_layouts, stored_layouts
from layfigure.pipeline.work import Work, draft_all
from layfigure.recompute.job import Job, QuietJob

if TYPE_CHECKING:
    from layfigure.draft.registry import DraftResult


def lay_costume(
    work: Work,
    place: Path,
    settings: LaySettings | None = None,
    job: Job | None = None,
    *,
    only: Sequence[str] = (),
    drafts: dict[str, DraftResult] | None = None,
) -> AllLaid:
    """Lay every cloth of a costume on one wearer and write layouts and drawings into ``place``.

    Stored layouts of the same pieces are used again. only : these cloths. drafts : if they are at hand.
    Raises LayError for a cloth the costume does not use, FileError for an outline of a hide, OutputError. A
    cloth that cannot be laid keeps its last layout and is told in ``refused``.
    """
    job, settings = job or QuietJob(), replace(settings or LaySettings(), unit=work.wearer.unit)
    drafts = drafts if drafts is not None else draft_all(work, job)
    refuse_unused(drafts, only)
    pieces = {slug: result.pieces for slug, result in drafts.items()}
    stored, hides = stored_layouts(place), hides_of(work.folder)
    laid = lay_all(pieces, work.folder.stock, settings, job, before=stored, hides=hides, only=only)
    if laid.cloths:
        beside = _still_holding(pieces, work, stored, hides, only) if only else {}
        keep_layouts(laid, work, place, beside=beside)
    return laid


def _still_holding(
    pieces: Mapping[str, Sequence[Piece]],
    work: Work,
    stored: Mapping[str, Layout],
    hides: Mapping[str, Sequence[Surface]],
    but: Sequence[str],
) -> dict[str, ClothLaid]:
    """Stored layouts of the other cloths, those that still hold for today's pieces."""
    others = [slug for slug in stored if slug not in but]
    if not others:
        return {}
    unsearched = LaySettings(seconds=0.0, rounds=1)
    again = lay_all(pieces, work.folder.stock, unsearched, before=stored, hides=hides, only=others)
    return {slug: cloth for slug, cloth in again.cloths.items() if cloth.reused}


def refuse_unused(drafts: dict[str, DraftResult], only: Sequence[str]) -> None:
    """Raise LayError for a cloth asked for that no piece is cut from."""
    used = {piece.cloth for result in drafts.values() for piece in result.pieces}
    for slug in only:
        if slug not in used:
            raise LayError(
                f"no piece is cut from {slug!r}.", advice=f"Cloths in use: {', '.join(sorted(used))}."
            )


def hides_of(folder: CostumeFolder) -> dict[str, tuple[Surface, ...]]:
    """Traced hides by leather. Raises FileError for a tracing that cannot be used."""
    return {
        slug: tuple(read_hide(folder.root / name) for name in supply.outlines)
        for slug, supply in folder.stock.supplies.items()
        if supply.outlines
    }
