"""How far it is round behind a limb or a head, from one side of what sits in front of it to the other."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPoint

from layfigure.geometry.polyline import length

Points = NDArray[np.float64]

LEVEL_BAND = 12.0
"""Body this near to a level counts as there [mm]."""


def length_behind(beneath: Points, ends: Points, ahead: Points) -> float:
    """Length of the taut level way round behind the body between two places [mm].

    beneath : (m, 3) of the body. ends : (2, 3). ahead : (2,) in plan, the way the front faces.
    """
    level = np.abs(beneath[:, 2] - ends[:, 2].mean()) < LEVEL_BAND
    hull = MultiPoint(np.vstack([beneath[level, :2], ends[:, :2]])).convex_hull
    ring = np.array(hull.exterior.coords)[:-1]
    first, second = (int(np.linalg.norm(ring - end, axis=1).argmin()) for end in ends[:, :2])
    ways = [
        np.roll(ring, -start, axis=0)[: (stop - start) % len(ring) + 1]
        for start, stop in ((first, second), (second, first))
    ]
    return length(min(ways, key=lambda way: float((way @ ahead).mean())))
