"""How cloth falls from a line on the body: taut over what stands out below, then plumb to the floor.

In every direction about an upright axis the cloth follows the body's outline as a tape would from waist to
floor over the hip: the tightest line that never leans inward on its way down. That is where a hem is
levelled (common practice, no source); flare stands off in folds, which does not change the length.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from layfigure.body.form import Form
from layfigure.draft.beneath import folds_at
from layfigure.geometry.support_function import directions, section_girth
from layfigure.geometry.table import read_rows

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

COUNT = 96
"""Directions about the axis."""
LEVEL = 8.0
STEP = 5.0
"""Between heights at which the body is sliced, and between places down the cloth [mm]."""

TRUNK = ("torso", "thigh", "shank")
"""What a skirt or a panel hangs over; hands beside the hips are lifted off it."""
ALL_BELOW_HEAD = ("neck", "torso", "upper_arm", "forearm", "hand", "thigh", "shank")
"""What a cape hangs over."""
KEPT_PARTS = 8
"""Parts of the body that cloth hangs over, told by their faces."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fall:
    """Cloth hanging from a line, by direction about an upright axis.

    centre : (2,) of the axis. distance : (k,) down the cloth from the line [mm]. reach, height : (n, k)
    distance from the axis and height above the floor, directions evenly spaced from the front toward the
    wearer's left. beneath : (k,) girth of what lies beneath, at the mean height of each distance [mm].
    """

    centre: Points
    distance: Points
    reach: Points
    height: Points
    beneath: Points

    def at(self, direction: ArrayLike, distance: ArrayLike) -> Points:
        """Places in space, (..., 3) [mm]. direction : in turns from the front, toward the wearer's left."""
        turn = np.asarray(direction, dtype=np.float64)
        reach, height = self._read(turn, np.asarray(distance, dtype=np.float64))
        angle = 2.0 * np.pi * turn
        x, y = self.centre[0] + reach * np.sin(angle), self.centre[1] - reach * np.cos(angle)
        places: Points = np.stack([x, y, height], axis=-1)
        return places

    def down_to(self, direction: ArrayLike, height: ArrayLike) -> Points:
        """Distance down the cloth at which it comes to a height above the floor, same shape [mm]."""
        turn, level = np.broadcast_arrays(
            np.asarray(direction, dtype=np.float64), np.asarray(height, dtype=np.float64)
        )
        first, second, across = self._beside(turn.reshape(-1, 1))
        heights = (1.0 - across) * self.height[first[:, 0]] + across * self.height[second[:, 0]]
        along = np.broadcast_to(self.distance, heights.shape)
        (found,) = read_rows(-level.reshape(-1, 1), -heights, along)
        return found.reshape(level.shape)

    def girths(self) -> Points:
        """Length right round at every distance down the cloth, (k,) [mm]."""
        before = np.roll(self.reach, 1, axis=0), np.roll(self.height, 1, axis=0)
        rounds: Points = _apart(before, (self.reach, self.height), 1.0 / len(self.reach)).sum(axis=0)
        return rounds

    def along(self, turn: Points) -> tuple[Points, Points]:
        """Length of cloth that runs aslant, down to every distance of the fall, and its height there, (n, k)
        [mm]. turn : (n, k) its direction at each of them [turns].
        """
        reach, height = self._read(turn, self.distance[None, :])
        above, below = (reach[:, :-1], height[:, :-1]), (reach[:, 1:], height[:, 1:])
        steps = _apart(above, below, np.diff(turn, axis=1))
        return np.column_stack([np.zeros(len(turn)), steps.cumsum(axis=1)]), height

    def _read(self, turn: Points, down: Points) -> tuple[Points, Points]:
        """Reach and height between directions and distances, linearly; shaped as both are together."""
        steps = len(self.distance)
        first, second, across = self._beside(turn)
        place = np.clip(down / STEP, 0.0, steps - 1.0)
        row = np.minimum(place.astype(np.int64), steps - 2)
        along = place - row
        here, beside = first * steps + row, second * steps + row

        def read(table: Points) -> Points:
            flat = table.ravel()
            before = (1.0 - along) * flat.take(here) + along * flat.take(here + 1)
            after = (1.0 - along) * flat.take(beside) + along * flat.take(beside + 1)
            value: Points = (1.0 - across) * before + across * after
            return value

        return read(self.reach), read(self.height)

    def _beside(self, turn: Points) -> tuple[Indices, Indices, Points]:
        """The directions to either side of others, and the share of the way between them, same shape."""
        count = len(self.reach)
        position = np.mod(turn, 1.0) * count
        first = np.floor(position).astype(np.int64)
        return first % count, (first + 1) % count, position - first


