"""Laying a costume: drafts and hides in, layouts and drawings out, and what to buy."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from layfigure.errors import FileError, LayError
from layfigure.files.write import begin_folder, write_bytes, write_text
from layfigure.lay.amount import amount_words
from layfigure.lay.cutting_order import cutting_order
from layfigure.lay.hide_file import read_hide
from layfigure.lay.laid import AllLaid, ClothLaid
from layfigure.lay.lay_all import lay_all
from layfigure.lay.layout import Layout, Surface
from layfigure.lay.remnants import remnants_of
from layfigure.lay.settings import LaySettings, Way
from layfigure.lay.store import read_layout, save_layout
from layfigure.piece.piece import Piece
from layfigure.pipeline.folder import CostumeFolder
from layfigure.pipeline.work import Work, draft_all
from layfigure.recompute.job import Job, QuietJob
from layfigure.report.report import DrawnLayout
from layfigure.units import LengthUnit, format_length

if TYPE_CHECKING:
    from layfigure.draft.registry import DraftResult
    from layfigure.drawing.layout_page import LayoutTitle

LAYOUTS = "layouts"
PDF = "layouts.pdf"
USUAL_WIDTHS = (900.0, 1100.0, 1400.0, 1500.0)
"""Widths that cloth is sold in [mm]; common practice, no source."""

WIDTHS_BY_INCH = (914.4, 1143.0, 1371.6, 1524.0)


def layouts_folder(out: Path, costume: CostumeFolder, wearer: str | None) -> Path:
    """Where layouts are kept: beside the other results, in the wearer's own folder where there are
    several.
    """
    return (out / wearer if wearer and len(costume.wearers) > 1 else out) / LAYOUTS


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
    _refuse_unused(drafts, only)
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


def _refuse_unused(drafts: dict[str, DraftResult], only: Sequence[str]) -> None:
    used = {piece.cloth for result in drafts.values() for piece in result.pieces}
    for slug in only:
        if slug not in used:
            raise LayError(
                f"no piece is cut from {slug!r}.", advice=f"Cloths in use: {', '.join(sorted(used))}."
            )


def stored_layouts(place: Path) -> dict[str, Layout]:
    """Layouts of an earlier run that can still be read; others are laid anew."""
    found: dict[str, Layout] = {}
    for path in sorted(place.glob("*.json")) if place.is_dir() else []:
        with contextlib.suppress(FileError):
            layout = read_layout(path)
            found[layout.cloth] = layout
    return found


def hides_of(folder: CostumeFolder) -> dict[str, tuple[Surface, ...]]:
    """Traced hides by leather. Raises FileError for a tracing that cannot be used."""
    return {
        slug: tuple(read_hide(folder.root / name) for name in supply.outlines)
        for slug, supply in folder.stock.supplies.items()
        if supply.outlines
    }


def keep_layouts(
    laid: AllLaid, work: Work, place: Path, *, beside: Mapping[str, ClothLaid] | None = None
) -> None:
    """Write layouts and drawings to cut by into ``place``. Raises OutputError.

    beside : layouts that are there already, drawn again in the file that holds them all.
    """
    from layfigure.drawing.layout_page import layouts_pdf, section_svg

    begin_folder(place.parent)
    place.mkdir(exist_ok=True)
    pages = []
    for slug, cloth in laid.cloths.items():
        title = title_of(cloth, work)
        save_layout(cloth.layout, place / f"{slug}.json")
        for old in place.glob(f"{slug}-*.svg"):
            old.unlink()
        for index in range(len(cloth.layout.sections)):
            write_text(place / f"{slug}-{index + 1}.svg", section_svg(cloth.layout, index, title))
        pages.append((cloth.layout, title))
    pages += [(cloth.layout, title_of(cloth, work)) for cloth in (beside or {}).values()]
    if any(layout.sections for layout, _ in pages):
        letter = work.wearer.unit == "in"
        write_bytes(place / PDF, layouts_pdf(pages, work.folder.costume.name, letter=letter))


def drawn_layouts(laid: AllLaid, work: Work) -> tuple[DrawnLayout, ...]:
    """Every cloth's layout for the report; what is only estimated has no drawing."""
    from layfigure.drawing.layout_page import section_svg

    drawn = []
    for cloth in laid.cloths.values():
        title = title_of(cloth, work)
        sections = range(len(cloth.layout.sections))
        drawings = tuple(_within_a_page(section_svg(cloth.layout, index, title)) for index in sections)
        if drawings:
            words = f"{title.buy}; {title.remark}" if title.remark else title.buy
            drawn.append(DrawnLayout(title=title.cloth, words=words, drawings=drawings))
    return tuple(drawn)


def _within_a_page(svg: str) -> str:
    """The drawing without what a file of its own needs: a page has its own styles and names no address."""
    bare = svg[svg.index("<svg") :].replace(' xmlns="http://www.w3.org/2000/svg"', "", 1)
    return re.sub(r"<style>.*?</style>\n?", "", bare, count=1, flags=re.DOTALL)


def title_of(cloth: ClothLaid, work: Work) -> LayoutTitle:
    """What stands over the drawings of a cloth."""
    from layfigure.drawing.layout_page import LayoutTitle

    material = work.folder.cloths[cloth.layout.cloth]
    notes = []
    if cloth.layout.roll_width:
        wide = format_length(cloth.layout.roll_width, work.wearer.unit)
        notes.append(f"{wide} is what is left between the selvedges once the cloth is washed.")
    if material.kind in ("knit", "mesh"):
        notes.append("The greatest stretch runs across, from selvedge to selvedge.")
    return LayoutTitle(
        cloth=material.name,
        notes=tuple(notes),
        buy=amount_words(cloth.amount, work.wearer.unit),
        remark=cloth.amount.remark,
        unit=work.wearer.unit,
    )


