"""One run of line from somebody's drawing: a motif, artwork, or a piece traced from paper."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawnPath:
    """One run of line.

    name : as the drawing calls it, or empty. groups : names of the groups it lies in, outermost first.
    points : (n, 2) [mm], y up; the first is not repeated when closed. nodes : (k,) indices of the points
    where one of the drawing's own segments ends, 0 among them: a corner is always one of these.
    """

    name: str
    groups: tuple[str, ...]
    points: Points
    closed: bool
    nodes: NDArray[np.int64]
