"""Where places on the body lie on the front of a pouch that hangs before them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.window.sheet import REACH, Carry

Points = NDArray[np.float64]

TOLD = "A place on the body is carried straight out to the front, as it is seen from outside."


def front_carry(place: Points, turn: float, width: float, height: float) -> Carry:
    """Places behind a pouch to its front, whose lower left corner is the origin.

    place : (3,) where the middle of its upper edge hangs. turn : direction it faces [turns].
    """
    angle = 2.0 * np.pi * turn
    out = np.array([np.sin(angle), -np.cos(angle), 0.0])
    aside = np.array([np.cos(angle), np.sin(angle), 0.0])

    def carry(places: Points) -> tuple[Points, Points]:
        local = places - place
        flat = np.column_stack([local @ aside + 0.5 * width, local[:, 2] + height])
        off = np.abs(local @ out)
        return flat, np.where(off > REACH, np.inf, off)

    return carry
