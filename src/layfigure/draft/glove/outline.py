"""The edges of one half of a glove, in order round it: cuff, little finger's side, fingers, thumb, heel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.glove.ends import GloveEnds
from layfigure.draft.glove.even_lines import joined, round_slot, smooth_side
from layfigure.draft.glove.flat_digit import SETTLE, FlatDigit
from layfigure.draft.glove.layout import FlatHand
from layfigure.errors import DraftError
from layfigure.geometry.polyline import arc_lengths, points_at, resample

Points = NDArray[np.float64]

THUMB_ROOT = 0.28
"""Where the thumb's root begins, as a share of the way from the wrist to its web: our reading of the
template's hand, where the edge of the hand begins to lean out."""

KNOT = 10.0
FLARE = 0.7
"""From this share of the height of the webs the outer edges lead over to the fingers' sides."""


@dataclass(frozen=True, slots=True, eq=False)
class HalfEdge:
    """One edge of a half, drawn palm up with the thumb to the left, counter-clockwise."""

    slug: str
    curve: Points
    sewn: bool


def half_edges(
    flat: FlatHand, ends: GloveEnds, *, outer: Points | None, holes: tuple[Points, Points] | None
) -> tuple[list[HalfEdge], list[HalfEdge]]:
    """Edges of palm and back, which differ in their cuff and in the hole of the thumb alone.

    outer, holes : the thumb's side, and where a set-in thumb is sewn to palm and back, from its web down,
    (n, 2) each; None for a thumb in the outline.
    """
    share = np.linspace(0.0, 1.0, 121)
    height = ends.cuff_palm(share)
    cuffs = [HalfEdge("cuff", flat.place(share, own), False) for own in (height, ends.cuff_back(share))]
    little, index = flat.fingers[3], flat.fingers[0]
    right = _right_side(flat, little, float(height[-1]), ends)
    edges = []
    if ends.slit is None:
        edges.append(HalfEdge("little_side", right, True))
    else:
        opening, sewn = cut_at(right, ends.slit)
        edges += [HalfEdge("slit", opening, False), HalfEdge("little_side", sewn, True)]
    for k in (3, 2, 1, 0):
        edges.append(_finger_end(flat.fingers[k], ends.fingers))
        if k > 0:
            edges.append(HalfEdge(f"slot_{k}", _slot(flat.fingers[k - 1], flat.fingers[k], ends), True))
    if flat.thumb is None:
        if outer is None or holes is None:
            raise DraftError("a glove with a set-in thumb needs its hole.")
        left = outer[::-1]
        upper, _ = _split_down(left, float(holes[0][0, 1]))
        _, lower = _split_down(left, float(holes[0][-1, 1]))
        edges.append(HalfEdge("index_side", upper, True))
        heel = HalfEdge("heel", lower, True)
        palm, back = (
            [cuff, *edges, HalfEdge("thumb_hole", hole, True), heel]
            for cuff, hole in zip(cuffs, holes, strict=True)
        )
        return palm, back
    thumb = flat.thumb
    gap = 0.5 * flat.fit.slot
    turn = 0.5 * thumb.lean
    beside = thumb.ends[1] + 2.0 * gap * np.array([np.cos(turn), -np.sin(turn)])
    arc = round_slot(beside, thumb.ends[1])
    upto = covered_length(thumb, ends.thumb)
    root = THUMB_ROOT * float(flat.hand.webs[0])
    edges += [
        HalfEdge("index_side", _index_side(index, beside, ends)[::-1], True),
        HalfEdge("slot_0", joined(arc, thumb.side(1.0, upto)), True),
        _finger_end(thumb, ends.thumb),
        HalfEdge("heel", _heel(flat, thumb, upto, root, float(height[0])), True),
    ]
    palm, back = ([cuff, *edges] for cuff in cuffs)
    return palm, back


def covered_length(digit: FlatDigit, share: float) -> float:
    """How far up a digit the glove goes before its round tip or its end [mm]."""
    return digit.cap if share >= 1.0 else min(share * digit.length, digit.cap)


def _finger_end(digit: FlatDigit, share: float) -> HalfEdge:
    name = digit.digit.name
    if share >= 1.0:
        return HalfEdge(f"tip_{name}", joined(digit.tip()), True)
    return HalfEdge(f"end_{name}", resample(digit.end(covered_length(digit, share)), 12), False)


def _slot(left: FlatDigit, right: FlatDigit, ends: GloveEnds) -> Points:
    down = right.side(-1.0, covered_length(right, ends.fingers))[::-1]
    up = left.side(1.0, covered_length(left, ends.fingers))
    return joined(down, round_slot(down[-1], up[0]), up)


def _knots(low: float, high: float) -> Points:
    return np.linspace(low, high, max(3, int((high - low) / KNOT) + 1))


def _finger_knots(side: Points) -> Points:
    s = arc_lengths(side)
    inner = np.arange(min(SETTLE, 0.4 * s[-1]), s[-1] - 2.0, 6.0)
    return np.vstack([points_at(side, inner), side[-1:]])


def _right_side(flat: FlatHand, little: FlatDigit, low: float, ends: GloveEnds) -> Points:
    y = _knots(low, FLARE * float(flat.hand.webs[3]))
    palm = np.column_stack([flat.sides(y)[1], y])
    return smooth_side(
        np.vstack([palm, _finger_knots(little.side(1.0, covered_length(little, ends.fingers)))])
    )


def _index_side(index: FlatDigit, start: Points, ends: GloveEnds) -> Points:
    side = _finger_knots(index.side(-1.0, covered_length(index, ends.fingers)))
    return smooth_side(np.vstack([start, side]))


def _heel(flat: FlatHand, thumb: FlatDigit, upto: float, root: float, low: float) -> Points:
    """The thumb's outer side, down over its ball to the cuff."""
    side = _finger_knots(thumb.side(-1.0, upto))
    y = _knots(low, root)
    palm = np.column_stack([flat.sides(y)[0], y])
    return smooth_side(np.vstack([palm, side]))[::-1]


def cut_at(rising: Points, height: float) -> tuple[Points, Points]:
    """A rising line below and above a height."""
    s = arc_lengths(rising)
    at = float(np.interp(height, rising[:, 1], s))
    point = points_at(rising, [at])
    return np.vstack([rising[s < at - 1e-6], point]), np.vstack([point, rising[s > at + 1e-6]])


def _split_down(falling: Points, height: float) -> tuple[Points, Points]:
    lower, upper = cut_at(falling[::-1], height)
    return upper[::-1], lower[::-1]


def outer_edge(flat: FlatHand, ends: GloveEnds) -> Points:
    """The thumb's side of both halves before a hole is cut in it, rising from the cuff (n, 2)."""
    index, low = flat.fingers[0], float(ends.cuff_palm(np.zeros(1))[0])
    y = _knots(low, FLARE * float(flat.hand.webs[1]))
    palm = np.column_stack([flat.sides(y)[0], y])
    return smooth_side(
        np.vstack([palm, _finger_knots(index.side(-1.0, covered_length(index, ends.fingers)))])
    )
