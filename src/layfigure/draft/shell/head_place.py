"""The head as a helm sees it: everything above the rim, grown by padding and hair, walls upright below."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.shell.cap import AZIMUTHS, Cap
from layfigure.draft.shell.cap_frame import CapFrame, cap_frame
from layfigure.draft.shell.cap_place import region_points
from layfigure.draft.shell.options import ShellOptions
from layfigure.draft.shell.seats import FRONT, UP
from layfigure.draft.shell.smooth_reach import smooth_over
from layfigure.errors import DraftError
from layfigure.geometry.offset_hull import OffsetHull, offset_hull

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

SMOOTHNESS = 6
LOWEST = np.radians(150.0)
MEASURES = ("head_girth", "head_length", "head_breadth")

CHEEK_TURN = np.radians(40.0)
"""Way round over which a rim falls from face opening to cheek piece."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeadCap:
    """A helm's skull. beneath : (m, 3) points of the head above its rim [mm]. girth : largest of the head
    there [mm].
    """

    cap: Cap
    beneath: Points
    girth: float


def place_head(form: Form, options: ShellOptions, growth: float) -> HeadCap:
    """The cap over the head. growth : from skin to the sheet's neutral surface [mm].

    Its way down is always wider than anything above, so that it can be taken off upward.
    Raises DraftError for a rim above the head or too far below its middle.
    """
    head = region_points(form, frozenset({"head"}))
    brow = float(form.landmarks["brow"][2])
    middle = form.charts["head"].section(1.0).mean(axis=0)
    frame = cap_frame(np.array([middle[0], middle[1], brow]), UP, FRONT)
    every = np.linspace(0.0, 2.0 * np.pi, AZIMUTHS, endpoint=False)
    rim_height = brow + rim_rise(options, every, float(form.charts["head"].girth(1.0)))
    azimuth, _, _ = frame.angles(head)
    held = head[head[:, 2] >= np.interp(azimuth, every, rim_height, period=2.0 * np.pi)]
    top = float(head[:, 2].max())
    if rim_height.max() > top - 30.0 or rim_height.min() < form.landmarks["chin"][2] or len(held) < 50:
        raise DraftError(
            "the helm's rim misses the head.",
            advice="Keep rim_front, rim_sides and rim_back between the chin and well below the crown.",
        )
    low = held.copy()
    low[:, 2] = rim_height.min() - 3.0 * growth - 60.0
    hull = offset_hull(np.vstack([held, low]), frame.centre, growth)
    polar = np.linspace(0.0, LOWEST, 120)
    rim = np.interp(
        every,
        every[::10],
        _hull_rim(hull, frame, every[::10], polar, rim_height[::10] - brow),
        period=2.0 * np.pi,
    )
    smooth = smooth_over(hull, frame, np.minimum(rim + 0.05, LOWEST), degree=SMOOTHNESS)
    rim = _rim_angles(smooth.along_meridians(every, polar), polar, rim_height - brow)
    chart = form.charts["head"]
    heights = chart.sections[:, :, 2].mean(axis=1)
    return HeadCap(
        cap=Cap(frame=frame, reach=smooth, rim=rim),
        beneath=held,
        girth=float(chart.girths[heights >= rim_height.min()].max()),
    )


def rim_rise(options: ShellOptions, azimuth: Points, girth: float) -> Points:
    """Height of the rim above the brow at azimuths [mm]. girth : of the head [mm].

    Front, sides and back are joined by two waves round; a face opening keeps the front's height over its
    width and lets the rest fall to the sides' quickly.
    """
    front, sides, back = options.rim_front, options.rim_sides, options.rim_back
    ahead = sides if options.face_width is not None else front
    level = 0.25 * (ahead + back + 2.0 * sides)
    tilt = 0.5 * (ahead - back)
    rise = level + tilt * np.cos(azimuth) + (0.5 * (ahead + back) - level) * np.cos(2.0 * azimuth)
    if options.face_width is None:
        return np.asarray(rise)
    half = np.pi * options.face_width / girth
    away = np.abs((azimuth + np.pi) % (2.0 * np.pi) - np.pi)
    share = np.clip((away - half) / CHEEK_TURN, 0.0, 1.0)
    open_share = 1.0 - share**2 * (3.0 - 2.0 * share)
    return np.asarray(open_share * front + (1.0 - open_share) * rise)


def _hull_rim(hull: OffsetHull, frame: CapFrame, azimuth: Points, polar: Points, height: Points) -> Points:
    """``_rim_angles`` of a hull: it is convex, and a meridian that has come down stays down."""

    def above(step: Indices) -> Points:
        found: Points = hull.radius(frame.directions(azimuth, polar[step])) * np.cos(polar[step]) - height
        return found

    upper, lower = np.zeros(len(azimuth), dtype=np.int64), np.full(len(azimuth), len(polar) - 1)
    if (above(upper) < 0.0).any() or (above(lower) >= 0.0).any():
        way, angle = np.meshgrid(azimuth, polar, indexing="ij")
        return _rim_angles(hull.radius(frame.directions(way, angle)), polar, height)
    while (lower - upper > 1).any():
        middle = (upper + lower) // 2
        down = above(middle) < 0.0
        upper, lower = np.where(down, upper, middle), np.where(down, middle, lower)
    before, after = above(upper), above(lower)
    angles: Points = polar[upper] + before / np.maximum(before - after, 1e-12) * (polar[lower] - polar[upper])
    return angles


def _rim_angles(reach: Points, polar: Points, height: Points) -> Points:
    """Polar angle at which each meridian first comes down to a height above the centre, (n,) [rad]."""
    above = reach * np.cos(polar)[None] - height[:, None]
    first = np.maximum((above < 0.0).argmax(axis=1), 1)
    row = np.arange(len(height))
    upper, lower = above[row, first - 1], above[row, first]
    share = upper / np.maximum(upper - lower, 1e-12)
    angles: Points = polar[first - 1] + share * (polar[first] - polar[first - 1])
    return angles
