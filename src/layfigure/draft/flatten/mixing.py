"""Extrapolation of slowly converging steps.

D. G. Anderson, "Iterative procedures for nonlinear integral equations", Journal of the ACM 12(4), 1965.
Linear conditions that every remembered step meets are met by the extrapolation too.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Reals = NDArray[np.float64]


class AndersonMixing:
    """Remembers up to ``depth`` steps of a fixed-point iteration."""

    def __init__(self, depth: int) -> None:
        self._depth = depth
        self._places: list[Reals] = []
        self._changes: list[Reals] = []

    def forget(self) -> None:
        """Start afresh, after a step that was shortened or led astray."""
        self._places.clear()
        self._changes.clear()

    def next(self, place: Reals, change: Reals) -> Reals:
        """Where to go from ``place``, where a plain step would add ``change``; (k,) each."""
        if self._changes and np.linalg.norm(change) > np.linalg.norm(self._changes[-1]):
            self.forget()
        self._places = [*self._places[-self._depth :], place]
        self._changes = [*self._changes[-self._depth :], change]
        if len(self._changes) == 1:
            return place + change
        changes = np.stack(self._changes, axis=1)
        places = np.stack(self._places, axis=1)
        differences = np.diff(changes, axis=1)
        shares, *_ = np.linalg.lstsq(differences, change, rcond=1e-6)
        return np.asarray(place + change - (np.diff(places, axis=1) + differences) @ shares, dtype=np.float64)
