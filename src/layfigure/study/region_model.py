"""One region of the figure before it is moved: its template, its parameters, and points prepared to move."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.study.along_stations import spline_weights, straight_beyond
from layfigure.study.skeleton import Joint

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Material:
    """Points that belong to one region of the figure, ready to be moved: (m,) of them.

    local : (m, 3) template coordinates in the region's frame. centre : (m, 2) the section's centre there.
    breadth : (m, knots) spline weights of widths and depths. bend : (m, shift_knots) of the shifts.
    stretch : (m, segments) length of each segment between the joint and the point [mm].
    """

    local: Points
    centre: Points
    breadth: Points
    bend: Points
    stretch: Points

    def take(self, index: NDArray[np.int64]) -> Material:
        """Some of the points, in this order."""
        return Material(
            local=self.local[index],
            centre=self.centre[index],
            breadth=self.breadth[index],
            bend=self.bend[index],
            stretch=self.stretch[index],
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RegionModel:
    """One region's template and where its parameters sit in the shared vector.

    frame : (3, 3) columns are the local axes in space; left and right mirror each other, so that the
    same angles and widths mean the same on both sides. origin : (3,) the joint in the template.
    sections, centres : (k, n, 3) and (k, 3) in the frame, from the joint. knots, bend_knots : stations.
    level_axial : axial coordinate of every level. The slices are columns of the shared parameters.
    angle_axes : which of flexion, abduction and twist (0, 1, 2) are solved.
    """

    name: str
    parent: str
    joint: Joint
    level_names: tuple[str, ...]
    frame: Points
    origin: Points
    stations: Points
    sections: Points
    centres: Points
    knots: Points
    bend_knots: Points
    level_axial: Points
    lengths: slice
    width: slice
    depth: slice
    bend_x: slice
    bend_y: slice
    anchor: slice
    pose: slice
    angle_axes: tuple[int, ...]
    anchor_material: Material | None

    @property
    def mirrored(self) -> bool:
        """True for a region of the right side."""
        return self.name.endswith("_right")

    def material(self, local: Points, station: Points) -> Material:
        """Prepare points given in the region's template frame, at stations (m,)."""
        local = np.atleast_2d(np.asarray(local, dtype=np.float64))
        t = np.broadcast_to(np.asarray(station, dtype=np.float64), (len(local),))
        centre = np.stack([np.interp(t, self.stations, self.centres[:, k]) for k in (0, 1)], axis=1)
        return Material(
            local=local,
            centre=centre,
            breadth=spline_weights(self.knots, t),
            bend=spline_weights(self.bend_knots, t),
            stretch=_stretch(self.level_axial, local[:, 2]),
        )

    def at(self, station: Points, around: Points) -> Material:
        """Prepare surface points at a station and a fraction of the *template's* girth, (m,) each."""
        return self.material(self.local_at(station, around), station)

    def local_at(self, station: Points, around: Points) -> Points:
        """Template coordinates of a surface point, (m, 3); stations beyond the chart move along the axis."""
        chart = RegionChart(
            region=self.name, level_names=self.level_names, stations=self.stations, sections=self.sections
        )
        inside = np.clip(station, self.stations[0], self.stations[-1])
        local = chart.points(inside, around)
        local[:, 2] += self.axial(station) - self.axial(inside)
        return local

    def axial(self, station: Points) -> Points:
        """Axial coordinate of a station, (m,) [mm], straight beyond the chart's ends."""
        return straight_beyond(self.stations, self.centres[:, 2], station)


def _stretch(levels: Points, axial: Points) -> Points:
    """Signed length of each segment between the joint (0) and an axial coordinate, (m, segments)."""
    low, high = levels[:-1].copy(), levels[1:].copy()
    low[0], high[-1] = -np.inf, np.inf
    to_point = np.clip(axial[:, None], low, high)
    to_joint = np.clip(0.0, low, high)
    result: Points = to_point - to_joint
    return result