def _apart(one: tuple[Points, Points], other: tuple[Points, Points], turn: Points | float) -> Points:
    """Straight from one place to another, by reach and height of both and the turn between them [mm]."""
    (near, low), (far, high) = one, other
    # The law of cosines; written by the difference, it loses nothing where both reach as far.
    aside = 4.0 * np.sin(np.pi * turn) ** 2 * near * far
    apart: Points = np.sqrt((far - near) ** 2 + aside + (high - low) ** 2)
    return apart


def turns_of(line: Points, centre: Points) -> Points:
    """Direction of places about an upright axis, in turns from the front toward the wearer's left, (m,)."""
    turns: Points = np.mod(np.arctan2(line[:, 0] - centre[0], centre[1] - line[:, 1]) / (2.0 * np.pi), 1.0)
    return turns


def fall_from(
    form: Form,
    line: Points,
    *,
    over: Collection[str] = TRUNK,
    clearance: float = 0.0,
    folds: float = 0.0,
) -> Fall:
    """How cloth falls from a line on the trunk or the neck.

    line : (m, 3) that it hangs from, right round or part of the way [mm]; between the ends of one that does
    not go round, the fall starts as far out and as high as they are. over : regions, without side, that lie
    beneath.
    clearance : thickness worn beneath [mm]. folds : how far folds of it stand off below the waist [mm].
    """
    return falls_from(form, line, (clearance,), over=over, folds=folds)[0]


def falls_from(
    form: Form,
    line: Points,
    clearances: Sequence[float],
    *,
    over: Collection[str] = TRUNK,
    folds: float = 0.0,
) -> list[Fall]:
    """Falls from one line at several clearances [mm]; the body is sliced once for all."""
    centre = axis_of(form, line)
    levels = np.arange(float(line[:, 2].max()), 0.0, -LEVEL)
    support = slice_support(form.standing.vertices, _edges_of_part(form, over), levels, centre)
    off = folds_at(form, levels, folds)
    body = _reach(support)
    girth = np.where(np.isfinite(support).all(axis=1), section_girth(support), 0.0)
    falls = []
    for clearance in clearances:
        away = clearance + off
        outline, round_it = body + away[:, None], girth + 2.0 * np.pi * away
        falls.append(_fall(line, centre, levels, outline, round_it, clearance))
    return falls


def outline_reach(form: Form, centre: Points, height: float, over: Collection[str] = TRUNK) -> Points:
    """How far the outline of what lies beneath reaches from an axis at a height, (COUNT,) in evenly spaced
    directions [mm].
    """
    edges = _edges_of_part(form, over)
    reach: Points = _reach(slice_support(form.standing.vertices, edges, np.array([height]), centre))[0]
    return reach


def _fall(
    line: Points, centre: Points, levels: Points, outline: Points, girth: Points, clearance: float
) -> Fall:
    """Cloth over an outline, (m, COUNT) how far it reaches at the levels; girth : (m,) round it [mm]."""
    turns = turns_of(line, centre)
    order = np.argsort(turns)
    out = np.linalg.norm(line[:, :2] - centre, axis=1) + clearance
    even = np.arange(COUNT) / COUNT
    top_reach = np.interp(even, turns[order], out[order], period=1.0)
    top_height = np.interp(even, turns[order], line[order, 2], period=1.0)
    profile_reach, profile_height = _taut(top_reach, top_height, outline, levels)
    steps = np.hypot(np.diff(profile_reach), np.diff(profile_height))
    along = np.column_stack([np.zeros(COUNT), steps.cumsum(axis=1)])
    distance = np.arange(0.0, float(top_height.max()) + 2.0 * float(outline.max()) + STEP, STEP)
    reach, height = read_rows(distance[None, :], along, profile_reach, profile_height)
    # Past the floor the cloth lies on it; going on below keeps lengths meaningful for a train.
    height -= np.maximum(distance - along[:, -1:], 0.0)
    beneath = np.interp(-height.mean(axis=0), -levels, girth)
    return Fall(centre=centre, distance=distance, reach=reach, height=height, beneath=beneath)


