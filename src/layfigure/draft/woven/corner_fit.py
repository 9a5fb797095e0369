"""Flat corners of a bodice half that meet some lengths exactly and others as nearly as they can."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import null_space

Points = NDArray[np.float64]

CORNERS = (
    "one_b",
    "two_a",
    "side_waist",
    "underarm",
    "armhole",
    "shoulder",
    "neck",
    "centre_neck",
    "centre_waist",
    "one_a",
)
"""Counter-clockwise about the tip, from one leg of the first waist dart to the other."""

_NECK_SIDE = [CORNERS.index("neck"), CORNERS.index("centre_neck")]
WEDGE_DOWN = 0.5
"""The wedge ends so far from the blade toward the shoulder seam, as a share (common practice: a back shoulder
dart is 70 to 90 mm long)."""
HALVINGS = 12
TIP = len(CORNERS)
"""The tip is one more corner, at the origin."""
STEPS = 60
"""Most Gauss-Newton steps; four or five are usual."""
SETTLED = 1e-7
"""Corners that move less in a step stay where they are [mm]."""
EXACT = 1e-11
"""Share by which a tape that is kept may be missed."""
TINY = 1e-20
"""Of a complex step, whose derivative is exact."""


@dataclass(frozen=True, slots=True, eq=False)
class Pairs:
    """Places, the tip the last of them, that should lie apart by lengths: ends (m, 2), wanted (m,) [mm].

    over : (m,) which are read with the wedge closed. gap : an angle from the last corner to the first to be
    met besides [rad]. A state holds corners, (20,), and the wedge.
    """

    ends: NDArray[np.int64]
    wanted: Points
    over: NDArray[np.bool_]
    weight: Points
    gap: float | None = None

    def misses(self, states: Points) -> Points:
        """Shares by which states, (..., 21), real or complex, miss the lengths, and the gap, (..., m)."""
        corners = states[..., :-1].reshape(*states.shape[:-1], -1, 2)
        places = np.concatenate([corners, np.zeros_like(corners[..., :1, :])], axis=-2)
        apart = places[..., self.ends[:, 0], :] - places[..., self.ends[:, 1], :]
        if self.over.any() and np.any(states[..., -1]):
            closed, ends = _closed(places, states[..., -1]), self.ends[self.over]
            apart[..., self.over, :] = closed[..., ends[:, 0], :] - closed[..., ends[:, 1], :]
        off: Points = (np.sqrt((apart**2).sum(axis=-1)) / self.wanted - 1.0) * self.weight
        if self.gap is None:
            return off
        (ax, ay), (bx, by) = (np.moveaxis(corners[..., k, :], -1, 0) for k in (-1, 0))
        c, s = np.cos(self.gap), np.sin(self.gap)
        turned = (c * ax - s * ay) * by - (s * ax + c * ay) * bx
        beside = turned / np.sqrt((ax**2 + ay**2) * (bx**2 + by**2))
        return np.concatenate([off, beside[..., None]], axis=-1)

    def slopes(self, state: Points, free: NDArray[np.bool_]) -> Points:
        """How misses grow with what is free of a state, (m, k)."""
        steps = np.eye(len(state))[free] * (1j * TINY)
        grown: Points = self.misses(state + steps).imag.T / TINY
        return grown


def _closed(places: Points, wedge: Points) -> Points:
    """Places, (..., 11, 2), with the side of the neck turned about the end of the wedge until it is shut."""
    shoulder, neck = (places[..., CORNERS.index(name), :] for name in ("shoulder", "neck"))
    end = WEDGE_DOWN * 0.5 * (shoulder + neck)
    c, s = np.cos(wedge)[..., None], np.sin(wedge)[..., None]
    off = places[..., _NECK_SIDE, :] - end[..., None, :]
    # The neck lies counter-clockwise of the shoulder.
    turned = np.stack([c * off[..., 0] + s * off[..., 1], c * off[..., 1] - s * off[..., 0]], axis=-1)
    shut = places.copy()
    shut[..., _NECK_SIDE, :] = turned + end[..., None, :]
    return shut


def nearest(soft: Pairs, firm: Pairs, state: Points, free: NDArray[np.bool_]) -> Points:
    """A state that meets what is firm exactly and what is soft with the least sum of squares, (21,).

    Gauss-Newton steps along the places where all that is firm is met.
    """
    state = _met(firm, state, free)
    for _ in range(STEPS):
        before = soft.misses(state)
        loose = null_space(firm.slopes(state, free), rcond=1e-9, check_finite=False)
        along = np.linalg.lstsq(soft.slopes(state, free) @ loose, -before, rcond=1e-12)[0]
        step = np.zeros(len(state))
        step[free] = loose @ along
        # A step too long for so crooked a problem is halved until it brings the corners nearer.
        for _ in range(HALVINGS):
            moved = _met(firm, state + step, free)
            after = soft.misses(moved)
            if after @ after <= before @ before:
                break
            step *= 0.5
        else:
            break
        state = moved
        if np.abs(step).max() < SETTLED:
            break
    return state


def _met(firm: Pairs, state: Points, free: NDArray[np.bool_]) -> Points:
    """The state near to one that meets what is firm, each step the shortest."""
    for _ in range(STEPS):
        missed = firm.misses(state)
        if np.abs(missed).max() < EXACT:
            break
        state = state.copy()
        state[free] += np.linalg.lstsq(firm.slopes(state, free), -missed, rcond=1e-12)[0]
    return state
