"""Where a tape round the trunk lies beside the skin: on the hull of each level section, over its hollows."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart

Points = NDArray[np.float64]

ANGLES = 180
CROTCH_FADE = (5.0, 70.0)
"""Heights above the crotch [mm] between which bridging sets in: at the crotch itself the section joins two
legs, and a hull would span between them."""
ARMPIT_FADE = (0.0, 70.0)
"""Heights above the armpit [mm] between which it ends: shoulders carry cloth on their ridge."""


def bridged_share(heights: Points, *, crotch: float, armpit: float) -> Points:
    """How far cloth bridges hollows at each height [mm], 0 to 1; crotch, armpit : their heights."""
    return _rising(heights - crotch, *CROTCH_FADE) * (1.0 - _rising(heights - armpit, *ARMPIT_FADE))


def moved_to_tape(places: Points, share: Points, chart: RegionChart) -> Points:
    """Places (k, 3) of the trunk moved level, by a share (k,) of the way, out to the tape line.

    chart : of the trunk. A place outside the tape line stays.
    """
    centre, radii = _tape_radii(chart)
    heights = chart.sections[:, :, 2].mean(axis=1)
    number = np.arange(len(heights))
    k = np.interp(-places[:, 2], -heights, number)
    middle = np.stack([np.interp(k, number, centre[:, axis]) for axis in (0, 1)], axis=1)
    out = places[:, :2] - middle
    radius = np.linalg.norm(out, axis=1)
    turn = np.mod(np.arctan2(out[:, 1], out[:, 0]), 2.0 * np.pi) / (2.0 * np.pi) * ANGLES
    low, first = np.floor(k).astype(np.int64), np.floor(turn).astype(np.int64)
    s, t = k - low, turn - first
    high, second = np.minimum(low + 1, len(heights) - 1), (first + 1) % ANGLES
    first = first % ANGLES
    wide = (1 - s) * ((1 - t) * radii[low, first] + t * radii[low, second]) + s * (
        (1 - t) * radii[high, first] + t * radii[high, second]
    )
    lift = share * np.maximum(wide - radius, 0.0)
    moved = places.copy()
    moved[:, :2] += out * (lift / np.maximum(radius, 1e-6))[:, None]
    return moved


def _rising(value: Points, low: float, high: float) -> Points:
    t = np.clip((value - low) / (high - low), 0.0, 1.0)
    smooth: Points = t * t * (3.0 - 2.0 * t)
    return smooth


def _tape_radii(chart: RegionChart) -> tuple[Points, Points]:
    """Centre (k, 2) of every section and distance from it to the tape line at even angles, (k, ANGLES)."""
    ring = chart.sections[:, :, :2]
    centre = 0.5 * (ring.min(axis=1) + ring.max(axis=1))
    wanted = np.arange(ANGLES) / ANGLES * 2.0 * np.pi
    radii = np.empty((len(ring), ANGLES))
    for k, line in enumerate(ring - centre[:, None]):
        angle = np.mod(np.arctan2(line[:, 1], line[:, 0]), 2.0 * np.pi)
        order = np.argsort(angle)
        # Between two points of a straight tape line 1/r is linear in direction, r is not.
        radii[k] = 1.0 / np.interp(
            wanted, angle[order], 1.0 / np.linalg.norm(line[order], axis=1), period=2.0 * np.pi
        )
    return centre, radii
