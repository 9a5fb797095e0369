"""A fan of spokes from the place that darts are aimed at to what bounds a half, opened where darts are."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.fan import fan_places

Points = NDArray[np.float64]


class SpokeFan:
    """Spokes by name, counter-clockwise, with the angle from each to the next."""

    def __init__(self, names: list[str], spokes: Points, angles: Points) -> None:
        self.names, self.spokes, self.angles = list(names), list(spokes), list(angles)

    def open(self, name: str, twin: str, angle: float) -> None:
        """Put a second spoke like one behind it, an angle further on."""
        k = self.names.index(name)
        self.names.insert(k + 1, twin)
        self.spokes.insert(k + 1, self.spokes[k])
        self.angles.insert(k, angle)

    def divide(self, first: str, second: str, share: float, name: str) -> None:
        """Put a spoke between two neighbours, to a place at a share of the straight rim between them."""
        k = self.names.index(first)
        r, s, angle = self.spokes[k], self.spokes[self.names.index(second)], self.angles[k]
        place = (1.0 - share) * np.array([r, 0.0]) + share * s * np.array([np.cos(angle), np.sin(angle)])
        turn = float(np.arctan2(place[1], place[0]))
        self.names.insert(k + 1, name)
        self.spokes.insert(k + 1, float(np.hypot(*place)))
        self.angles[k : k + 1] = [turn, angle - turn]

    def places(self, origin: str, above: str) -> dict[str, Points]:
        """Every place, with one at the origin and another straight above it; the tip as ``tip``."""
        places = fan_places(np.array(self.spokes), np.array(self.angles))
        at = dict(zip(self.names, places, strict=True)) | {"tip": np.zeros(2)}
        up = at[above] - at[origin]
        turn = np.array([[up[1], -up[0]], [up[0], up[1]]]) / np.linalg.norm(up)
        return {name: turn @ (place - at[origin]) for name, place in at.items()}
