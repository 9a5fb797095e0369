"""One digit of a glove on the table: its sides, its round tip, or a straight end."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from layfigure.draft.glove.even_lines import STEP
from layfigure.draft.glove.hand import Digit

Points = NDArray[np.float64]

SETTLE = 12.0
"""Within this of a web a finger reaches its own width [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatDigit:
    """A digit on the table: its middle line from ``at`` in direction (sin lean, cos lean).

    ends : where its sides begin, towards the thumb and towards the little finger, (2, 2).
    width : of the half at a distance along. cap : where the sides end and the round tip begins.
    length : to the tip [mm].
    """

    digit: Digit
    at: Points
    lean: float
    ends: Points
    width: Callable[[ArrayLike], Points]
    cap: float
    length: float

    @property
    def axes(self) -> tuple[Points, Points]:
        """Unit directions along the digit and across it, toward the little finger."""
        s, c = np.sin(self.lean), np.cos(self.lean)
        return np.array([s, c]), np.array([c, -s])

    def side(self, sign: float, upto: float) -> Points:
        """One side from its web to a distance along, (n, 2); sign +1 towards the little finger."""
        a, n = self.axes
        start = self.ends[0 if sign < 0 else 1] - self.at
        first = float(start @ a)
        along = np.linspace(first, upto, max(8, int((upto - first) / STEP)))
        u = np.clip((along - first) / SETTLE, 0.0, 1.0)
        missing = sign * float(start @ n) - 0.5 * float(self.width(first))
        half = 0.5 * self.width(along) + missing * (1.0 - u * u * (3.0 - 2.0 * u))
        side: Points = self.at + along[:, None] * a + (sign * half)[:, None] * n
        return side

    def tip(self) -> Points:
        """The round end, from the little finger's side to the thumb's, (n, 2)."""
        a, n = self.axes
        angle = np.linspace(0.0, np.pi, 61)
        half = 0.5 * float(self.width(self.cap))
        height = self.length - self.cap
        tip: Points = (
            self.at + (self.cap + height * np.sin(angle))[:, None] * a + (half * np.cos(angle))[:, None] * n
        )
        return tip

    def end(self, upto: float) -> Points:
        """A straight end at a distance along, from the little finger's side to the thumb's, (2, 2)."""
        return np.stack([self.side(1.0, upto)[-1], self.side(-1.0, upto)[-1]])
