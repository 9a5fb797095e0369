"""Convex hulls of many small sets of points in the plane, all led round at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

SAME = 1e-9
"""Points nearer than this are one [mm]."""


def hull_loops(points: Points) -> Indices:
    """Corners of the hull of each set, (s, h + 1) rows into it: counter-clockwise from the point farthest
    along the first axis and back to it; it is repeated where other sets have more corners.

    points : (s, p, 2) [mm]; a set with fewer than p points repeats one. Source: R. A. Jarvis, "On the
    identification of the convex hull of a finite set of points in the plane", Information Processing Letters
    2(1), 1973.
    """
    place = points[..., 0] + 1j * points[..., 1]
    sets = np.arange(len(place))
    first = place.real.argmax(axis=1)
    here, heading = first, np.full(len(place), 1j)
    loop, closed = [first], np.zeros(len(place), dtype=bool)
    # No hull has more corners than its set has points: rounding cannot lead it round for ever.
    for _ in range(place.shape[1]):
        way = place - place[sets, here][:, None]
        far = np.abs(way)
        # From a corner the hull goes on to the point for which it turns least.
        facing = (way * heading.conj()[:, None]).real / np.maximum(far, SAME)
        ahead = np.where(far > SAME, facing, -2.0).argmax(axis=1)
        heading = way[sets, ahead] / np.maximum(far[sets, ahead], SAME)
        here = np.where(closed, first, ahead)
        closed |= np.abs(place[sets, here] - place[sets, first]) <= SAME
        loop.append(here)
        if closed.all():
            break
    return np.stack(loop, axis=1)
