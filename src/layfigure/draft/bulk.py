"""Where a piece is thicker than one layer of its cloth: seams, zips, pleats, gathers, buckles."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

USUAL_THICKNESS = 0.6
"""Of a cloth whose thickness was not measured [mm] (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bulk:
    """Something thick, for whoever leans or sits on it.

    what : in plain words, ``pleats``. places : (n, 3) on the standing wearer, close enough to one another to
    find what they touch [mm]. thickness : how much it adds to the layers around it [mm].
    """

    what: str
    places: Points
    thickness: float


def layers(count: float, thickness: float) -> float:
    """What so many more layers of a cloth add [mm]. thickness : of the cloth, 0 where it was not measured."""
    return count * (thickness or USUAL_THICKNESS)
