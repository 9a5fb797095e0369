"""Which measures of a wearer decide the pieces of a costume, before anybody is measured.

A place on a body does not depend on whose body it is, so the costume is placed on the neutral one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from layfigure.design.costume import Costume, design_of
from layfigure.design.design import PieceStatement
from layfigure.errors import PlacementError
from layfigure.pipeline.layers import covered_by
from layfigure.pipeline.stages import neutral_body
from layfigure.place.placement import Placement

if TYPE_CHECKING:
    from layfigure.study.reading import StudyResult

ALWAYS = ("stature",)
"""What every body is made from."""


@dataclass(frozen=True, slots=True)
class NeededMeasures:
    """by_piece : slug of a piece to the stored names of the measures that decide it."""

    by_piece: Mapping[str, tuple[str, ...]]

    @property
    def names(self) -> tuple[str, ...]:
        """All of them, each once."""
        return tuple(dict.fromkeys([*ALWAYS, *(name for names in self.by_piece.values() for name in names)]))

    def pieces_for(self, names: tuple[str, ...]) -> tuple[str, ...]:
        """The pieces that some of these measures decide."""
        return tuple(slug for slug, needed in self.by_piece.items() if set(names) & set(needed))


def needed_measures(costume: Costume, study: StudyResult | None) -> NeededMeasures:
    """The measures that decide each piece. Pieces whose edges are not placed yet count by what they cover."""
    placement = _on_the_neutral_body(costume, study)
    return NeededMeasures({piece.slug: _of_piece(piece, placement) for piece in costume.pieces})


def _on_the_neutral_body(costume: Costume, study: StudyResult | None) -> Placement:
    from layfigure.place.place import place_design

    body = neutral_body()
    try:
        design = design_of(
            costume,
            marked={} if study is None else study.edges,
            charts=body.charts,
            level_heights=body.level_heights,
        )
        return place_design(design, body, skin=body)
    except PlacementError:
        return Placement(wearer="", edges={})


def _of_piece(statement: PieceStatement, placement: Placement) -> tuple[str, ...]:
    """Of the stretch of every region that its edges bound, and of all that its kind covers beyond them."""
    from layfigure.draft.verdict import governing_measures

    placed = [placement.edges[slug] for slug in statement.edges.values() if slug in placement.edges]
    stretches: dict[str, tuple[float, float]] = {}
    for curve in (curve for edge in placed for curve in edge.curves):
        low, high = stretches.get(curve.region, (float("inf"), float("-inf")))
        first, last = float(curve.station.min()), float(curve.station.max())
        stretches[curve.region] = (min(low, first), max(high, last))
    # A garment with a hem at the ankle still covers the whole shank.
    nothing_placed = Placement(wearer="", edges={})
    whole = dict.fromkeys(covered_by(statement, nothing_placed), (-1.0, 9.0))
    return tuple(
        dict.fromkeys(
            name
            for region, stretch in (stretches | whole).items()
            for name in governing_measures(region, *stretch)
        )
    )