def slice_support(vertices: Points, edges: Indices, heights: Points, centre: Points) -> Points:
    """Support values of a mesh's level sections about a place, (m, COUNT) [mm]; -inf where there is none.

    edges : (e, 2). heights : falling. Values at directions evenly spaced from the front toward the wearer's
    left.
    """
    # Columns by themselves: they are gathered several times as quickly as rows.
    x, y, z = vertices.T.copy()
    rising = heights[::-1].copy()
    below = rising.searchsorted(z)
    one, other = below[edges[:, 0]], below[edges[:, 1]]
    crossings = np.abs(one - other)
    edge = np.repeat(np.arange(len(edges)), crossings)
    before = crossings.cumsum() - crossings
    level = np.arange(len(edge)) + np.repeat(np.minimum(one, other) - before, crossings)
    # Short whole numbers are sorted digit by digit, in a fraction of the time.
    order = np.argsort(level.astype(np.int16), kind="stable")
    level, (a, b) = level[order], edges.T[:, edge[order]]
    share = (rising[level] - z[a]) / (z[b] - z[a])
    across, ahead = x[a] + share * (x[b] - x[a]) - centre[0], y[a] + share * (y[b] - y[a]) - centre[1]
    # (right of the front direction, toward the left): the frame in which turns run.
    planar = np.column_stack([-ahead, across])
    bounds = level.searchsorted(np.arange(len(rising) + 1))
    values = np.full((len(rising), COUNT), -np.inf)
    around = directions(COUNT).T
    for k in np.flatnonzero(bounds[1:] > bounds[:-1]):
        (planar[bounds[k] : bounds[k + 1]] @ around).max(axis=0, out=values[k])
    return values[::-1]


def _reach(support: Points) -> Points:
    """How far the hull of each section reaches in every direction, (m, COUNT) [mm]; 0 where there is none."""
    bounded = np.maximum(support, 0.0)
    seen = (COUNT - 1) // 4
    beside = np.column_stack([bounded[:, -seen:], bounded, bounded[:, :seen]])
    reach = bounded
    for step in range(1, seen + 1):
        # What bounds the section that many directions to either side.
        low, high = beside[:, seen - step : seen - step + COUNT], beside[:, seen + step : seen + step + COUNT]
        reach = np.minimum(reach, np.minimum(low, high) / np.cos(2.0 * np.pi * step / COUNT))
    return reach


def _taut(start_reach: Points, start_height: Points, reach: Points, height: Points) -> tuple[Points, Points]:
    """The tightest line in every direction from its start over an outline, then plumb to the floor: reach and
    height of its corners, (n, k) each, some of them repeated.

    start_reach, start_height : (n,). reach : (m, n) of the outline at heights (m,), falling.
    """
    rows = np.arange(len(start_reach))
    below = np.column_stack([np.ones(len(rows), dtype=bool), height < start_height[:, None]])
    outer = np.where(below, np.column_stack([start_reach, reach.T]), -np.inf)
    depth = np.column_stack([np.zeros(len(rows)), start_height[:, None] - height])
    farthest = outer.shape[1] - 1 - outer[:, ::-1].argmax(axis=1)
    last = int(farthest.max())
    below, outer, depth = (table[:, : last + 1] for table in (below, outer, depth))
    ahead = below & (np.arange(last + 1) <= farthest[:, None])
    at, stops = np.zeros_like(farthest), [np.zeros_like(farthest)]
    # From each place on it the line leaves for the one toward which it falls outward most.
    while (at < farthest).any():
        ahead &= np.arange(last + 1) > at[:, None]
        with np.errstate(invalid="ignore"):
            slope = (outer - outer[rows, at, None]) / (depth - depth[rows, at, None])
        slope = np.where(ahead, slope, -np.inf)
        at = np.where(at < farthest, last - slope[:, ::-1].argmax(axis=1), at)
        stops.append(at)
    corners = rows[:, None], np.stack([*stops, farthest], axis=1)
    fallen = start_height[:, None] - depth[corners]
    fallen[:, -1] = 0.0
    return outer[corners], fallen


def axis_of(form: Form, line: Points) -> Points:
    """The axis of a fall from a line: the middle of the trunk or the neck at its height, (2,) [mm]."""
    level = float(line[:, 2].mean())
    charts = [form.charts[name] for name in ("torso", "neck") if name in form.charts]
    middles = [chart.sections.mean(axis=1) for chart in charts]
    nearest = min(
        (middle for part in middles for middle in part), key=lambda middle: abs(float(middle[2]) - level)
    )
    axis: Points = nearest[:2]
    return axis


def _edges_of_part(form: Form, over: Collection[str]) -> Indices:
    """Edges of the standing body in the given regions, (e, 2); the same on every wearer."""
    wanted = tuple(number for number, name in enumerate(form.region_names) if _stem(name) in over)
    faces = form.standing.faces[np.isin(form.face_region, wanted)]
    return _edges(np.ascontiguousarray(faces, dtype=np.int64).tobytes())


@lru_cache(maxsize=KEPT_PARTS)
def _edges(face_bytes: bytes) -> Indices:
    """Every edge of faces once, (e, 2)."""
    faces = np.frombuffer(face_bytes, dtype=np.int64).reshape(-1, 3)
    ends = faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    # One number an edge: rows are slow to sort.
    count = int(faces.max(initial=0)) + 1
    return np.stack(np.divmod(np.unique(ends.min(axis=1) * count + ends.max(axis=1)), count), axis=1)


def _stem(region: str) -> str:
    return region.removesuffix("_left").removesuffix("_right")
