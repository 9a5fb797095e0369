"""Placed lines right round the hand or forearm, as heights over the halves of a glove."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.body.form import Form
from layfigure.draft.glove.pieces import PlacedLine
from layfigure.draft.round_edge import WrapEdge
from layfigure.errors import DraftError
from layfigure.geometry.polyline import arc_lengths

Points = NDArray[np.float64]

FROM_THUMB = {"hand": 0.25, "forearm": 0.0}
"""Way round from the thumb's side to each region's zero line: the hand's runs down the middle of its back."""


def level_line(label: str, height: float) -> PlacedLine:
    """The same height all round [mm]."""

    def line(share: Points) -> Points:
        return np.full_like(share, height)

    return PlacedLine(label=label, palm=line, back=line)


def placed_line(label: str, edge: WrapEdge, form: Form, side: str) -> PlacedLine:
    """A line right round the hand or forearm of one side.

    Raises DraftError for a line elsewhere, on the other side, or that does not go right round.
    """
    region, _, own = edge.region.rpartition("_")
    if region not in FROM_THUMB or own != side:
        raise DraftError(
            f"the {label} of a glove lies on the {side} hand or forearm, not on {edge.region}.",
            advice="Mark or say it there.",
        )
    if not edge.goes_round:
        raise DraftError(
            f"the {label} does not go right round.", advice="Close it, or mark its other side too."
        )
    heights = heights_along(form.charts[edge.region], edge.station)
    share = np.mod(edge.around + FROM_THUMB[region], 1.0)
    order = np.argsort(share, kind="stable")
    share, heights = share[order], heights[order]
    share = np.concatenate([share[-1:] - 1.0, share, share[:1] + 1.0])
    heights = np.concatenate([heights[-1:], heights, heights[:1]])

    def back(at: Points) -> Points:
        return np.interp(0.5 * at, share, heights)

    def palm(at: Points) -> Points:
        return np.interp(1.0 - 0.5 * at, share, heights)

    return PlacedLine(label=label, palm=palm, back=back)


def heights_along(chart: RegionChart, station: Points) -> Points:
    """Distance from the wrist at stations of a hand or forearm, negative up the arm [mm]."""
    along = arc_lengths(chart.sections.mean(axis=1))
    if chart.region.startswith("forearm"):
        along = along - along[-1]
    result: Points = np.interp(station, chart.stations, along)
    return result
