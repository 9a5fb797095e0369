"""What parts are laid on, as the placement by no-fit polygons sees it: a strip, a sheet or a hide."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from layfigure.lay.layout import Surface
from layfigure.lay.no_fit import STEPS, Paths, Ring, inner_fit, on_grid

Points = NDArray[np.float64]

HAIR = 4
"""How much wider than it is a strip or sheet may be [steps of 0.001 mm]; what counts as overlap is wider."""

PLAINER = 1.0
"""How far a hide's outline may be drawn in to leave out points [mm]: a knife is steered no closer."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """One strip, sheet or hide to lay parts on.

    width, length : of a rectangle from (0, 0), y across and x along [mm]. surface : a hide instead.
    folded : the edge y = 0 is a fold, on which parts with a fold edge must lie.
    repeat : of a pattern, along and across [mm]. margin : kept free round the edge of a hide [mm].
    """

    name: str
    width: float
    length: float
    surface: Surface | None = None
    folded: bool = False
    repeat: tuple[float, float] = (0.0, 0.0)
    margin: float = 0.0
    areas: dict[int, BaseGeometry] = field(default_factory=dict)
    rings: dict[int, Paths] = field(default_factory=dict)

    def area_for(self, quality: int) -> BaseGeometry:
        """Where a part that wants this quality may lie, as a polygon or several [mm]."""
        if quality not in self.areas:
            self.areas[quality] = self._area(quality)
        return self.areas[quality]

    def _area(self, quality: int) -> BaseGeometry:
        if self.surface is None:
            return shapely.box(0.0, 0.0, self.length, self.width)
        whole = shapely.make_valid(Polygon(self.surface.outline))
        if self.margin:
            whole = whole.buffer(-self.margin)
        # One at a time: flaws that touch the edge or each other are common, and mending all at once guesses.
        for flaw in self.surface.flaws:
            whole = shapely.difference(whole, shapely.make_valid(Polygon(flaw)).buffer(self.margin))
        for zone in self.surface.zones:
            if quality and zone.quality > quality:
                whole = shapely.difference(whole, shapely.make_valid(Polygon(zone.outline)))
        return whole

    def inner(self, ring: Ring, quality: int) -> Paths:
        """Where the origin of an outline may be moved to, on the grid."""
        if self.surface is None:
            x, y = np.array(ring).T
            west, south = -int(x.min()), -int(y.min())
            east, north = int(self.length * STEPS) - int(x.max()), int(self.width * STEPS) - int(y.max())
            if east + HAIR < west or north + HAIR < south:
                return []
            # Parts that fill the width exactly leave no area to move in; a hair more keeps such places.
            east, north = east + HAIR, north + HAIR
            return [[(west, south), (east, south), (east, north), (west, north)]]
        if quality not in self.rings:
            self.rings[quality] = [ring for part in self._plainer(quality) for ring in _rings(part)]
        return inner_fit(self.rings[quality], ring)

    def _plainer(self, quality: int) -> list[Polygon]:
        """The area with fewer points and nowhere larger."""
        area = self.area_for(quality)
        drawn_in = shapely.simplify(area.buffer(-PLAINER, join_style="mitre"), PLAINER)
        inside = shapely.intersection(drawn_in, area)
        return [part for part in shapely.get_parts(inside) if isinstance(part, Polygon) and not part.is_empty]


def _rings(area: Polygon) -> Paths:
    """Outline counter-clockwise and holes clockwise, on the grid."""
    outline = on_grid(np.asarray(area.exterior.coords)[:-1])
    return [outline, *(on_grid(np.asarray(hole.coords)[:-1])[::-1] for hole in area.interiors)]
