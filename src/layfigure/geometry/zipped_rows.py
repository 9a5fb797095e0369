"""Triangles over rows of points of differing counts, as on a gore that narrows to its tip."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Indices = NDArray[np.int64]


def zipped_rows(rows: Sequence[Indices], tip: int | None = None) -> Indices:
    """Faces between neighbouring rows of vertex indices, (m, 3), and from the last row to a tip.

    Rows run the same way, each above the one before; faces are counter-clockwise with the rows' way to the
    right and the next row above. Where two diagonals are as good, the one is taken that
    leaves no face in a corner with all its vertices on the border; without a tip there must be three rows.
    """
    faces: list[tuple[int, int, int]] = []
    for pair, (low, high) in enumerate(itertools.pairwise(rows)):
        topmost = tip is None and pair == len(rows) - 2
        i = j = 0
        last_low, last_high = len(low) - 1, len(high) - 1
        while i < last_low or j < last_high:
            next_low = (i + 0.5) / last_low if i < last_low else 2.0
            next_high = (j + 0.5) / last_high if j < last_high else 2.0
            left_half = i / last_low + j / last_high < 1.0 - 1e-9
            tie = abs(next_high - next_low) <= 1e-9
            above = next_high < next_low - 1e-9 or (tie and left_half != topmost)
            if above:
                faces.append((int(low[i]), int(high[j + 1]), int(high[j])))
                j += 1
            else:
                faces.append((int(low[i]), int(low[i + 1]), int(high[j])))
                i += 1
    if tip is not None:
        last = rows[-1]
        faces.extend((int(a), int(b), tip) for a, b in itertools.pairwise(last))
    return np.array(faces, dtype=np.int64)
