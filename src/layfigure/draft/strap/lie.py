"""Where places on the body lie on a flat strap: as far along it, and as far to either side of its middle."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.belt.strap import offset_curve
from layfigure.draft.strap.pieces import StrapPart
from layfigure.draft.strap.route import StrapRun
from layfigure.draft.window.sheet import REACH, Carry, Kept, Sheet, unrolled
from layfigure.geometry.polyline import arc_lengths, length, points_at
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]

NEAR_END = 20.0
"""So far past its end a part of a strap still tells where a place would lie [mm]."""
TOLD = "A place on the body is carried as far along the strap, and as far to either side of its middle line."


def strap_sheet(run: StrapRun, part: StrapPart, piece: Piece, width: float) -> Sheet:
    """One part of a strap as windows see it."""
    return Sheet(
        slug=piece.slug,
        edges=piece.edges,
        carry=strap_carry(run, part),
        kept=(*_lapped(part, width), *_holes(piece)),
        told=TOLD,
    )


def strap_carry(run: StrapRun, part: StrapPart) -> Carry:
    """Places near a run to a flat part of it, the outside up."""
    start, ways = run.points[:-1], np.diff(run.points, axis=0)
    along = arc_lengths(run.points)
    # Chords of a line round the body are a little shorter than it is.
    longer = run.length / along[-1]
    middle, whole = part.middle, length(part.middle)

    def carry(places: Points) -> tuple[Points, Points]:
        share = ((places[:, None] - start) * ways).sum(axis=2) / np.maximum((ways**2).sum(axis=1), 1e-12)
        foot = start + np.clip(share, 0.0, 1.0)[..., None] * ways
        off = np.linalg.norm(places[:, None] - foot, axis=2)
        k, rows = off.argmin(axis=1), np.arange(len(places))
        share = np.clip(share[rows, k], 0.0, 1.0)
        out = (1.0 - share)[:, None] * run.outward[k] + share[:, None] * run.outward[k + 1]
        left = np.cross(out, ways[k])
        left /= np.maximum(np.linalg.norm(left, axis=1, keepdims=True), 1e-12)
        aside = ((places - foot[rows, k]) * left).sum(axis=1)
        x = longer * (along[k] + share * (along[k + 1] - along[k])) - part.start
        if run.loop:
            x = unrolled(x, run.length, 0.5 * run.length)
        before, at, after = (points_at(middle, x + step) for step in (-0.5, 0.0, 0.5))
        way = after - before
        way /= np.linalg.norm(way, axis=1, keepdims=True)
        past = x - np.clip(x, 0.0, whole)
        flat = at + past[:, None] * way + aside[:, None] * np.column_stack([-way[:, 1], way[:, 0]])
        return flat, np.where((off[rows, k] > REACH) | (np.abs(past) > NEAR_END), np.inf, 0.0)

    return carry


def _lapped(part: StrapPart, width: float) -> list[Kept]:
    """Where the strap lies double when it is closed."""
    found = []
    for start, end in part.lapped:
        run = _stretch(part.drawn, start, end)
        ring = np.vstack([offset_curve(run, -0.5 * width), offset_curve(run, 0.5 * width)[::-1]])
        found.append(Kept(what="the part where it closes and lies double", curve=ring, closed=True))
    return found


def _stretch(curve: Points, start: float, end: float) -> Points:
    """Part of a line between two distances along it, (n, 2)."""
    along = arc_lengths(curve)
    inner = curve[(along > start + 1e-6) & (along < end - 1e-6)]
    stretch: Points = np.vstack([points_at(curve, [start]), inner, points_at(curve, [end])])
    return stretch


def _holes(piece: Piece) -> list[Kept]:
    """Holes, slots and snaps."""
    return [
        Kept(what="a hole, a slot or a snap", curve=line.curve, closed=line.closed)
        for line in piece.lines
        if line.closed or line.kind == "slit"
    ]
