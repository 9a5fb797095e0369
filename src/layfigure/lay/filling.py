"""Our own placement: part after part to the first place where it fits, every place verified.

It fills hides, sheets and folded cloth, whose rules the strip solver does not know, and stands in for that
solver when it fails. Places come from no-fit polygons of slightly larger, plainer outlines; each is then held
against the true outlines, for rounding once gave overlaps with flattering densities.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from layfigure.lay.clean import covering
from layfigure.lay.ground import Ground
from layfigure.lay.layout import Laid
from layfigure.lay.no_fit import STEPS, Paths, Ring, difference, line_outside, moved, no_fit_polygon, on_grid
from layfigure.lay.part import Part, posed

Points = NDArray[np.float64]

PLAINER = 0.3
"""How much larger outlines may be for the search, to have fewer points [mm]."""
MOST_POINTS = 28
COARSEST = 1.2

TURNS = tuple(float(angle) for angle in range(0, 360, 45))
"""Angles that are tried where any is allowed, beside those that set a long edge straight [deg]."""

SQUARE = 4
"""How many turns set a part square."""

TRIES = 24
"""Places of one part that are verified before the next angle is tried."""

SLIVER = 0.01
"""Thickness of an overlap that is none [mm]; the checker allows twice as much."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Pose:
    """A part turned as it may lie, at the origin."""

    part: Part
    turn: float
    mirrored: bool
    ring: Ring
    true: Polygon
    east: int
    south: int
    north: int


@dataclass(frozen=True, slots=True)
class Copy:
    """One copy still to lay."""

    part: Part
    number: int
    mirrored: bool


@dataclass(frozen=True, slots=True)
class Habit:
    """What a placement prefers. upward : lowest across the ground first, not first along it. pins : part to
    the one of its turns that is tried alone.
    """

    upward: bool = False
    pins: Mapping[str, int] = field(default_factory=dict)

    def changed(self, order: Sequence[Copy], turns: int, random: np.random.Generator) -> Habit:
        """Another turn for one part of an order, or none of its own again, and now and then another
        direction.
        """
        if random.random() < 0.1:
            return Habit(not self.upward, self.pins)
        slug = order[int(random.integers(len(order)))].part.slug
        pins = dict(self.pins)
        if slug in pins and random.random() < 0.5:
            del pins[slug]
        else:
            pins[slug] = int(random.integers(turns))
        return Habit(self.upward, pins)


@dataclass(slots=True, eq=False)
class Filled:
    """A ground with what lies on it so far."""

    ground: Ground
    laid: list[Laid] = field(default_factory=list)
    poses: list[tuple[_Pose, int, int]] = field(default_factory=list)
    shapes: list[BaseGeometry] = field(default_factory=list)

    @property
    def reach(self) -> float:
        """How far along the ground is used [mm]."""
        return max((pose.east + x for pose, x, _ in self.poses), default=0) / STEPS


def copies_of(parts: Sequence[Part]) -> list[Copy]:
    """Every copy of every part, those that lie turned over last."""
    return [
        Copy(part, number, number >= part.count - part.mirrored)
        for part in parts
        for number in range(part.count)
    ]


