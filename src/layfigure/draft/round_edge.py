"""Lines round one region, as a wrap reads them: from a placed edge, or level round at one station."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.errors import DraftError
from layfigure.geometry.polyline import arc_lengths
from layfigure.place.curve import chart_curves
from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]

SAMPLES = 96
"""Points between two marked ones: chords of a thigh's edge stay within 0.01 mm of the curve."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WrapEdge:
    """A line on one region in chart coordinates.

    station, around : (m,), around unwrapped; a line right round runs one whole turn, rising, its end over
    its start. corner : (m,) points that stay sharp. spread : largest standard deviation along it [mm].
    """

    region: str
    station: Points
    around: Points
    corner: NDArray[np.bool_]
    spread: float = 0.0

    @property
    def goes_round(self) -> bool:
        """The line closes round the region."""
        return abs(float(self.around[-1] - self.around[0])) > 1.0 - 1e-6

    def on(self, chart: RegionChart, *, step: float = 1.0) -> tuple[Points, NDArray[np.bool_]]:
        """The line on a chart's tape surface: (n, 3) [mm], about ``step`` apart, and which are corners."""
        coarse = chart.points(self.station, self.around)
        distance = arc_lengths(coarse)
        even = np.arange(1, max(2, int(np.ceil(distance[-1] / step)))) * step
        every = np.union1d(np.concatenate([[0.0, distance[-1]], distance[self.corner]]), even)
        keep = np.concatenate([[True], np.diff(every) > 1e-6])
        every = every[keep]
        station = np.interp(every, distance, self.station)
        around = np.interp(every, distance, self.around)
        corner = np.isin(np.arange(len(every)), np.searchsorted(every, distance[self.corner] - 2e-6))
        return chart.points(station, around), corner


def level_edge(region: str, station: float) -> WrapEdge:
    """The section at one station, right round."""
    around = np.linspace(0.0, 1.0, 4 * SAMPLES + 1)
    return WrapEdge(
        region=region,
        station=np.full_like(around, station),
        around=around,
        corner=np.zeros(len(around), dtype=np.bool_),
    )


def wrap_edge(placed: PlacedEdge) -> WrapEdge:
    """The placed edge as one line within its region.

    Raises DraftError when it passes through more than one region.
    """
    regions = sorted({at.region for at in placed.at})
    if len(regions) > 1:
        raise DraftError(
            f"edge {placed.edge.slug!r} runs over {' and '.join(regions)}.",
            advice="A stiff band lies on one region: keep the edge on one, or make a piece for each.",
        )
    # The curve the report and the card show, sampled finely enough to cut.
    (curve,) = chart_curves(
        placed.edge.points, closed=placed.edge.closed, goes_round=placed.edge.goes_round, samples=SAMPLES
    )
    station, around = curve.station, curve.around
    if around[-1] < around[0]:
        station, around = station[::-1], around[::-1]
    corner = np.zeros(len(station), dtype=np.bool_)
    for way in curve.corners:
        corner[int(np.abs(np.mod(around - way + 0.5, 1.0) - 0.5).argmin())] = True
    spread = float(np.max(placed.spread)) if len(placed.spread) else 0.0
    return WrapEdge(region=regions[0], station=station, around=around, corner=corner, spread=spread)


def mirrored(edge: WrapEdge, region: str) -> WrapEdge:
    """The same line on the other side of the body: paired regions carry the same chart numbers."""
    return replace(edge, region=region)
