"""Girth of the body at any place on or near it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart

Points = NDArray[np.float64]

REACH = 60.0
"""Charts are asked of places that lie no further than this outside their box [mm]."""


def girths_at(places: Points, charts: Mapping[str, RegionChart]) -> Points:
    """Girth of the section that each place lies on, of the region nearest to it, (n,) [mm].

    places : (n, 3) [mm], in the pose of the charts. Infinite where no region is near.
    """
    nearest = np.full(len(places), np.inf)
    girths = np.full(len(places), np.inf)
    for chart in charts.values():
        box = chart.sections.reshape(-1, 3)
        low, high = box.min(axis=0) - REACH, box.max(axis=0) + REACH
        near = np.flatnonzero(((places > low) & (places < high)).all(axis=1))
        if not near.size:
            continue
        station, _, distance = chart.locate(places[near])
        closer = distance < nearest[near]
        rows = near[closer]
        nearest[rows] = distance[closer]
        girths[rows] = chart.girth(station[closer])
    return girths
