"""Places in the plane brought onto others by a turn and a move, never turned over."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]


def rigid_onto(places: Points, onto: Points) -> tuple[Points, Points]:
    """Turn (2, 2) and move (2,) [mm] of least squares: ``places @ turn + move`` comes nearest to ``onto``.

    places, onto : (n, 2), each with its counterpart. Kabsch 1976, in the plane, where the turn is the
    argument of a sum of complex products.
    """
    middle, aim = places.mean(axis=0), onto.mean(axis=0)
    a, b = places - middle, onto - aim
    cosine, sine = float((a * b).sum()), float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum())
    size = float(np.hypot(cosine, sine)) or 1.0
    c, s = (cosine / size, sine / size) if cosine or sine else (1.0, 0.0)
    turn = np.array([[c, s], [-s, c]])
    return turn, aim - middle @ turn
