"""The parts of a strand from fixing to fixing: hanging free, or lying on the body."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.strand.count import StrandMake
from layfigure.geometry.catenary import catenary, length_for_sag, sag
from layfigure.geometry.polyline import arc_lengths, points_at
from layfigure.geometry.taut_line import Skin

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Swag:
    """One part. points : (n, 3) its middle line. length : of the whole beads, rings or cord [mm].
    count : of them. sag : below the straight between its fixings [mm]. pressed : how deep the body stands in
    the free line, which it lifts [mm].
    """

    points: Points
    length: float
    count: int
    sag: float
    pressed: float


def fixings_along(path: Points, swags: int, held: Sequence[float]) -> Points:
    """Distances of the fixings along a path: its ends, where it is held, and between these ``swags`` equal
    parts [mm].
    """
    whole = float(arc_lengths(path)[-1])
    stops = np.unique(np.round([0.0, *held, whole], 6))
    parts = [np.linspace(a, b, swags, endpoint=False) for a, b in pairwise(stops)]
    return np.append(np.concatenate(parts), whole)


def hanging_swags(
    path: Points,
    fixings: Points,
    make: StrandMake,
    skin: Skin,
    *,
    clearance: float,
    slack: float,
    depth: float | None,
) -> list[Swag]:
    """Parts that hang free: by a share of slack over the straight, or as deep as wished [mm].

    They are made of whole beads or rings, so they hang a little deeper. Where the body stands in the way
    they lie on it. clearance : from the skin to their middle line where they lie [mm].
    """
    ends = points_at(path, fixings)
    lines, made = [], []
    for start, end in pairwise(ends):
        straight = float(np.linalg.norm(end - start))
        wanted = straight * (1.0 + slack) if depth is None else length_for_sag(start, end, depth)
        count = make.count(wanted)
        length = make.length(count, wanted)
        lines.append(catenary(start, end, length, max(9, int(length / 6.0))))
        made.append((length, count))
    return [
        Swag(points=lying, length=length, count=count, sag=sag(line), pressed=pressed)
        for (length, count), line, (lying, pressed) in zip(
            made, lines, _lifted(lines, skin, clearance), strict=True
        )
    ]


def lying_swags(path: Points, fixings: Points, make: StrandMake, *, slack: float) -> list[Swag]:
    """Parts that lie on the body along the path, longer than it by a share of slack."""
    along = arc_lengths(path)
    swags = []
    for a, b in pairwise(fixings):
        inner = along[(along > a + 1e-6) & (along < b - 1e-6)]
        line = points_at(path, np.concatenate([[a], inner, [b]]))
        wanted = (b - a) * (1.0 + slack)
        count = make.count(wanted)
        swags.append(Swag(points=line, length=make.length(count, wanted), count=count, sag=0.0, pressed=0.0))
    return swags


def _lifted(lines: Sequence[Points], skin: Skin, clearance: float) -> list[tuple[Points, float]]:
    """Lines moved out of the body to a clearance, their ends kept, and how far at most."""
    points, last = np.concatenate(lines), np.cumsum([len(line) for line in lines]) - 1
    _, normal, high = skin.near(points)
    lift = np.maximum(clearance - high, 0.0)
    lift[last] = lift[[0, *(last[:-1] + 1)]] = 0.0
    lying = points + lift[:, None] * normal
    bounds = last[:-1] + 1
    return [
        (own, float(by.max()))
        for own, by in zip(np.split(lying, bounds), np.split(lift, bounds), strict=True)
    ]