class Filler:
    """Lays copies on grounds. What two outlines forbid each other is worked out once and kept.

    few_turns : where any angle is allowed, try those alone that set a part square.
    """

    def __init__(self, *, few_turns: bool = False) -> None:
        self._few_turns = few_turns
        self._poses: dict[tuple[str, bool], list[_Pose]] = {}
        self._pairs: dict[tuple[int, int], Paths] = {}
        self._inner: dict[tuple[int, int, int], Paths] = {}

    def put(self, copy: Copy, fillings: Sequence[Filled], habit: Habit | None = None) -> bool:
        """Lay a copy on the first of some grounds that has room; False when none has."""
        return any(self._put_on(copy, filled, habit or Habit()) for filled in fillings)

    def turns_of(self, copy: Copy) -> int:
        """How many turns are tried for a copy."""
        return len(self._poses_of(copy))

    def _put_on(self, copy: Copy, filled: Filled, habit: Habit) -> bool:
        poses = self._poses_of(copy)
        pinned = habit.pins.get(copy.part.slug)
        if pinned is not None:
            return self._put_as(copy, filled, habit, [poses[pinned % len(poses)]])
        # Square first: oblique turns are for what finds no room otherwise, and cost four times as much.
        return self._put_as(copy, filled, habit, poses[:SQUARE]) or (
            len(poses) > SQUARE and self._put_as(copy, filled, habit, poses[SQUARE:])
        )

    def _put_as(self, copy: Copy, filled: Filled, habit: Habit, poses: Sequence[_Pose]) -> bool:
        found: list[tuple[tuple[int, int], int, int, _Pose]] = []
        for pose in poses:
            for x, y in self._places(pose, filled):
                along, across = x + pose.east, y + (pose.north if habit.upward else pose.south)
                found.append(((across, along) if habit.upward else (along, across), x, y, pose))
        found.sort(key=lambda one: one[0])
        for _, x, y, pose in found[:TRIES]:
            shape = _moved(pose.true, x / STEPS, y / STEPS)
            if _free(shape, filled, copy.part.quality):
                filled.laid.append(
                    Laid(
                        part=copy.part.slug,
                        copy=copy.number,
                        turn=pose.turn,
                        mirrored=pose.mirrored,
                        x=x / STEPS,
                        y=y / STEPS,
                    )
                )
                filled.poses.append((pose, x, y))
                filled.shapes.append(shape)
                return True
        return False

    def _poses_of(self, copy: Copy) -> list[_Pose]:
        key = (copy.part.slug, copy.mirrored)
        if key not in self._poses:
            part = copy.part
            turns = part.turns if part.turns is not None else _angles(part.outline, few=self._few_turns)
            plain = _plain(part.outline)
            poses = []
            for turn in turns:
                ring = on_grid(posed(plain, turn=turn, mirrored=copy.mirrored, x=0.0, y=0.0))
                x, y = np.array(ring).T
                true = Polygon(posed(part.outline, turn=turn, mirrored=copy.mirrored, x=0.0, y=0.0))
                poses.append(
                    _Pose(
                        part=part,
                        turn=turn,
                        mirrored=copy.mirrored,
                        ring=ring,
                        true=true,
                        east=int(x.max()),
                        south=int(y.min()),
                        north=int(y.max()),
                    )
                )
            self._poses[key] = poses
        return self._poses[key]

    def _places(self, pose: _Pose, filled: Filled) -> list[tuple[int, int]]:
        """Corners of where a pose may go, or the best points of the lines it must lie on."""
        ground = filled.ground
        inner = self._inner_of(pose, ground)
        if not inner:
            return []
        taken = [path for other, x, y in filled.poses for path in moved(self._pair(other, pose), x, y)]
        if pose.part.on_fold or (pose.part.match is not None and any(ground.repeat)):
            return _on_lines(pose, ground, inner, taken)
        return [point for path in difference(inner, taken) for point in path]

    def _pair(self, fixed: _Pose, moving: _Pose) -> Paths:
        key = (id(fixed), id(moving))
        if key not in self._pairs:
            self._pairs[key] = no_fit_polygon(fixed.ring, moving.ring)
        return self._pairs[key]

    def _inner_of(self, pose: _Pose, ground: Ground) -> Paths:
        key = (id(pose), id(ground), pose.part.quality)
        if key not in self._inner:
            self._inner[key] = ground.inner(pose.ring, pose.part.quality)
        return self._inner[key]


def _moved(shape: Polygon, x: float, y: float) -> Polygon:
    return Polygon(shapely.get_coordinates(shape.exterior) + np.array([x, y]))


