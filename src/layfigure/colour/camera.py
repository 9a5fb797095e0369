"""How a camera turns colours into a picture's numbers: few figures, each with what it usually is.

From linear light in the profile's own primaries, in turn: the tone curve (shared by the channels, ends
held), what the camera balances (a gain each), uneven light over the picture, and a mixing of the channels
that leaves greys grey.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.colour.cielab import lab_of_xyz, srgb_decoded, srgb_encoded

Array = NDArray[np.float64]

CURVE, GAINS, SLOPE, BOWL, MIXING = slice(0, 3), slice(3, 6), slice(6, 8), slice(8, 9), slice(9, 15)
"""Where each stands among the figures."""
COUNT = 15

USUAL = np.array(
    [
        0.15, 0.40, 0.20,      # tone curve: lighter or darker middles, contrast, lopsided contrast
        0.50, 0.20, 0.20,      # exposure, log; red and blue beside green, log
        0.25, 0.25,            # light from one side to the other, log over half the diagonal
        0.10,                  # darker corners, log at half the diagonal
        0.05, 0.05, 0.05, 0.05, 0.05, 0.05,
    ]
)  # fmt: skip
"""Spread of each figure about nothing done, over cameras; checked on simulated ones by
benchmarks/colour.py."""

_FACE = ((0, 1), (0, 2), (1, 0), (1, 2), (2, 0), (2, 1))


@dataclass(frozen=True, slots=True)
class Seen:
    """Numbers of the picture: rgb (n, 3) linear light, places (n, 2) as shares of half the diagonal."""

    rgb: Array
    places: Array


def corrected(figures: Array, seen: Seen, to_xyz: Array) -> Array:
    """(n, 3) L*, a*, b* of what was seen. to_xyz : (3, 3) the profile's primaries to X, Y, Z."""
    code = srgb_encoded(seen.rgb)
    round_off = code * (1.0 - code)
    skew = 1.0 - 2.0 * code
    first, second, third = figures[CURVE]
    straight = code + round_off * (first + second * skew + third * skew**2)
    light = srgb_decoded(np.maximum(straight, 0.0))
    x, y = seen.places[:, 0], seen.places[:, 1]
    p, q = figures[SLOPE]
    field = p * x + q * y - figures[BOWL][0] * (x**2 + y**2)
    exposure, red, blue = figures[GAINS]
    balance = exposure + np.array([red, 0.0, blue])
    balanced = light * np.exp(balance[None, :] - field[:, None])
    mixing = np.eye(3)
    for value, (row, column) in zip(figures[MIXING], _FACE, strict=True):
        mixing[row, column] += value
        mixing[row, row] -= value
    return lab_of_xyz(np.maximum(balanced @ (to_xyz @ mixing).T, 1e-6))
