"""Pleats by depth and count: how much cloth they take, and where each fold is and goes to.

A pleat's depth is how far its folded edge reaches over what lies beneath. A knife pleat lays two depths of
cloth under its fold; box and inverted pleats are two knife pleats facing away from or toward each other.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Points = NDArray[np.float64]
PleatKind = Literal["knife", "box", "inverted"]

_TAKES: dict[PleatKind, float] = {"knife": 2.0, "box": 4.0, "inverted": 4.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class PleatFold:
    """One fold: its place on the flat edge, and the place it is brought to [mm]."""

    fold: float
    onto: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PleatRow:
    """A row of even pleats along an edge.

    kind : ``knife``, all one way; ``box``, folds facing away from each other; ``inverted``, folds meeting.
    count : of pleats, at least 1. depth : of each [mm]. finished : length of the pleated edge [mm].
    """

    kind: PleatKind
    count: int
    depth: float
    finished: float

    @property
    def taken(self) -> float:
        """Cloth that one pleat takes out of the edge [mm]."""
        return _TAKES[self.kind] * self.depth

    @property
    def flat(self) -> float:
        """Length of the edge before it is pleated [mm]."""
        return self.finished + self.count * self.taken

    @property
    def spacing(self) -> float:
        """From one pleat to the next, as worn [mm]."""
        return self.finished / self.count

    @property
    def overlap(self) -> float:
        """How far neighbouring pleats lie over each other underneath [mm]; 0 where they lie side by side."""
        under = self.depth if self.kind == "knife" else 2.0 * self.depth
        return max(0.0, under - self.spacing)

    def folds(self) -> tuple[PleatFold, ...]:
        """Every fold in order along the edge; half a spacing stays flat at either end."""
        found: list[PleatFold] = []
        for number in range(self.count):
            start = (number + 0.5) * self.spacing + number * self.taken
            ways = {
                "knife": ((0.0, 2.0),),
                "box": ((1.0, -1.0), (3.0, 5.0)),
                "inverted": ((0.0, 2.0), (4.0, 2.0)),
            }[self.kind]
            found.extend(PleatFold(fold=start + a * self.depth, onto=start + b * self.depth) for a, b in ways)
        return tuple(found)

    def worn(self, flat: ArrayLike) -> Points:
        """Where places of the flat edge lie once it is pleated, hidden ones too, from its start [mm]."""
        knots, places, gone = [0.0], [0.0], 0.0
        for fold in self.folds():
            near, far = sorted((fold.fold, fold.onto))
            at = near - gone
            # Cloth turns back at the fold itself, and again halfway to where the fold is brought.
            turned = -0.5 * (far - near) if fold.onto > fold.fold else 0.5 * (far - near)
            knots += [near, 0.5 * (near + far), far]
            places += [at, at + turned, at]
            gone += far - near
        knots.append(self.flat)
        places.append(self.finished)
        found: Points = np.interp(np.asarray(flat, dtype=np.float64), knots, places)
        return found
