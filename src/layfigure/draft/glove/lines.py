"""Placed lines right round the hand or forearm, as heights over the halves of a glove."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.body.form import Form
from layfigure.draft.glove.options import GloveOptions
from layfigure.draft.registry import DraftRequest
from layfigure.draft.round_edge import WrapEdge, wrap_edge
from layfigure.errors import DraftError
from layfigure.geometry.polyline import arc_lengths

Points = NDArray[np.float64]
Line = Callable[[Points], Points]
"""Height of a line right round the arm or hand at shares of a half's width from the thumb's side."""

FROM_THUMB = {"hand": 0.25, "forearm": 0.0}
"""Way round from the thumb's side to each region's zero line: the hand's runs down the middle of its back."""

ARM_COVER = 15.0
"""Above the wrist, where no cuff is placed [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlacedLine:
    """A line to draw on both halves: its heights at shares of their width from the thumb's side."""

    label: str
    palm: Line
    back: Line

    def reach(self) -> tuple[float, float]:
        """The lowest and the highest it comes on either half [mm]."""
        share = np.linspace(0.0, 1.0, 61)
        palm, back = self.palm(share), self.back(share)
        return float(min(palm.min(), back.min())), float(max(palm.max(), back.max()))


def cuff_line(request: DraftRequest, options: GloveOptions, side: str) -> PlacedLine:
    """The edge it reaches up to, else a level a little above the wrist.

    Raises DraftError for a gauntlet without that edge, and for one that does not go round this arm.
    """
    edge = edge_of(request, "cuff")
    if options.style == "gauntlet" and edge is None:
        raise DraftError(
            "a gauntlet needs the edge it reaches up to.", advice="Add cuff = 'edge name', on the forearm."
        )
    if edge is None:
        return level_line("cuff", -ARM_COVER)
    return placed_line("cuff", edge, request.form, side)


def drawn_lines(request: DraftRequest, low: float, side: str) -> list[PlacedLine]:
    """Wrist and knuckle lines, placed or at their levels. low : the lowest that the cuff comes [mm]."""
    lines = []
    chart = request.form.charts[f"hand_{side}"]
    knuckles = float(heights_along(chart, np.array([1.0]))[0])
    for role, label, height in (("wrist", "wrist", 0.0), ("knuckles", "knuckles", knuckles)):
        edge = edge_of(request, role)
        if edge is not None:
            lines.append(placed_line(label, edge, request.form, side))
        elif height > low + 1.0:
            lines.append(level_line(label, height))
    return lines


def edge_of(request: DraftRequest, role: str) -> WrapEdge | None:
    """The edge that plays a role, None where the design leaves it out."""
    slug = request.statement.edges.get(role)
    return None if slug is None else wrap_edge(request.placement.edges[slug])


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
