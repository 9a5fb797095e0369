"""Artwork with symmetry: one motif, turned about a centre and mirrored, and a few motifs to start from.

Motifs lie about the origin, y up, within the unit circle. Turned by 360/n degrees n times, artwork has the
cyclic symmetry of order n; with the mirror as well, the dihedral one, which has n mirror lines.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
MotifName = Literal["star", "petal", "swirl", "ring"]

_SAMPLES = 48


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stroke:
    """One line of artwork, (n, 2); a closed one does not repeat its first point."""

    points: Points
    closed: bool


def symmetric(motif: Sequence[Stroke], order: int, *, mirror: bool) -> tuple[Stroke, ...]:
    """The motif turned ``order`` times about the origin, each turn with its mirror image where asked.

    The mirror line is the upright one. Strokes of the motif itself come first. Raises ValueError for an
    order below 1.
    """
    if order < 1:
        raise ValueError("artwork is turned at least once")
    flips = (1.0, -1.0) if mirror else (1.0,)
    strokes = []
    for turn in range(order):
        angle = -2.0 * np.pi * turn / order
        cosine, sine = np.cos(angle), np.sin(angle)
        rotation = np.array([[cosine, sine], [-sine, cosine]])
        for flip in flips:
            for stroke in motif:
                points = stroke.points * (flip, 1.0) @ rotation
                strokes.append(Stroke(points=points if flip > 0.0 else points[::-1], closed=stroke.closed))
    return tuple(strokes)


def motif_for(name: MotifName, order: int) -> tuple[Stroke, ...]:
    """One element of a simple motif, meant to be turned ``order`` times.

    star : one point of an outlined star. petal : a pointed petal. swirl : a curved blade without mirror
    symmetry. ring : a small circle.
    """
    half = np.pi / order
    if name == "star":
        inner = 0.42
        tip, left, right = (_polar(r, a) for r, a in ((1.0, 0.0), (inner, -half), (inner, half)))
        return (Stroke(points=np.vstack([left, tip, right]), closed=False),)
    if name == "petal":
        share = np.linspace(0.0, 1.0, _SAMPLES)
        wide = min(0.30, 0.8 * np.sin(half) * 0.6)
        side = np.column_stack([wide * np.sin(np.pi * share), 0.15 + 0.85 * share])
        return (Stroke(points=np.vstack([side, side[-2:0:-1] * (-1.0, 1.0)]), closed=True),)
    if name == "swirl":
        share = np.linspace(0.0, 1.0, _SAMPLES)
        radius = 0.15 + 0.85 * share
        outer = _polar(radius, 0.9 * share**2)
        inner_side = _polar(radius, 0.9 * share**2 + 0.7 * half * np.sin(np.pi * share))
        return (Stroke(points=np.vstack([outer, inner_side[-2:0:-1]]), closed=True),)
    angle = 2.0 * np.pi * np.arange(_SAMPLES) / _SAMPLES
    radius_of_ring = 0.35 * np.sin(half) if order > 1 else 0.5
    centre = 1.0 - radius_of_ring if order > 1 else 0.0
    circle = radius_of_ring * np.column_stack([np.sin(angle), np.cos(angle)]) + (0.0, centre)
    return (Stroke(points=circle, closed=True),)


def _polar(radius: float | Points, angle: float | Points) -> Points:
    """Places by distance from the origin and angle from upright, clockwise, (..., 2)."""
    places: Points = np.stack([radius * np.sin(angle), radius * np.cos(angle)], axis=-1)
    return places


def reach(strokes: Sequence[Stroke]) -> float:
    """Greatest distance from the origin."""
    return max(float(np.linalg.norm(stroke.points, axis=1).max()) for stroke in strokes)


def scaled(strokes: Sequence[Stroke], scale: float, centre: tuple[float, float]) -> tuple[Stroke, ...]:
    """Strokes scaled about the origin, then moved to a centre."""
    return tuple(
        Stroke(points=stroke.points * scale + np.asarray(centre), closed=stroke.closed) for stroke in strokes
    )