def laid_lines(laid: AllLaid, work: Work) -> list[str]:
    """What the terminal shows: a line a cloth, and the way that was not taken."""
    lines = []
    for slug, cloth in laid.cloths.items():
        buy = amount_words(cloth.amount, work.wearer.unit)
        kept = " (as laid before)" if cloth.reused else ""
        lines.append(f"{work.folder.cloths[slug].name}: {buy}{kept}")
        if cloth.amount.remark:
            lines.append(f"  {cloth.amount.remark}")
        words = _compared(cloth, work.wearer.unit)
        if words:
            lines.append(f"  {words}")
    return lines


def _compared(cloth: ClothLaid, unit: LengthUnit) -> str:
    ways = {one.way: one for one in cloth.alternatives}
    if len(ways) < 2 or ways["fold"].to_buy == ways["single"].to_buy:
        return ""
    name = {"fold": "folded", "single": "single"}
    less, more = sorted(ways.values(), key=lambda one: one.length)
    said = (format_length(one.to_buy, "m" if unit != "in" else "in") for one in (less, more))
    return f"{name[less.way]}: {next(said)}; {name[more.way]}: {next(said)}"


def laid_as_data(laid: AllLaid) -> dict[str, Any]:
    """The answer for programs: sizes in millimetres."""
    return {
        "cloths": {slug: _cloth_as_data(cloth) for slug, cloth in laid.cloths.items()},
        "refused": {slug: {"what": e.what, "advice": e.advice} for slug, e in laid.refused.items()},
    }


def _cloth_as_data(cloth: ClothLaid) -> dict[str, Any]:
    layout, amount = cloth.layout, cloth.amount
    return {
        "sold_as": layout.sold_as,
        "by": amount.by,
        "needed": amount.needed,
        "to_buy": amount.to_buy,
        "from_shelf": amount.from_shelf,
        "width": amount.width,
        "estimated": amount.estimated,
        "remark": amount.remark,
        "length": layout.length,
        "bound": layout.bound,
        "density": layout.density,
        "seconds": layout.seconds,
        "reused": cloth.reused,
        "sections": [
            {
                "kind": section.kind,
                "name": section.name,
                "width": section.width,
                "length": section.length,
                "density": section.density,
                "remnants": [
                    {"length": left.length, "width": left.width, "layers": left.layers}
                    for left in remnants_of(section)
                ],
            }
            for section in layout.sections
        ],
        "cutting_order": [step.words for step in cutting_order(layout)],
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """One cloth on one width of roll, laid in one way."""

    cloth: str
    width: float
    way: Way
    length: float
    to_buy: float
    refused: str = ""

    def as_data(self) -> dict[str, Any]:
        """For programs [mm]."""
        return {
            "cloth": self.cloth,
            "width": self.width,
            "way": self.way,
            "length": self.length,
            "to_buy": self.to_buy,
            "refused": self.refused,
        }

    def words(self, unit: LengthUnit) -> tuple[str, ...]:
        """A row of a table."""
        width = format_length(self.width, unit)
        if self.refused:
            return self.cloth, width, "", "does not fit", ""
        long = format_length(self.to_buy, "in" if unit == "in" else "m")
        way = "folded" if self.way == "fold" else "single"
        return self.cloth, width, way, long, f"{self.to_buy * self.width / 1e6:.2f} m²"


def compare_widths(
    work: Work,
    settings: LaySettings | None = None,
    job: Job | None = None,
    *,
    only: Sequence[str] = (),
    drafts: dict[str, DraftResult] | None = None,
) -> list[Compared]:
    """Every cloth off a roll on its own width and the usual ones, folded and single. Writes nothing.

    The time of the settings is shared by all widths, so the numbers are a little longer than a search for
    one. drafts : if they are at hand.
    """
    settings, job = settings or LaySettings(), job or QuietJob()
    drafts = drafts if drafts is not None else draft_all(work, job)
    _refuse_unused(drafts, only)
    pieces = {slug: result.pieces for slug, result in drafts.items()}
    stock = work.folder.stock
    used = dict.fromkeys(piece.cloth for own in pieces.values() for piece in own)
    rolls = [slug for slug in used if stock.supply(slug).sold_as == "roll" and (not only or slug in only)]
    usual = WIDTHS_BY_INCH if work.wearer.unit == "in" else USUAL_WIDTHS
    rows: list[Compared] = []
    for slug in rolls:
        widths = sorted({stock.cloths[slug].width, *usual})
        for width in widths:
            asked = replace(
                settings, seconds=settings.seconds / (len(rolls) * len(widths)), width=width, way="auto"
            )
            laid = lay_all(pieces, stock, asked, job, only=(slug,))
            name = stock.cloths[slug].name
            if slug not in laid.cloths:
                rows.append(
                    Compared(
                        cloth=name, width=width, way="single", length=0.0, to_buy=0.0, refused="too wide"
                    )
                )
                continue
            rows += [
                Compared(cloth=name, width=width, way=one.way, length=one.length, to_buy=one.to_buy)
                for one in laid.cloths[slug].alternatives
            ]
    return rows
