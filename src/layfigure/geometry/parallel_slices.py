"""A tube given as a stack of sections, sliced again by parallel planes square to one straight axis."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AxisFrame:
    """A straight axis with two directions square to it.

    origin, first, second, axis : (3,); the last three orthonormal and right-handed. Planar coordinates
    are along first and second; height is along the axis.
    """

    origin: Points
    first: Points
    second: Points
    axis: Points

    def to_frame(self, places: ArrayLike) -> Points:
        """Places in space as (first, second, height), (..., 3) [mm]."""
        matrix = np.stack([self.first, self.second, self.axis], axis=1)
        local: Points = (np.asarray(places, dtype=np.float64) - self.origin) @ matrix
        return local

    def to_space(self, local: ArrayLike) -> Points:
        """The inverse of ``to_frame``."""
        matrix = np.stack([self.first, self.second, self.axis])
        places: Points = np.asarray(local, dtype=np.float64) @ matrix + self.origin
        return places


def axis_frame(origin: ArrayLike, axis: ArrayLike, toward: ArrayLike) -> AxisFrame:
    """Frame with the given axis whose first direction points toward a place off the axis; all (3,).

    Raises ValueError when that place lies on the axis.
    """
    o = np.asarray(origin, dtype=np.float64)
    e = np.asarray(axis, dtype=np.float64)
    e = e / np.linalg.norm(e)
    out = np.asarray(toward, dtype=np.float64) - o
    out = out - (out @ e) * e
    reach = float(np.linalg.norm(out))
    if reach < 1e-9:
        raise ValueError("the place that sets the first direction lies on the axis")
    first = out / reach
    return AxisFrame(origin=o, first=first, second=np.cross(e, first), axis=e)


def slice_stack(local: Points, heights: ArrayLike) -> Points:
    """Points where the lengthwise lines of a stack cross planes of constant height.

    local : (k, n, 3) sections in frame coordinates, each line (fixed second index) running steadily up or
    down. heights : (m,) [mm]. Returns (m, n, 2) planar points, NaN where a line does not reach a plane.
    """
    planes = np.asarray(heights, dtype=np.float64)
    ordered = local if local[-1, :, 2].mean() > local[0, :, 2].mean() else local[::-1]
    # A line that doubles back at a section's blend is read by its outer envelope of heights.
    rising = np.maximum.accumulate(ordered[:, :, 2], axis=0)
    flat = ordered[:, :, 0] + 1j * ordered[:, :, 1]
    missing = complex(np.nan, np.nan)
    result = np.empty((len(planes), local.shape[1]), dtype=np.complex128)
    for line in range(local.shape[1]):
        result[:, line] = np.interp(planes, rising[:, line], flat[:, line], left=missing, right=missing)
    return np.stack([result.real, result.imag], axis=-1)
