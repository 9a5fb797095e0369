"""One rectangle of a photograph: its middle colour, how even it is, and whether it can be used."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.colour.profile import Profile

Array = NDArray[np.float64]
Rectangle = tuple[int, int, int, int]
"""x, y of the upper left corner, width, height [px of the upright picture]."""

LEAST_SIDE = 8
"""Smaller rectangles hold little but the picture's own compression [px]."""
BRIGHTEST, DARKEST = 252, 4
"""Codes beyond which a camera may have cut off the light; a little inside 0 and 255, for JPEG rings."""
MOST_CUT_OFF = 0.02
_TRIMMED = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """What a rectangle holds.

    rgb : (3,) linear light, the mean of the pixels without the brightest and darkest tenth. place : its
    middle [px]. quarters : (4, 3) the same for its quarters, at quarter_places (4, 2). unevenness : (3,)
    spread of sixteen parts of it, as a share of the whole. too_bright, too_dark : shares of the pixels cut
    off.
    """

    rgb: Array
    place: Array
    quarters: Array
    quarter_places: Array
    unevenness: Array
    too_bright: float
    too_dark: float
    too_pure: float = 0.0

    @property
    def clipped(self) -> bool:
        """So much of it is cut off at the bright end that its colour is lost."""
        return self.too_bright > MOST_CUT_OFF

    @property
    def buried(self) -> bool:
        """So much of it is black in the picture that its colour is lost."""
        return self.too_dark > 0.5

    @property
    def too_saturated(self) -> bool:
        """One of its channels lies at nothing: the colour is purer than the picture can hold."""
        return self.too_pure > 0.5


def measure_area(codes: NDArray[np.uint8], profile: Profile, rectangle: Rectangle) -> Area:
    """An area of a picture's codes (h, w, 3); the rectangle lies inside it and is ``LEAST_SIDE`` each way."""
    x, y, width, height = rectangle
    cut = codes[y : y + height, x : x + width]
    linear = profile.linear(cut)
    quarters, places = [], []
    for rows in np.array_split(np.arange(height), 2):
        for columns in np.array_split(np.arange(width), 2):
            quarters.append(_middle(linear[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]))
            places.append((x + columns.mean(), y + rows.mean()))
    middle = _middle(linear)
    parts = np.array(
        [
            _middle(part)
            for rows in np.array_split(linear, 4, axis=0)
            for part in np.array_split(rows, 4, axis=1)
        ]
    )
    return Area(
        rgb=middle,
        place=np.array([x + width / 2.0, y + height / 2.0]),
        quarters=np.array(quarters),
        quarter_places=np.array(places),
        unevenness=parts.std(axis=0) / np.maximum(middle, 1e-6),
        too_bright=float((cut.max(axis=2) >= BRIGHTEST).mean()),
        too_dark=float((cut.max(axis=2) <= DARKEST).mean()),
        too_pure=float((cut.min(axis=2) <= DARKEST // 2).mean()),
    )


def joined(areas: list[Area]) -> Area:
    """Several rectangles of one thing as one: means, and the spread between them as well."""
    if len(areas) == 1:
        return areas[0]
    rgb = np.array([area.rgb for area in areas])
    middle = np.median(rgb, axis=0) if len(areas) > 2 else rgb.mean(axis=0)
    within = np.mean([area.unevenness**2 for area in areas], axis=0)
    between = (rgb.std(axis=0) / np.maximum(middle, 1e-6)) ** 2
    return Area(
        rgb=middle,
        place=np.mean([area.place for area in areas], axis=0),
        quarters=np.concatenate([area.quarters for area in areas]),
        quarter_places=np.concatenate([area.quarter_places for area in areas]),
        unevenness=np.sqrt(within + between),
        too_bright=max(area.too_bright for area in areas),
        too_dark=max(area.too_dark for area in areas),
        too_pure=max(area.too_pure for area in areas),
    )


def _middle(pixels: Array) -> Array:
    """(3,) mean of the pixels between the darkest and the brightest tenth: glints and specks do not count."""
    flat = pixels.reshape(-1, 3)
    light = flat @ np.array([0.2, 0.7, 0.1])
    low, high = np.quantile(light, [_TRIMMED, 1.0 - _TRIMMED])
    kept = flat[(light >= low) & (light <= high)]
    result: Array = (kept if len(kept) else flat).mean(axis=0)
    return result
