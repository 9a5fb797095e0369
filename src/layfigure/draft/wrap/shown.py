"""A wrap and a belt as they lie on the body, for pictures of the whole costume."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.draft.round_edge import WrapEdge
from layfigure.draft.wrap.piece import BandOutline
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.parallel_slices import AxisFrame
from layfigure.geometry.tube import rows_mesh

Points = NDArray[np.float64]

ACROSS = 3
"""Rows of faces from the lower edge to the upper one."""
ROUND = 160
"""Columns of faces right round."""


def band_shown(outline: BandOutline, frame: AxisFrame, outward: float) -> TriangleMesh:
    """A band on its rulings between its two lines, (n, 3) [mm].

    outward : from the band, which is the neutral surface, to the outer one [mm].
    """
    band = outline.band.offset(outward)
    low, high = outline.traces
    even = np.linspace(outline.first, outline.first + outline.trapezoids, ROUND + 1)
    # Every corner of either line has a column of its own.
    ruling = np.unique(np.concatenate([even, low.ruling[low.corner], high.ruling[high.corner]]))
    foot, tip = np.interp(ruling, low.ruling, low.share), np.interp(ruling, high.ruling, high.share)
    up = np.linspace(0.0, 1.0, ACROSS + 1)[:, None]
    rows = frame.to_space(band.points(ruling, (1.0 - up) * foot + up * tip))
    return rows_mesh(rows, closed=False)


def strap_shown(chart: RegionChart, edge: WrapEdge, width: float, clear: float) -> TriangleMesh:
    """A strap of a width along a line round a region, standing off by ``clear`` [mm]."""
    chosen = np.linspace(0, len(edge.station) - 1, ROUND + 1).round().astype(np.int64)
    station, around = edge.station[chosen], edge.around[chosen]
    places = chart.points(station, around)
    along = np.gradient(places, axis=0)
    up = chart.points(station - 0.02, around) - chart.points(station + 0.02, around)
    up -= along * (np.einsum("ij,ij->i", up, along) / np.einsum("ij,ij->i", along, along))[:, None]
    up /= np.linalg.norm(up, axis=1, keepdims=True)
    outward = np.cross(along, up)
    outward /= np.linalg.norm(outward, axis=1, keepdims=True)
    inside = np.einsum("ij,ij->i", outward, places - places.mean(axis=0)) < 0.0
    outward[inside] *= -1.0
    rows = [places + clear * outward + share * width * up for share in (-0.5, 0.0, 0.5)]
    return rows_mesh(np.stack(rows), closed=False)
