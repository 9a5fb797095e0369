"""Layouts kept beside the other results: read again, written, and drawn to cut by."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from layfigure.errors import FileError
from layfigure.files.write import begin_folder, write_bytes, write_text
from layfigure.lay.amount import amount_words
from layfigure.lay.laid import AllLaid, ClothLaid
from layfigure.lay.layout import Layout
from layfigure.lay.store import read_layout, save_layout
from layfigure.pipeline.folder import CostumeFolder
from layfigure.pipeline.work import Work
from layfigure.report.report import DrawnLayout
from layfigure.units import format_length

if TYPE_CHECKING:
    from layfigure.drawing.layout_page import LayoutTitle

LAYOUTS = "layouts"
PDF = "layouts.pdf"


def layouts_folder(out: Path, costume: CostumeFolder, wearer: str | None) -> Path:
    """Where layouts are kept: beside the other results, in the wearer's own folder where there are
    several.
    """
    return (out / wearer if wearer and len(costume.wearers) > 1 else out) / LAYOUTS


def stored_layouts(place: Path) -> dict[str, Layout]:
    """Layouts of an earlier run that can still be read; others are laid anew."""
    found: dict[str, Layout] = {}
    for path in sorted(place.glob("*.json")) if place.is_dir() else []:
        with contextlib.suppress(FileError):
            layout = read_layout(path)
            found[layout.cloth] = layout
    return found


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
