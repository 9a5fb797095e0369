"""How different two colours look."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

_FAR_CHROMA = 25.0**7


def ciede2000(first: ArrayLike, second: ArrayLike) -> Array:
    """(…) CIEDE2000 of (…, 3) CIELAB colours, parametric factors 1; arguments broadcast.

    Source: ISO/CIE 11664-6:2014; implementation notes of Sharma, Wu, Dalal, Color Res. Appl. 30(1), 2005,
    whose 34 pairs the tests walk. Hues exactly opposite may differ by rounding, as the authors say.
    """
    one, two = np.broadcast_arrays(np.asarray(first, dtype=np.float64), np.asarray(second, dtype=np.float64))
    L1, a1, b1 = one[..., 0], one[..., 1], one[..., 2]
    L2, a2, b2 = two[..., 0], two[..., 1], two[..., 2]
    mean_seven = ((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2.0) ** 7
    stretch = 1.0 + 0.5 * (1.0 - np.sqrt(mean_seven / (mean_seven + _FAR_CHROMA)))
    C1, C2 = np.hypot(stretch * a1, b1), np.hypot(stretch * a2, b2)
    h1 = np.degrees(np.arctan2(b1, stretch * a1)) % 360.0
    h2 = np.degrees(np.arctan2(b2, stretch * a2)) % 360.0
    grey = C1 * C2 == 0.0

    turn = h2 - h1
    turn = np.where(turn > 180.0, turn - 360.0, np.where(turn < -180.0, turn + 360.0, turn))
    turn = np.where(grey, 0.0, turn)
    dL, dC = L2 - L1, C2 - C1
    dH = 2.0 * np.sqrt(C1 * C2) * np.sin(np.radians(turn) / 2.0)

    L, C, total = (L1 + L2) / 2.0, (C1 + C2) / 2.0, h1 + h2
    wrapped = np.where(total < 360.0, total + 360.0, total - 360.0) / 2.0
    h = np.where(grey, total, np.where(np.abs(h1 - h2) <= 180.0, total / 2.0, wrapped))

    def cosine(times: float, shift: float) -> Array:
        result: Array = np.cos(np.radians(times * h + shift))
        return result

    T = (
        1.0
        - 0.17 * cosine(1, -30.0)
        + 0.24 * cosine(2, 0.0)
        + 0.32 * cosine(3, 6.0)
        - 0.20 * cosine(4, -63.0)
    )
    SL = 1.0 + 0.015 * (L - 50.0) ** 2 / np.sqrt(20.0 + (L - 50.0) ** 2)
    SC, SH = 1.0 + 0.045 * C, 1.0 + 0.015 * C * T
    seven = C**7
    rotation = -2.0 * np.sqrt(seven / (seven + _FAR_CHROMA))
    RT = rotation * np.sin(np.radians(60.0 * np.exp(-(((h - 275.0) / 25.0) ** 2))))
    light, c, hue = dL / SL, dC / SC, dH / SH
    result: Array = np.sqrt(np.maximum(light**2 + c**2 + hue**2 + RT * c * hue, 0.0))
    return result
