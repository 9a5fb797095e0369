"""Motifs that are not marked one by one: a shape, and a row of it along an edge of the costume."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.errors import FileError
from layfigure.files.svg_paths import read_svg
from layfigure.geometry.polyline import length, points_at

Points = NDArray[np.float64]
ShapeName = Literal["circle", "ellipse", "lens", "diamond", "drop", "slot"]
Spacing = Literal["centres", "gaps", "in proportion"]

SIDES_OF_A_SHAPE = 32
USUAL_WIDTH = 0.5
"""Breadth of a shape that may be narrow, as a share of its height, where none is said."""
DRAWN_POINTS = 48
"""Points kept of a drawn outline; a smooth line is led through them, sharp at its corners."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MotifShape:
    """A closed outline about the origin, counter-clockwise, whose larger side is 1.

    outline : points (x, y), y up the body. corners : which of them are sharp.
    """

    outline: tuple[tuple[float, float], ...]
    corners: tuple[bool, ...]

    def mirrored(self) -> MotifShape:
        """Its mirror image, left for right."""
        return MotifShape(
            outline=tuple((-x, y) for x, y in reversed(self.outline)), corners=self.corners[::-1]
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class MotifRow:
    """One shape repeated along an edge.

    along : slug of the edge. size, size_end : of the first and the last [mm]. first, last : shares of the
    edge between which the row lies. spacing : even centres, even gaps, or gaps in proportion to the motifs
    beside.
    turn : of every motif [degrees], counter-clockwise as seen from outside. follow : turned with the edge.
    """

    slug: str
    along: str
    shape: MotifShape
    count: int
    size: float
    size_end: float
    spacing: Spacing = "centres"
    first: float = 0.0
    last: float = 1.0
    turn: float = 0.0
    follow: bool = False
    where: str = ""

    @property
    def slugs(self) -> tuple[str, ...]:
        """Names of its motifs, in order."""
        return tuple(f"{self.slug}_{k + 1}" for k in range(self.count))


def _arc_shape(radius_share: float) -> Points:
    """Half of a lens: an arc over the chord from (0, 0.5) to (0, -0.5) that bulges by a share of it."""
    bulge = radius_share
    radius = (0.25 + bulge * bulge) / (2.0 * bulge)
    half = np.arcsin(0.5 / radius)
    angle = np.linspace(-half, half, SIDES_OF_A_SHAPE // 2 + 1)
    return np.stack([radius * np.cos(angle) - (radius - bulge), radius * np.sin(angle)], axis=1)


def named_shape(name: ShapeName, width: float) -> MotifShape:
    """A shape by name. width : its breadth as a share of its height."""
    angle = np.arange(SIDES_OF_A_SHAPE) / SIDES_OF_A_SHAPE * 2.0 * np.pi
    sharp = np.zeros(SIDES_OF_A_SHAPE, dtype=bool)
    if name in ("circle", "ellipse"):
        points = 0.5 * np.stack([width * np.cos(angle), np.sin(angle)], axis=1)
    elif name == "lens":
        right = _arc_shape(0.5 * width)
        points = np.vstack([right[:-1], -right[:-1]])
        sharp[[0, SIDES_OF_A_SHAPE // 2]] = True
    elif name == "diamond":
        tips = np.array([[0.5 * width, 0.0], [0.0, 0.5], [-0.5 * width, 0.0], [0.0, -0.5]])
        points = points_at(tips, np.arange(32) / 32 * length(tips, closed=True), closed=True)
        sharp[::8] = True
    elif name == "drop":
        # A round below and a tip above: the sides lean in as the cube of the way up.
        up = 0.5 * np.sin(angle)
        points = np.stack([0.65 * width * np.cos(angle) * (0.5 - up) ** 0.5, up], axis=1)
        sharp[8] = True
    else:
        straight = max(0.0, 1.0 - width)
        ends = np.where(np.sin(angle) >= 0.0, 0.5 * straight, -0.5 * straight)
        points = np.stack([0.5 * width * np.cos(angle), 0.5 * width * np.sin(angle) + ends], axis=1)
    return _shape(points, sharp)


def drawn_shape(path: Path, *, where: str) -> MotifShape:
    """The one closed outline of an SVG file. Raises FileError for none, or for several."""
    closed = [drawn for drawn in read_svg(path) if drawn.closed]
    if len(closed) != 1:
        raise FileError(
            f"{path.name} holds {len(closed) or 'no'} closed outline{'s' if len(closed) > 1 else ''}.",
            where=where,
            advice="Leave one closed outline in the drawing: the motif.",
        )
    drawn = closed[0]
    points = drawn.points
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    turns = np.abs(np.angle((after @ [1.0, 1j]) / (before @ [1.0, 1j])))
    corner = np.zeros(len(points), dtype=bool)
    corner[drawn.nodes] = turns[drawn.nodes] > np.radians(25.0)
    steps = np.linalg.norm(before, axis=1)
    at = np.cumsum(steps) - steps[0]
    whole = float(steps.sum())
    even = np.arange(DRAWN_POINTS) / DRAWN_POINTS * whole
    sharp_at = at[corner]
    # Even points make room for corners, so that none is nearer than half a step to one.
    room = 0.5 * whole / DRAWN_POINTS
    apart = np.abs((even[:, None] - sharp_at[None, :] + 0.5 * whole) % whole - 0.5 * whole)
    even = even[apart.min(axis=1) > room] if sharp_at.size else even
    kept = np.concatenate([even, sharp_at])
    order = np.argsort(kept)
    sharp = np.concatenate([np.zeros(len(even), dtype=bool), np.ones(len(sharp_at), dtype=bool)])[order]
    outline = points_at(points, kept[order], closed=True)
    low, high = points.min(axis=0), points.max(axis=0)
    return _shape((outline - 0.5 * (low + high)) / float((high - low).max()), sharp)


def _shape(points: Points, sharp: NDArray[np.bool_]) -> MotifShape:
    twice = np.sum(points[:, 0] * np.roll(points[:, 1], -1) - np.roll(points[:, 0], -1) * points[:, 1])
    if twice < 0.0:
        points, sharp = points[::-1], sharp[::-1]
    return MotifShape(
        outline=tuple((float(x), float(y)) for x, y in points), corners=tuple(bool(s) for s in sharp)
    )


def expanded_windows(windows: tuple[str, ...], rows: Mapping[str, MotifRow]) -> tuple[str, ...]:
    """Windows of a piece with every row written out; a two-sided row's name stands for both its sides."""
    found: list[str] = []
    for slug in windows:
        own = [name for name in (slug, f"{slug}_left", f"{slug}_right") if name in rows]
        found += [motif for name in own for motif in rows[name].slugs] if own else [slug]
    return tuple(found)
