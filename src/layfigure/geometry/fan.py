"""A surface with one raised point, laid flat as a fan of triangles about that point.

A cone-like surface is flat everywhere but at its tip: cut along one line to the tip it opens by the angle it
lacks there, which is what a dart takes out. Lengths from the tip to places round it and between neighbouring
places, read on the surface, fix the fan; what is curved elsewhere shows as the difference of other lengths.

Source: angle defect at a vertex of a polyhedron (Descartes); for a right circular cone of slant s and
radius r the
fan's angle is 2 pi r / s.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Points = NDArray[np.float64]


def fan_angles(spokes: ArrayLike, rims: ArrayLike) -> Points:
    """Angle at the tip between every two neighbouring spokes, (n,) [rad].

    spokes : (n + 1,) from the tip to places in order, a closed fan repeating the first. rims : (n,) between
    neighbours. Lengths that no triangle has are taken as a straight line.
    """
    r, c = np.asarray(spokes, dtype=np.float64), np.asarray(rims, dtype=np.float64)
    before, after = r[:-1], r[1:]
    cosine = (before**2 + after**2 - c**2) / (2.0 * before * after)
    angles: Points = np.arccos(np.clip(cosine, -1.0, 1.0))
    return angles


def fan_places(spokes: ArrayLike, angles: ArrayLike, *, start: float = 0.0) -> Points:
    """Places of a fan about its tip at the origin, counter-clockwise, (n + 1, 2) [mm].

    spokes : (n + 1,). angles : (n,) between them. start : direction of the first [rad].
    """
    turned = start + np.concatenate([[0.0], np.cumsum(np.asarray(angles, dtype=np.float64))])
    places: Points = np.asarray(spokes, dtype=np.float64)[:, None] * np.stack(
        [np.cos(turned), np.sin(turned)], axis=1
    )
    return places
