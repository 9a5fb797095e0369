"""Elastic at the openings of a close garment: how much to cut, and how it is spread along the edge."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from layfigure.draft.flatten.panel import FlatPanel
from layfigure.draft.knit.garment import KnitGarment, Opening
from layfigure.draft.knit.openings import cut_lengths, opening_words, over_middle, worn_round
from layfigure.draft.knit.options import KnitOptions
from layfigure.materials.opening import ELASTIC_OVERLAP, ELASTIC_SHARE, SWIM_LEG_BACK, elastic_length
from layfigure.piece.item import Item
from layfigure.units import format_share

WIDTH_WAIST, WIDTH_ELSEWHERE = 20.0, 8.0
"""Usual widths of elastic in close garments [mm]; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Elastic:
    """One ring of elastic.

    opening : it is sewn to. cut : its length, overlap included [mm]. how : where it is stretched, in words.
    count : rings alike, two where the drafted side stands for both.
    """

    opening: Opening
    cut: float
    how: str
    count: int

    @property
    def width(self) -> float:
        """Width of the elastic [mm]."""
        return WIDTH_WAIST if self.opening.kind == "waist" else WIDTH_ELSEWHERE


def elastics_of(
    garment: KnitGarment, flats: Mapping[str, FlatPanel], options: KnitOptions
) -> tuple[Elastic, ...]:
    """Elastic for every opening that is finished with it."""
    found = []
    for opening in garment.openings:
        collared = opening.kind == "neck" and options.neckline == "stand"
        if collared or options.finish_of(opening.kind) != "elastic":
            continue
        parts = cut_lengths(garment, flats, opening)
        fronts, backs = (sum(v for k, v in parts.items() if k.startswith(p)) for p in ("front", "back"))
        if opening.kind == "leg" and fronts > 0.0 and backs > 0.0:
            cut = fronts + SWIM_LEG_BACK * backs + ELASTIC_OVERLAP
            how = (
                f"as long as the edge in front, {format_share(SWIM_LEG_BACK)} of it behind, so that the seat "
                "is held and the groin is not cut into"
            )
        else:
            least, most = ELASTIC_SHARE[opening.kind]
            cut = elastic_length(opening.kind, worn_round(garment, opening))
            how = f"{format_share(least)} to {format_share(most)} of the opening as worn, spread evenly"
        count = 2 if garment.pair and not over_middle(garment, opening) else 1
        found.append(Elastic(opening=opening, cut=cut, how=how, count=count))
    return tuple(found)


def elastic_items(elastics: tuple[Elastic, ...]) -> tuple[Item, ...]:
    """The elastic as things to buy."""
    return tuple(
        Item(
            slug=f"elastic_{elastic.width:.0f}mm",
            name=f"elastic, {elastic.width:.0f} mm wide",
            count=elastic.count,
            length=elastic.cut,
            use=f"{opening_words(elastic.opening.slug)}: {elastic.how}; ends overlapped 12 mm",
        )
        for elastic in elastics
    )
