"""Tables read linearly between their entries, many columns or rows at once; beyond the ends, as there."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]


def read_columns(at: Points, known: Points, table: Points) -> Points:
    """Every column of a table at the same places, (k, ...).

    at : (k,). known : (n,) where the table's rows stand, rising, two at least. table : (n, ...).
    """
    after = np.clip(known.searchsorted(at, side="right"), 1, len(known) - 1)
    step, width = _step(at, known[after - 1], known[after])
    alone = (-1, *[1] * (table.ndim - 1))
    before = table[after - 1]
    read: Points = before + step.reshape(alone) * ((table[after] - before) / width.reshape(alone))
    return read


def read_rows(at: Points, known: Points, *tables: Points) -> tuple[Points, ...]:
    """Every row of tables at places of its own, (m, k) each.

    at : (m, k), or (1, k) for the same of every row. known : (m, n) where the entries of each row stand,
    rising or alike. tables : (m, n).
    """
    count, length = known.shape
    at = np.broadcast_to(at, (count, at.shape[1]))
    # One search for all: each row's places are moved past those of the row before it.
    low = min(known[:, 0].min(), at.min())
    move = (np.arange(count) * (max(known[:, -1].max(), at.max()) - low + 1.0))[:, None]
    found = (known + move).ravel().searchsorted((at + move).ravel(), side="right").reshape(at.shape)
    starts = np.arange(count)[:, None] * length
    after = np.clip(found, starts + 1, starts + length - 1)
    places = known.ravel()
    step, width = _step(at, places.take(after - 1), places.take(after))
    read = []
    for table in tables:
        before, beyond = table.ravel().take(after - 1), table.ravel().take(after)
        read.append(before + step * ((beyond - before) / width))
    return tuple(read)


def _step(at: Points, before: Points, after: Points) -> tuple[Points, Points]:
    """How far places are past the entry before them, and the entry after them past that one."""
    width = np.maximum(after - before, 1e-12)
    return np.minimum(np.maximum(at - before, 0.0), width), width
