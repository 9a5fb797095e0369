"""Our tape: a length read on a standing body, with its derivative with respect to every point it touches.

A plane cut keeps the levels it is read at: when a landmark moves, the cut moves with it, and the derivative
says so. Directions of planes are held while differentiating; a Gauss-Newton step forgives that.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.regions import BodyPlaces
from layfigure.body.sections import Cut
from layfigure.body.template import Template

Points = NDArray[np.float64]
Indices = NDArray[np.int64]
Anchor = Mapping[str, float]
"""A place as a weighted mean of landmarks and joints; the weights sum to 1."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reading:
    """value [mm]; its gradient is ``slopes`` (r, 3) at points ``rows`` (r,), repeated rows add up."""

    value: float
    rows: Indices
    slopes: Points

    def __add__(self, other: Reading) -> Reading:
        return Reading(
            value=self.value + other.value,
            rows=np.concatenate([self.rows, other.rows]),
            slopes=np.concatenate([self.slopes, other.slopes]),
        )

    def scaled(self, factor: float) -> Reading:
        """The reading times a factor."""
        return Reading(value=factor * self.value, rows=self.rows, slopes=factor * self.slopes)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TapeLine:
    """A line that a tape takes, and the plane that made it: unit normal and anchor."""

    cut: Cut
    normal: Points
    anchor: Anchor


class StandingBody:
    """The points of one body in the standing pose, with its places by name."""

    def __init__(self, template: Template, standing: Points) -> None:
        self.template, self.points = template, standing
        self.surface = standing[: template.vertex_count]
        self.places = BodyPlaces(template, standing)
        self.floor, self.floor_shares = _soles(template, self.surface)
        self.lines: dict[str, list[TapeLine]] = {}
        """Lines already cut, by group of tapes: ``body.tape_lines`` fills it."""
        self.readings: dict[str, Reading] = {}
        """What was read already, by name: ``body.fit`` fills it."""

    def row(self, name: str) -> int:
        """Row of a landmark or, as ``joint_elbow_left``, of a joint among the points."""
        found = self.template.landmarks.get(name)
        return self.template.joints[name.removeprefix("joint_")] if found is None else found

    def anchor(self, anchor: Anchor) -> tuple[Indices, Points, Points]:
        """Rows, weights and place of an anchor."""
        rows, weights = _anchor_rows(self.template, tuple(anchor.items()))
        return rows, weights, weights @ self.points[rows]


@lru_cache(maxsize=1024)
def _anchor_rows(template: Template, anchor: tuple[tuple[str, float], ...]) -> tuple[Indices, Points]:
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
    slopes = np.zeros((len(rows) + 2, 3))
    slopes[:-2, 2], slopes[-2:, 2] = weights, -body.floor_shares
    value = float(place[2] - body.points[body.floor, 2].min())
    return Reading(value=value, rows=np.append(rows, body.floor), slopes=slopes)


def chain_reading(body: StandingBody, names: Sequence[str]) -> Reading:
    """Straight from place to place through named landmarks and joints."""
    rows = np.array([body.row(name) for name in names], dtype=np.int64)
    cut = Cut(a=rows, b=rows, share=np.zeros(len(rows)))
    return line_reading(body, cut, closed=False)


def extent_reading(body: StandingBody, cut: Cut, direction: Points) -> Reading:
    """Extent of a cut's corners along a direction, as calipers read it."""
    along = cut.places(body.points) @ direction
    ends = np.array([int(along.argmax()), int(along.argmin())])
    rows, slopes = [], []
    for end, sign in zip(ends, (1.0, -1.0), strict=True):
        t = cut.share[end]
        rows += [cut.a[end], cut.b[end]]
        slopes += [sign * (1 - t) * direction, sign * t * direction]
    return Reading(
        value=float(along[ends[0]] - along[ends[1]]),
        rows=np.array(rows, dtype=np.int64),
        slopes=np.array(slopes),
    )


def line_reading(
    body: StandingBody, cut: Cut, *, closed: bool, normal: Points | None = None, anchor: Anchor | None = None
) -> Reading:
    """Length of a line of cut corners.

    normal, anchor : the plane that made the cut; corners keep to it, and it goes with its anchor.
    """
    points = body.points
    place = cut.places(points)
    following = np.concatenate([place[1:], place[:1]]) - place
    if not closed:
        following[-1] = 0.0
    step = np.sqrt(np.square(following).sum(axis=1))
    unit = following / np.maximum(step, 1e-9)[:, None]
    pull = (
        np.concatenate([unit[-1:], unit[:-1]]) - unit
    )  # derivative of the length with respect to each corner
    if not closed:
        pull[0] = -unit[0]
    t = cut.share[:, None]
    if normal is None or anchor is None:
        rows = np.concatenate([cut.a, cut.b])
        return Reading(value=float(step.sum()), rows=rows, slopes=np.concatenate([(1 - t) * pull, t * pull]))
    edge = points[cut.b] - points[cut.a]
    rise = edge @ normal
    steep = np.abs(rise) > 0.08 * np.maximum(np.linalg.norm(edge, axis=1), 1e-9)
    slide = np.where(steep, np.sum(pull * edge, axis=1) / np.where(steep, rise, 1.0), 0.0)
    kept = pull - slide[:, None] * normal
    anchor_rows, weights, _ = body.anchor(anchor)
    return Reading(
        value=float(step.sum()),
        rows=np.concatenate([cut.a, cut.b, anchor_rows]),
        slopes=np.concatenate([(1 - t) * kept, t * kept, slide.sum() * weights[:, None] * normal]),
    )


def taut_cut(places: Points, cut: Cut, up: Points, start: Points, end: Points) -> Cut:
    """The open part of a cut from ``start`` to ``end`` on the ``up`` side, pulled taut over hollows.

    Corners are taken between the two ends and their upper hull is kept.
    """
    along = end - start
    length = float(np.linalg.norm(along))
    along = along / length
    high = up - (up @ along) * along
    high /= np.linalg.norm(high)
    s, h = (places - start) @ along, (places - start) @ high
    inside = (s > 0.02 * length) & (s < 0.98 * length) & (h > -0.02 * length)
    rows = np.flatnonzero(inside)
    rows = rows[np.argsort(s[rows], kind="stable")]
    kept = rows[_upper_hull(s[rows].tolist(), h[rows].tolist(), length)]
    return Cut(a=cut.a[kept], b=cut.b[kept], share=cut.share[kept])


def _upper_hull(along: list[float], high: list[float], length: float) -> list[int]:
    """Which points, in order along, lie on the upper hull between (0, 0) and (length, 0).

    A. M. Andrew, "Another efficient algorithm for convex hulls in two dimensions", Information Processing
    Letters 9(5), 1979. Some thirty points: a general hull takes ten times as long to begin.
    """
    hull = [(0.0, 0.0, -1)]
    for k, (s, h) in enumerate(zip([*along, length], [*high, 0.0], strict=True)):
        while len(hull) > 1:
            (s0, h0, _), (s1, h1, _) = hull[-2:]
            if (s1 - s0) * (h - h0) - (h1 - h0) * (s - s0) < 0.0:
                break
            hull.pop()
        hull.append((s, h, k))
    return [k for _, _, k in hull[1:-1]]
