"""The fitted figure set back to the template's pose: its charts, and where its points lie round a section."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.geometry.polyline import points_at
from layfigure.study.figure import FigureModel

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Unposed:
    """The figure standing as the template stands.

    sections : by region, (k, n, 3) [mm]. around : by region, (k, n + 1) fraction of the girth at every
    section point, 0 to 1. around_by_shape : (k, n + 1) its change when width grows against depth.
    stature : [mm].
    """

    sections: dict[str, Points]
    around: dict[str, Points]
    around_by_shape: dict[str, Points]
    stature: float


def unpose(model: FigureModel, shared: Points) -> Unposed:
    """Set the figure back to the template's pose; its shape stays."""
    still = shared.copy()
    still[model.pose_columns] = 0.0
    posed = model.pose(still)
    sections, around, by_shape = {}, {}, {}
    step = 0.02
    for name, region in model.regions.items():
        sections[name] = model.grid_places(region, posed[name], still)
        around[name] = _fractions(sections[name])
        wider = still.copy()
        wider[region.width] += step
        by_shape[name] = (_fractions(model.grid_places(region, posed[name], wider)) - around[name]) / step
    heights = np.concatenate([grid[:, :, 2].ravel() for grid in sections.values()])
    return Unposed(sections=sections, around=around, around_by_shape=by_shape, stature=float(np.ptp(heights)))


def _fractions(sections: Points) -> Points:
    closed = np.concatenate([sections, sections[:, :1]], axis=1)
    arc = np.cumsum(np.linalg.norm(np.diff(closed, axis=1), axis=2), axis=1)
    fractions: Points = np.concatenate([np.zeros((len(arc), 1)), arc / arc[:, -1:]], axis=1)
    return fractions


def read_around(table: Points, row: Points, column: Points) -> Points:
    """Bilinear reading of a (k, n + 1) table at real row and column, (m,)."""
    k, n = table.shape[0], table.shape[1] - 1
    low = np.clip(np.floor(row).astype(np.int64), 0, k - 2)
    left = np.clip(np.floor(column).astype(np.int64), 0, n - 1)
    r, c = row - low, column - left
    below = (1 - c) * table[low, left] + c * table[low, left + 1]
    above = (1 - c) * table[low + 1, left] + c * table[low + 1, left + 1]
    result: Points = (1 - r) * below + r * above
    return result


def charts_of(model: FigureModel, unposed: Unposed, stature: float) -> dict[str, RegionChart]:
    """Charts of the figure, scaled to a stature [mm] and standing on the floor."""
    factor = stature / unposed.stature
    floor = min(float(grid[:, :, 2].min()) for grid in unposed.sections.values())
    charts: dict[str, RegionChart] = {}
    for name, grid in unposed.sections.items():
        lifted = (grid - np.array([0.0, 0.0, floor])) * factor
        count = lifted.shape[1]
        even = []
        for section in lifted:
            girth = float(np.linalg.norm(np.roll(section, -1, axis=0) - section, axis=1).sum())
            even.append(points_at(section, np.arange(count) / count * girth, closed=True))
        region = model.regions[name]
        charts[name] = RegionChart(
            region=name, level_names=region.level_names, stations=region.stations, sections=np.stack(even)
        )
    return charts
