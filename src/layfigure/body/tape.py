"""Our tape: a length read on a standing body, with its derivative with respect to every point it touches.

A plane cut keeps the levels it is read at: when a landmark moves, the cut moves with it, and the derivative
says so. Directions of planes are held while differentiating; a Gauss-Newton step forgives that.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.regions import BodyPlaces
from layfigure.body.sections import Cut, Cuts
from layfigure.body.template import Template

Points = NDArray[np.float64]
Indices = NDArray[np.int64]
JAW = 2.0
"""Corners within about this of the furthest share in the derivative of an extent [mm]."""
STEEPEST = 3.0
"""A tape rises from its end over the skin no steeper than this: what stands up beside an end, such as the
neck beside its side, does not lift it."""
STRAIGHT = 1e-6
"""Three corners that span less than this lie on one straight line [mm²]: those held down beside an end do."""
Anchor = Mapping[str, float]
"""A place as a weighted mean of landmarks and joints; the weights sum to 1."""


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """What the tape says. value [mm]. slopes : works out the derivative, which few readings are asked for.

    It gives points ``rows`` (r,) and the slopes (r, 3) there; repeated rows add up.
    """

    value: float
    slopes: Callable[[], tuple[Indices, Points]]

    def __add__(self, other: Reading) -> Reading:
        def slopes() -> tuple[Indices, Points]:
            (rows, own), (others, theirs) = self.slopes(), other.slopes()
            return np.concatenate([rows, others]), np.concatenate([own, theirs])

        return Reading(self.value + other.value, slopes)

    def scaled(self, factor: float) -> Reading:
        """The reading times a factor."""

        def slopes() -> tuple[Indices, Points]:
            rows, own = self.slopes()
            return rows, factor * own

        return Reading(factor * self.value, slopes)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TapeLine:
    """A line that a tape takes, ``row`` of some cuts, and the plane that made it: unit normal and anchor."""

    cuts: Cuts
    row: int
    normal: Points
    anchor: Anchor

    @property
    def cut(self) -> Cut:
        """Its corners."""
        return self.cuts[self.row]

    @property
    def length(self) -> float:
        """As a closed line on the body that was cut [mm]."""
        return float(self.cuts.lengths[self.row])


class StandingBody:
    """The points of one body in the standing pose, with its places by name.

    sparing : few of its lines will be asked for, so each group is cut when it is; else all are at once.
    beside : tapes lie in planes so far beside their own, along their normals [mm].
    """

    def __init__(
        self, template: Template, standing: Points, *, sparing: bool = False, beside: float = 0.0
    ) -> None:
        self.template, self.points, self.sparing, self.beside = template, standing, sparing, beside
        self.surface = standing[: template.vertex_count]
        self.places = BodyPlaces(template, standing)
        self.floor, self.floor_shares = _soles(template, self.surface)
        self.floor_height = float(standing[self.floor, 2].min())
        self.lines: dict[str, list[TapeLine]] = {}
        """Lines already cut, by group of tapes: ``body.tape_lines`` fills it."""
        self.spans: dict[tuple[str, str], Cut] = {}
        """Lines over the skin already pulled taut, by group and name: ``body.tape_measures`` fills it."""
        self.readings: dict[str, Reading] = {}
        """What was read already, by name: ``body.fit`` fills it."""

    def row(self, name: str) -> int:
        """Row of a landmark or, as ``joint_elbow_left``, of a joint among the points."""
        found = self.template.landmarks.get(name)
        return self.template.joints[name.removeprefix("joint_")] if found is None else found

    def anchor(self, anchor: Anchor) -> tuple[Indices, Points, Points]:
        """Rows, weights and place of an anchor."""
        rows, weights = anchor_rows(self.template, tuple(anchor.items()))
        return rows, weights, weights @ self.points[rows]


@lru_cache(maxsize=1024)
def anchor_rows(template: Template, anchor: tuple[tuple[str, float], ...]) -> tuple[Indices, Points]:
    """Rows and weights of an anchor: the same on every body."""
    rows = [
        template.joints[name.removeprefix("joint_")]
        if (mark := template.landmarks.get(name)) is None
        else mark
        for name, _ in anchor
    ]
    return np.array(rows, dtype=np.int64), np.array([weight for _, weight in anchor], dtype=np.float64)


def _soles(template: Template, surface: Points) -> tuple[Indices, Points]:
    """The lowest vertex of each foot and the share of the floor that is its own.

    The lower foot stands on the floor; feet within a fraction of a millimetre share it, so that a height has
    one derivative on a body whose feet are alike.
    """
    height, left = surface[:, 2], template.mean[: len(surface), 0] > 0.0
    rows = np.array([np.where(left, height, np.inf).argmin(), np.where(left, np.inf, height).argmin()])
    share = 1.0 / (1.0 + np.exp(np.clip((height[rows[0]] - height[rows[1]]) / 0.1, -30.0, 30.0)))
    return rows, np.array([share, 1.0 - share])


def height_reading(body: StandingBody, anchor: Anchor) -> Reading:
    """Height of an anchor above the floor."""
    rows, weights, place = body.anchor(anchor)

    def slopes() -> tuple[Indices, Points]:
        found = np.zeros((len(rows) + 2, 3))
        found[:-2, 2], found[-2:, 2] = weights, -body.floor_shares
        return np.append(rows, body.floor), found

    return Reading(float(place[2]) - body.floor_height, slopes)


def chain_reading(body: StandingBody, names: Sequence[str]) -> Reading:
    """Straight from place to place through named landmarks and joints."""
    rows = np.array([body.row(name) for name in names], dtype=np.int64)
    ways = np.diff(body.points[rows], axis=0)
    lengths = np.sqrt(np.square(ways).sum(axis=1))

    def slopes() -> tuple[Indices, Points]:
        found = np.zeros((len(rows), 3))
        found[1:] += ways / lengths[:, None]
        found[:-1] -= ways / lengths[:, None]
        return rows, found

    return Reading(float(lengths.sum()), slopes)


def extent_reading(body: StandingBody, cut: Cut, direction: Points) -> Reading:
    """Extent of a cut's corners along a direction, as calipers read it."""
    along = cut.places(body.points) @ direction
    high, low = float(along.max()), float(along.min())

    def slopes() -> tuple[Indices, Points]:
        # Jaws touch flesh, not one corner: those that nearly reach furthest share the derivative.
        touch = np.exp((along - high) / JAW) / np.exp((along - high) / JAW).sum()
        touch -= np.exp((low - along) / JAW) / np.exp((low - along) / JAW).sum()
        weights = np.concatenate([touch * (1.0 - cut.share), touch * cut.share])
        return np.concatenate([cut.a, cut.b]), weights[:, None] * direction

    return Reading(high - low, slopes)


