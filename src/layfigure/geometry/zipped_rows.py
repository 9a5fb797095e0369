"""Triangles over rows of points of differing counts, as on a gore that narrows to its tip."""

from __future__ import annotations

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
    sides = np.array([len(row) for row in rows]) - 1
    begins = np.cumsum(sides + 1) - sides - 1
    low, high = sides[:-1], sides[1:]
    first = np.cumsum(low + high) - low - high
    topmost = np.zeros(len(low), dtype=np.bool_)
    topmost[-1] = tip is None
    # A face on the lower row comes after those on the upper one whose middles come before its own.
    below, i = _numbered(low)
    m, n = low[below], high[below]
    before = ((2 * i + 1) * n + m - 1) // (2 * m)
    tie = ((2 * i + 1) * n + m) % (2 * m) == 0
    left_half = i * n + before * m < m * n
    before += tie & (left_half != topmost[below])
    at_lower = first[below] + i + before
    # Those on the upper row stand, in order, where that leaves room.
    above, j = _numbered(high)
    left = np.ones(int(sides[:-1].sum() + sides[1:].sum()), dtype=np.bool_)
    left[at_lower] = False
    at_upper = np.flatnonzero(left)
    passed = at_upper - first[above] - j
    vertex = np.concatenate(rows)
    faces = np.empty((len(left), 3), dtype=np.int64)
    start, across = begins[below] + i, begins[below + 1] + before
    faces[at_lower] = vertex[np.stack([start, start + 1, across], axis=1)]
    start, across = begins[above + 1] + j, begins[above] + passed
    faces[at_upper] = vertex[np.stack([across, start + 1, start], axis=1)]
    if tip is None:
        return faces
    last = rows[-1]
    crown = np.column_stack([last[:-1], last[1:], np.full(len(last) - 1, tip)])
    return np.concatenate([faces, crown])


def _numbered(counts: Indices) -> tuple[Indices, Indices]:
    """Which group each of its members is of, and its number there, for groups of so many, (sum,) both."""
    group = np.repeat(np.arange(len(counts)), counts)
    return group, np.arange(len(group)) - (np.cumsum(counts) - counts)[group]
