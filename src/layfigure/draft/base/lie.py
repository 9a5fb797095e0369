"""How a traced piece of an owned pattern lies on a body, read from the lines drawn on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon

from layfigure.body.levels import REGIONS
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]

HALF_PIECE = 0.9
"""A piece with this share of its area on one side of its centre line is cut on the fold."""

OUTER_ARM = 0.25
"""Way round from the biceps to the outside of the arm, where a sleeve's middle lies."""

READ = ("torso", "thigh", "shank", "upper_arm", "forearm", "neck")
"""Regions that pieces of a paper pattern lie on."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lie:
    """How a traced piece lies on a body.

    levels : name to height on the paper [mm]. centre : x of the centre line [mm]. around : of that line on
    the body, 0 in front, 0.5 behind, 0.25 along the outside of an arm or leg. half : 1 or -1 where the piece
    lies on that side alone, else 0. outline : (n, 2) stitch line.
    """

    levels: dict[str, float]
    centre: float
    around: float
    half: int
    outline: Points

    def widths(self, height: float) -> tuple[float, float]:
        """Reach left and right of its centre line at a height [mm]; 0 where it has none."""
        level = LineString([(-1e4, height), (1e4, height)])
        parts = shapely.get_coordinates(Polygon(self.outline).intersection(level))
        if not len(parts):
            return 0.0, 0.0
        x = parts[:, 0] - self.centre
        return max(0.0, -float(x.min())), max(0.0, float(x.max()))

    def width(self, height: float) -> float:
        """Its whole width there, its other half counted where it is cut on the fold [mm]."""
        left, right = self.widths(height)
        return 2.0 * max(left, right) if self.half else left + right


def lie_of(piece: Piece) -> Lie | None:
    """Read from the piece's own lines; None without two levels and a centre line."""
    levels: dict[str, float] = {}
    centre: tuple[float, float] | None = None
    for line in piece.lines:
        name = line.label.lower().replace(" line", "").strip().replace(" ", "_")
        if line.kind == "centre" or name.startswith("centre"):
            centre = float(line.curve[:, 0].mean()), _around(name)
        elif name:
            levels[name] = float(line.curve[:, 1].mean())
    known = {name for region in READ for name in REGIONS[region].levels}
    levels = {name: height for name, height in levels.items() if name in known}
    if centre is None or len(levels) < 2:
        return None
    outline = Polygon(piece.stitch_line)
    low, high = -1e4, 1e4
    right = outline.intersection(shapely.box(centre[0], low, high, high)).area / outline.area
    half = 1 if right > HALF_PIECE else -1 if right < 1.0 - HALF_PIECE else 0
    return Lie(levels=levels, centre=centre[0], around=centre[1], half=half, outline=piece.stitch_line)


def _around(name: str) -> float:
    if "back" in name:
        return 0.5
    return OUTER_ARM if "sleeve" in name or "arm" in name else 0.0