def line_reading(
    body: StandingBody, cut: Cut, *, closed: bool, normal: Points | None = None, anchor: Anchor | None = None
) -> Reading:
    """Length of a line of cut corners.

    normal, anchor : the plane that made the cut; corners keep to it, and it goes with its anchor.
    """
    place = cut.places(body.points)
    following = np.concatenate([place[1:], place[:1]]) - place
    if not closed:
        following[-1] = 0.0
    step = np.sqrt(np.square(following).sum(axis=1))
    return Reading(
        float(step.sum()), lambda: _line_slopes(body, cut, following, step, closed, normal, anchor)
    )


def girth_reading(body: StandingBody, line: TapeLine) -> Reading:
    """Length of a closed line as it was cut."""
    return Reading(
        line.length,
        lambda: line_reading(body, line.cut, closed=True, normal=line.normal, anchor=line.anchor).slopes(),
    )


def _line_slopes(
    body: StandingBody,
    cut: Cut,
    following: Points,
    step: Points,
    closed: bool,
    normal: Points | None,
    anchor: Anchor | None,
) -> tuple[Indices, Points]:
    """Derivative of a line's length, from the way to every next corner."""
    unit = following / np.maximum(step, 1e-9)[:, None]
    pull = (
        np.concatenate([unit[-1:], unit[:-1]]) - unit
    )  # derivative of the length with respect to each corner
    if not closed:
        pull[0] = -unit[0]
    t = cut.share[:, None]
    if normal is None or anchor is None:
        return np.concatenate([cut.a, cut.b]), np.concatenate([(1 - t) * pull, t * pull])
    edge = body.points[cut.b] - body.points[cut.a]
    rise = edge @ normal
    steep = np.abs(rise) > 0.08 * np.maximum(np.linalg.norm(edge, axis=1), 1e-9)
    slide = np.where(steep, np.sum(pull * edge, axis=1) / np.where(steep, rise, 1.0), 0.0)
    kept = pull - slide[:, None] * normal
    anchor_rows, weights, _ = body.anchor(anchor)
    return (
        np.concatenate([cut.a, cut.b, anchor_rows]),
        np.concatenate([(1 - t) * kept, t * kept, slide.sum() * weights[:, None] * normal]),
    )


def taut_cut(places: Points, cut: Cut, up: Points, start: Points, end: Points) -> Cut:
    """The open part of a cut from ``start`` to ``end`` on the ``up`` side, pulled taut over hollows.

    Corners are taken between the two ends and their upper hull is kept. Near an end they count no higher than
    ``STEEPEST`` allows, so that none comes or goes of a sudden.
    """
    along = end - start
    length = float(np.sqrt(along @ along))
    along = along / length
    high = up - (up @ along) * along
    high /= np.sqrt(high @ high)
    away = places - start
    s, h = away @ along, away @ high
    reached = np.minimum(h, STEEPEST * np.minimum(s, length - s))
    rows = np.flatnonzero(reached > 0.0)
    rows = rows[np.argsort(s[rows], kind="stable")]
    kept = rows[_upper_hull(s[rows].tolist(), reached[rows].tolist(), length)]
    shift = (reached - h)[kept, None] * high
    return Cut(a=cut.a[kept], b=cut.b[kept], share=cut.share[kept], shift=shift)


def _upper_hull(along: list[float], high: list[float], length: float) -> list[int]:
    """Which points, in order along, lie on the upper hull between (0, 0) and (length, 0).

    A. M. Andrew, "Another efficient algorithm for convex hulls in two dimensions", Information Processing
    Letters 9(5), 1979. Some thirty points: a general hull takes ten times as long to begin.
    """
    hull = [(0.0, 0.0, -1)]
    for k, (s, h) in enumerate(zip([*along, length], [*high, 0.0], strict=True)):
        while len(hull) > 1:
            (s0, h0, _), (s1, h1, _) = hull[-2:]
            if (s1 - s0) * (h - h0) - (h1 - h0) * (s - s0) < -STRAIGHT:
                break
            hull.pop()
        hull.append((s, h, k))
    return [k for _, _, k in hull[1:-1]]
