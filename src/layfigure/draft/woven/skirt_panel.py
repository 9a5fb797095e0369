"""One panel of a pleated skirt laid flat: straight grain at the hem, pleats that also take in the waist.

Below the line where the pleats stop tapering the panel is a rectangle; above it every pleat takes up its
share of the difference between hips and waist. The hem is straight, on the grain, and the waist edge is
shaped so that the hem is level when the skirt hangs (common practice for pleats, no source).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.errors import DraftError
from layfigure.geometry.pleat import hidden_edge, mirrored

Points = NDArray[np.float64]

STEP = 2.0
"""Spacing of points along a waist edge [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SkirtPanel:
    """A flat panel, seen from outside, its left side and its hem's line the axes [mm].

    width, hem : of the rectangle: x from 0 to width, hem at y = -hem. visible : waist edge of every strip
    that shows, left to right. hidden : waist edge inside every pleat, left to right. creases, placements,
    inners : of every pleat, from the hem up or from where it ends: the fold that shows, where it comes to
    lie, the fold behind.
    taper : what each pleat takes up more at the waist than at the hips.
    """

    width: float
    hem: float
    visible: tuple[Points, ...]
    hidden: tuple[Points, ...]
    creases: tuple[Points, ...]
    placements: tuple[Points, ...]
    inners: tuple[Points, ...]
    taper: float


def skirt_panel(
    strips: Sequence[float],
    rise: Callable[[Points], Points],
    *,
    hip: float,
    hem: float,
    depth: float,
    facing_right: Sequence[bool],
    where: str,
) -> SkirtPanel:
    """A panel with a pleat between every two strips.

    strips : finished waist length of every strip that shows, left to right [mm]. rise : distance along the
    finished waist (m,) to height above the line where pleats stop tapering (m,) [mm]. hip : width of the
    panel with pleats folded, below that line. hem : from that line down to the hem. depth : of a pleat
    at the hips; 0 for tucks that end there. facing_right : for every pleat, whether its fold turns to the
    right. Raises DraftError where the waist is
    wider than pleats allow, or too steep for them.
    """
    tops = _strip_tops(strips, rise)
    across = [float(top[-1, 0]) for top in tops]
    taper = (hip - sum(across)) / len(facing_right)
    if taper <= -depth:
        raise DraftError(
            "the waist is so much wider than the hips that pleats would have to open at the waist.",
            where=where,
            advice="Make the pleats deeper, or give the hips more ease.",
        )
    visible = [tops[0]]
    hidden, creases, placements, inners = [], [], [], []
    for k, right in enumerate(facing_right):
        before = visible[-1]
        foot = float(before[-1, 0]) + 0.5 * taper
        inner = np.array([[foot + depth, -hem], [foot + depth, float(before[-1, 1])]])
        left_fold = np.array([[foot, 0.0], before[-1]])
        right_fold = mirrored(left_fold, inner)
        after = tops[k + 1] + np.array([right_fold[1, 0], 0.0])
        try:
            if right:
                under = hidden_edge(before[::-1], left_fold, inner)
            else:
                under = hidden_edge(after, right_fold, inner)[::-1]
        except ValueError as error:
            raise DraftError(
                f"the waist edge rises too steeply for a pleat of {depth:.0f} mm to end at it.",
                where=where,
                advice="Place the waist more level, or make the pleats less deep.",
            ) from error
        # Both ends are corners of the strips: the same numbers to the last bit.
        under[0], under[-1] = before[-1], after[0]
        visible.append(after)
        hidden.append(under)
        folds = [left_fold, right_fold]
        if depth > 0.0:
            folds = [np.vstack([[fold[0, 0], -hem], fold]) for fold in folds]
        else:
            inner = np.array([[foot, 0.0], inner[1]])
        creases.append(folds[0] if right else folds[1])
        placements.append(folds[1] if right else folds[0])
        inners.append(inner)
    return SkirtPanel(
        width=float(visible[-1][-1, 0]),
        hem=hem,
        visible=tuple(visible),
        hidden=tuple(hidden),
        creases=tuple(creases),
        placements=tuple(placements),
        inners=tuple(inners),
        taper=taper,
    )


def _strip_tops(strips: Sequence[float], rise: Callable[[Points], Points]) -> list[Points]:
    """Waist edge of every strip from x = 0, as long as it is when finished, (n, 2)."""
    ends = np.cumsum(strips)
    along = [
        np.linspace(end - length, end, max(3, int(np.ceil(length / STEP)) + 1))
        for end, length in zip(ends, strips, strict=True)
    ]
    bounds = np.cumsum([len(own) for own in along])[:-1]
    tops = []
    for own, height in zip(along, np.split(rise(np.concatenate(along)), bounds), strict=True):
        steps, climbs = own[1:] - own[:-1], height[1:] - height[:-1]
        across = np.sqrt(np.maximum(steps**2 - climbs**2, 1e-6))
        tops.append(np.column_stack([np.append(0.0, across.cumsum()), height]))
    return tops
