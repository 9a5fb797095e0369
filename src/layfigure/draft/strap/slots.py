"""Slots in a strap for plates that overlap and slide: how many, how long, how far apart."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

STILL_OVER = 5.0
"""Plates pulled fully apart still overlap by this [mm] (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SlotRow:
    """A row of plates on a strap [mm].

    count : plates, the first fixed, the others sliding. plate : height of one. overlap : of neighbours when
    pushed together. travel : how far each slides. rivet : shank diameter. first : from the strap's end to the
    first rivet.
    """

    count: int
    plate: float
    overlap: float
    travel: float
    rivet: float
    first: float

    @property
    def pitch(self) -> float:
        """From rivet to rivet when pushed together [mm]."""
        return self.plate - self.overlap

    @property
    def slot(self) -> float:
        """Length of a slot from end to end: a rivet slides through its travel [mm]."""
        return self.travel + self.rivet

    @property
    def closed(self) -> float:
        """Height of the row pushed together [mm]."""
        return self.count * self.plate - (self.count - 1) * self.overlap

    @property
    def open(self) -> float:
        """Height of the row when the last plate has slid down [mm]."""
        return self.closed + self.travel

    @property
    def least_overlap(self) -> float:
        """Overlap of neighbours when one is up and the next one down [mm]."""
        return self.overlap - self.travel

    def slots(self) -> Points:
        """Start and end of every slot along the strap, (count - 1, 2) [mm]; rivets rest at the start."""
        rivets = self.first + self.pitch * np.arange(1, self.count)
        return np.column_stack([rivets - 0.5 * self.rivet, rivets - 0.5 * self.rivet + self.slot])

    @property
    def reach(self) -> float:
        """From the strap's end to past the last slot [mm]."""
        return self.first + self.pitch * (self.count - 1) + self.slot
