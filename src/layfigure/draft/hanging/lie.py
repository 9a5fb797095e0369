"""Where places on the body lie on a panel that hangs before them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.hanging.fall import Fall, turns_of
from layfigure.draft.hanging.panel import PanelPlan
from layfigure.draft.window.sheet import REACH, Carry, unrolled
from layfigure.geometry.table import read_rows

Points = NDArray[np.float64]

BESIDE = 0.25
"""A place further round than this from the middle is behind the panel's back [turns]."""
STEPS = 25
HEIGHT_STEP = 2.0
TOLD = (
    "A place on the body is carried straight out to the panel: at its own height, and as far from the middle "
    "line as the body is round to there."
)


@dataclass(frozen=True, slots=True, eq=False)
class ByHeight:
    """A fall read by direction and height, for many places at once.

    heights : (m,) rising. reach, length : (n, m) distance from the axis, and down the cloth, of evenly spaced
    directions.
    """

    centre: Points
    heights: Points
    reach: Points
    length: Points

    @classmethod
    def of(cls, fall: Fall) -> ByHeight:
        """Tabulate a fall."""
        low, high = float(fall.height.min()), float(fall.height.max())
        heights = np.arange(low, high + HEIGHT_STEP, HEIGHT_STEP)
        # Heights fall with the distance; a level part is read at its outer end.
        along = np.broadcast_to(fall.distance, fall.height.shape)
        reach, length = read_rows(-heights[None, ::-1], -fall.height, fall.reach, along)
        return cls(fall.centre, heights, reach[:, ::-1], length[:, ::-1])

    def down(self, turn: Points, height: Points) -> Points:
        """Length of the cloth down to heights in directions [turns], same shape [mm]."""
        return self._read(self.length, turn, height)

    def places(self, turn: Points, height: Points) -> Points:
        """Places of the cloth, (..., 3) [mm]."""
        out, angle = self._read(self.reach, turn, height), 2.0 * np.pi * turn
        x, y = self.centre[0] + out * np.sin(angle), self.centre[1] - out * np.cos(angle)
        return np.stack([x, y, height], axis=-1)

    def _read(self, table: Points, turn: Points, height: Points) -> Points:
        count = len(table)
        position = np.mod(turn, 1.0) * count
        first = np.floor(position).astype(np.int64) % count
        across = position - np.floor(position)
        up = np.clip((height - self.heights[0]) / HEIGHT_STEP, 0.0, len(self.heights) - 1.000001)
        row = up.astype(np.int64)
        share, second = up - row, (first + 1) % count
        low = (1.0 - across) * table[first, row] + across * table[second, row]
        high = (1.0 - across) * table[first, row + 1] + across * table[second, row + 1]
        read: Points = (1.0 - share) * low + share * high
        return read


def panel_carry(plan: PanelPlan) -> Carry | None:
    """Places on the body to the flat panel; None for a panel that hangs from no line on the body."""
    fall = plan.fall
    if fall is None:
        return None
    middle = float(np.interp(0.0, plan.across, plan.turn))
    hung_at = ByHeight.of(fall)

    def carry(places: Points) -> tuple[Points, Points]:
        turn = unrolled(turns_of(places, fall.centre), 1.0, middle)
        height = places[:, 2]
        way = middle + (turn - middle)[:, None] * np.linspace(0.0, 1.0, STEPS)
        round_there = hung_at.places(way, np.broadcast_to(height[:, None], way.shape))
        out = np.linalg.norm(np.diff(round_there[..., :2], axis=1), axis=2).sum(axis=1)
        x = np.copysign(out, turn - middle)
        # The flare widens the panel on its way down: the place at the top that the cloth here hangs from.
        top, down = x, np.zeros(len(x))
        for _ in range(4):
            hung = np.interp(top, plan.across, plan.turn)
            down = hung_at.down(hung, height)
            share = np.clip(down / np.interp(top, plan.across, plan.length), 0.0, 1.5)
            top = x / plan.widened(share)
        flat = np.column_stack([x, np.interp(top, plan.across, plan.rise) - down])
        off = np.linalg.norm(round_there[:, -1, :2] - places[:, :2], axis=1)
        return flat, np.where((np.abs(turn - middle) > BESIDE) | (off > 2.0 * REACH), np.inf, off)

    return carry