def _plain(outline: Points) -> Points:
    tolerance = PLAINER
    while tolerance <= COARSEST:
        plain = covering(outline, tolerance, most=MOST_POINTS)
        if len(plain) <= MOST_POINTS:
            return plain
        tolerance *= 2.0
    return covering(outline, COARSEST, most=MOST_POINTS)


def _angles(outline: Points, *, few: bool) -> tuple[float, ...]:
    """Angles worth trying: those that lay the piece's least box square, and round the clock unless few."""
    box = np.asarray(shapely.minimum_rotated_rectangle(Polygon(outline)).exterior.coords)
    along = box[1] - box[0]
    lean = -float(np.degrees(np.arctan2(along[1], along[0])))
    square = [round((lean + quarter) % 360.0, 6) for quarter in (0.0, 90.0, 180.0, 270.0)]
    return tuple(square if few else [*square, *(turn for turn in TURNS if turn not in square)])


def _free(shape: BaseGeometry, filled: Filled, quality: int) -> bool:
    """Whether a true outline lies on the ground and on nothing else."""
    ground = filled.ground
    if ground.surface is None:
        west, south, east, north = shape.bounds
        if min(west, south) < -SLIVER or east > ground.length + SLIVER or north > ground.width + SLIVER:
            return False
    elif _thick(shapely.difference(shape, ground.area_for(quality))):
        return False
    if not filled.shapes:
        return True
    near = np.array(filled.shapes, dtype=object)
    near = near[shapely.intersects(near, shape)]
    return not any(_thick(shapely.intersection(other, shape)) for other in near)


def _thick(overlap: BaseGeometry) -> bool:
    return not overlap.is_empty and not overlap.buffer(-0.5 * SLIVER).is_empty


def _on_lines(pose: _Pose, ground: Ground, inner: Paths, taken: Paths) -> list[tuple[int, int]]:
    """Places on the fold, or where the cloth's pattern meets the part: the first along the ground."""
    corners = np.array([point for path in inner for point in path])
    (west, south), (east, north) = corners.min(axis=0).tolist(), corners.max(axis=0).tolist()
    along, across = _lattice(pose, ground)
    if pose.part.on_fold:
        return _first_on(line_outside((west, 0), (east, 0), taken), along, 0)
    if along is None:
        assert across is not None
        phase, step = across
        rows = range(south + (phase - south) % step, north + 1, step)
        return [
            point
            for row in rows
            for path in line_outside((west, row), (east, row), taken)
            for point in (path[0], path[-1])
        ]
    phase, step = along
    for column in range(west + (phase - west) % step, east + 1, step):
        places = _first_on(line_outside((column, south), (column, north), taken), across, 1)
        if places:
            return places
    return []


def _lattice(pose: _Pose, ground: Ground) -> tuple[tuple[int, int] | None, tuple[int, int] | None]:
    """Phase and step of where the origin may lie, along and across [steps of the grid]; None for anywhere."""
    match = pose.part.match
    if match is None:
        return None, None
    at = posed(np.array([match.at]), turn=pose.turn, mirrored=pose.mirrored, x=0.0, y=0.0)[0]
    found: list[tuple[int, int] | None] = []
    for repeat, own, phase in zip(ground.repeat, at.tolist(), match.phase, strict=True):
        step = round(repeat * STEPS)
        found.append((round((phase - own) * STEPS), step) if step > 0 else None)
    return found[0], found[1]


def _first_on(paths: Paths, lattice: tuple[int, int] | None, axis: int) -> list[tuple[int, int]]:
    """Ends of what is left of a line; with a lattice, its first point on each stretch."""
    places = []
    for path in paths:
        low, high = sorted((path[0], path[-1]), key=lambda point: point[axis])
        if lattice is None:
            places += [low, high]
            continue
        phase, step = lattice
        first = low[axis] + (phase - low[axis]) % step
        if first <= high[axis]:
            places.append((first, low[1]) if axis == 0 else (low[0], first))
    return places
