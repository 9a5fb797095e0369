"""How a traced piece of an owned pattern lies on a body, read from the lines drawn on it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from layfigure.body.levels import REGIONS
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]

HALF_PIECE = 0.9
"""A piece with this share of its area on one side of its centre line is cut on the fold."""

OUTER_ARM = 0.25
"""Way round from the biceps to the outside of the arm, where a sleeve's middle lies."""

READ = ("torso", "thigh", "shank", "upper_arm", "forearm", "neck")
"""Regions that pieces of a paper pattern lie on."""

TRUNK = frozenset(REGIONS["torso"].levels) - {"crotch"}
LEG = frozenset(REGIONS["thigh"].levels) | frozenset(REGIONS["shank"].levels) - {"crotch"}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lie:
    """How a traced piece lies on a body.

    levels : name to height on the paper [mm]. centre : x of the centre line [mm]. around : of that line on
    the body, 0 in front, 0.5 behind, 0.25 along the outside of an arm or leg. half : 1 or -1 where the piece
    lies on that side alone, else 0. outline : (n, 2) stitch line. leg : x of the middle of the leg, where the
    piece is of trunk and leg in one: below the crotch it lies on both sides of that [mm].
    """

    levels: dict[str, float]
    centre: float
    around: float
    half: int
    outline: Points
    leg: float | None = None

    def ends(self, height: float) -> tuple[float, float] | None:
        """Where its outline lies furthest left and right at a height, x [mm]; None above and below it."""
        start, end = self.outline, np.roll(self.outline, -1, axis=0)
        low, high = np.minimum(start[:, 1], end[:, 1]), np.maximum(start[:, 1], end[:, 1])
        at = (low <= height) & (height <= high)
        if not at.any():
            return None
        start, end, rise = start[at], end[at], (end - start)[at, 1]
        share = np.divide(height - start[:, 1], rise, out=np.zeros_like(rise), where=rise != 0.0)
        x = np.concatenate([start[:, 0] + share * (end - start)[:, 0], end[rise == 0.0, 0]])
        return float(x.min()), float(x.max())

    def widths(self, height: float) -> tuple[float, float]:
        """Reach left and right of its centre line at a height, of the middle of a leg there [mm]."""
        ends = self.ends(height)
        if ends is None:
            return 0.0, 0.0
        centre = self.leg if self.leg is not None and self.on_leg(height) else self.centre
        return max(0.0, centre - ends[0]), max(0.0, ends[1] - centre)

    def width(self, height: float) -> float:
        """Its whole width there; on the trunk its other half counted where it has one [mm]."""
        left, right = self.widths(height)
        return 2.0 * max(left, right) if self.half and not self.on_leg(height) else left + right

    def on_leg(self, height: float) -> bool:
        """Whether a height of the paper is below the trunk, on a piece of trunk and leg."""
        if self.leg is None:
            return False
        return height < self.levels.get("crotch", min(self.trunk_heights())) + 1e-6

    def trunk_heights(self) -> list[float]:
        """Heights of its levels on the trunk, the crotch left out [mm]."""
        return [height for name, height in self.levels.items() if name in TRUNK]


def lie_of(piece: Piece) -> Lie | None:
    """Read from the piece's own lines; None without two levels and a centre line."""
    levels: dict[str, float] = {}
    centre: tuple[float, float] | None = None
    leg: float | None = None
    for line in piece.lines:
        name = line.label.lower().replace(" line", "").strip().replace(" ", "_")
        if name == "centre_leg":
            leg = float(line.curve[:, 0].mean())
        elif line.kind == "centre" or name.startswith("centre"):
            centre = float(line.curve[:, 0].mean()), _around(name)
        elif name:
            levels[name] = float(line.curve[:, 1].mean())
    known = {name for region in READ for name in REGIONS[region].levels}
    levels = {name: height for name, height in levels.items() if name in known}
    if centre is None or len(levels) < 2:
        return None
    lie = Lie(levels=levels, centre=centre[0], around=centre[1], half=0, outline=piece.stitch_line)
    if levels.keys() & TRUNK and levels.keys() & LEG:
        return _of_trunk_and_leg(lie, leg)
    outline = Polygon(piece.stitch_line)
    low, high = -1e4, 1e4
    right = outline.intersection(shapely.box(centre[0], low, high, high)).area / outline.area
    return replace(lie, half=1 if right > HALF_PIECE else -1 if right < 1.0 - HALF_PIECE else 0)


def _of_trunk_and_leg(lie: Lie, leg: float | None) -> Lie:
    """Trousers: half of the trunk from its centre line, and a leg. leg : x of its middle, where drawn."""
    left, right = lie.widths(min(lie.trunk_heights()))
    if leg is None:
        ends = lie.ends(min(lie.levels.values()))
        leg = lie.centre if ends is None else 0.5 * sum(ends)
    return replace(lie, half=1 if right > left else -1, leg=leg)


def _around(name: str) -> float:
    if "back" in name:
        return 0.5
    return OUTER_ARM if "sleeve" in name or "arm" in name else 0.0
