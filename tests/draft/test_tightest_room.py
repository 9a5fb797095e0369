"""Room at the tightest places, asked of a few of them, against asking all."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from layfigure.draft.shell.tightest_room import MANY, TightestRoom
from layfigure.geometry.depth_inside import DepthInside
from layfigure.geometry.tube import rows_mesh

Points = NDArray[np.float64]


@pytest.mark.parametrize(("low", "share"), [(-0.2, 1.0), (-0.9, 0.6)])
def test_what_is_found_near_is_what_looking_at_every_place_finds(low: float, share: float) -> None:
    """A bowl open below, moved over a head: at some shifts places leave it through its opening."""
    height = np.linspace(low, 0.98, 16)
    angle = np.linspace(0.0, 2.0 * np.pi, 36, endpoint=False)
    wide = np.sqrt(1.0 - height**2)[:, None]
    up = np.broadcast_to(height[:, None], (16, 36))
    bowl = rows_mesh(130.0 * np.stack([wide * np.cos(angle), wide * np.sin(angle), up], axis=-1), closed=True)
    random = np.random.default_rng(5)
    places = random.normal(size=(300, 3))
    places *= np.array([75.0, 95.0, 110.0]) / np.linalg.norm(places, axis=1, keepdims=True)
    depth, covered = DepthInside(bowl), places[:, 2] > 20.0
    looked: list[int] = []

    def spare(off: Points, border: NDArray[np.bool_], at: NDArray[np.int64]) -> Points:
        looked.append(len(at))
        free = border & ~covered[at]
        return np.where(free, np.maximum(off, 100.0), np.where(border, -np.abs(off), off)) - 12.0

    room, everywhere = TightestRoom(depth, places, spare), np.arange(300)
    asked, shift = 0, np.zeros(3)
    for step in [18.0] * 6 + [6.0] * 12 + [1.0] * 40 + [60.0] * 2 + [0.5] * 20:
        shift = 0.7 * shift + step * random.uniform(-1.0, 1.0, 3)
        looked.clear()
        found = room.at(shift)
        asked += sum(looked)
        every = np.sort(spare(*depth.at(places - shift), everywhere))[:MANY]
        assert found == pytest.approx(every, abs=1e-9)
    # Fewer were looked at, but in a shallow bowl, where all may meet the rim.
    assert asked <= share * 80 * 300
