"""Where the bands of a wrap are cut open: the ruling each starts at, and the edges of the design on them."""

from __future__ import annotations

import numpy as np

from layfigure.draft.sheet_practice import sheet_practice
from layfigure.draft.wrap.outline import Trace, trace
from layfigure.draft.wrap.piece import BandOutline
from layfigure.draft.wrap.plan import WrapPlan
from layfigure.draft.wrap.surface import WrapSurface, neutral_bands
from layfigure.materials.cloth import Cloth


def opened_bands(
    plan: WrapPlan, surface: WrapSurface, cloth: Cloth, *, lacing_gap: float
) -> list[BandOutline]:
    """Every band of a sheet from the bottom, from the ruling where it opens or a plate starts.

    lacing_gap : how far laced ends stay apart [mm].
    """
    bands = neutral_bands(surface, cloth.thickness, sheet_practice(cloth).neutral_share)
    count = bands[0].count
    middle = plan.middle_station

    def rulings(*around: float) -> list[float]:
        places = surface.frame.to_frame(plan.chart.points(np.full(len(around), middle), around))
        near = np.abs([band.share(places[:, 2]) - 0.5 for band in bands]).argmin(axis=0)
        found = [band.nearest(places)[0] for band in bands]
        return [float(found[band][k]) for k, band in enumerate(near)]

    if plan.join == "open":
        at, *ends = rulings(plan.at, plan.at - 0.5 * plan.cover, plan.at + 0.5 * plan.cover)
        sides = [_unwrapped(at, end, count) for end in ends]
        first = round(min(sides))
        trapezoids = max(8, round(max(sides)) - first)
        centre = _unwrapped(first + 0.5 * trapezoids, at, count)
    else:
        opening, opposite = rulings(plan.at, plan.at + 0.5)
        first, trapezoids = round(opening), count
        centre = _unwrapped(first + 0.5 * count, opposite, count)
    last = len(bands) - 1
    bottom: Trace = trace(bands[0], surface.bottom, surface.bottom_corner)
    top: Trace = trace(bands[last], surface.top, surface.top_corner)
    return [
        BandOutline(
            band=band,
            first=first,
            trapezoids=trapezoids,
            centre=centre,
            bottom=bottom if k == 0 else None,
            top=top if k == last else None,
            gap=lacing_gap if plan.join == "lacing" else 0.0,
        )
        for k, band in enumerate(bands)
    ]


def _unwrapped(reference: float, ruling: float, count: int) -> float:
    """The lap of a ruling nearest to a reference."""
    return ruling + count * round((reference - ruling) / count)
