"""What a cloth would take on other widths of roll, folded and single, before it is bought."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from layfigure.lay.lay_all import lay_all
from layfigure.lay.settings import LaySettings, Way
from layfigure.pipeline.laying import refuse_unused
from layfigure.pipeline.work import Work, draft_all
from layfigure.recompute.job import Job, QuietJob
from layfigure.units import LengthUnit, format_length

if TYPE_CHECKING:
    from layfigure.draft.registry import DraftResult

USUAL_WIDTHS = (900.0, 1100.0, 1400.0, 1500.0)
"""Widths that cloth is sold in [mm]; common practice, no source."""

WIDTHS_BY_INCH = (914.4, 1143.0, 1371.6, 1524.0)


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
    refuse_unused(drafts, only)
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
