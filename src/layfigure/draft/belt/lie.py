"""Where places on the body lie on a belt: at their share of the way round, as far off the middle line."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.draft.belt.line import BeltLine
from layfigure.draft.belt.strap import girth_to, offset_curve
from layfigure.draft.round_edge import WrapEdge
from layfigure.draft.window.sheet import REACH, Carry, Kept, Sheet, unrolled
from layfigure.geometry.polyline import arc_lengths, points_at
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]

TOLD = (
    "A place on the body is carried to its share of the way round, and as far above or below the middle line."
)


def belt_sheet(
    strap: Piece, line: BeltLine, edge: WrapEdge, chart: RegionChart, *, width: float, opens: float
) -> Sheet:
    """The strap as windows see it: where places lie on it, and what of it stays whole.

    width : of the strap [mm]. opens : way round at which it starts.
    """
    return Sheet(
        slug=strap.slug,
        edges=strap.edges,
        carry=belt_carry(line, edge, chart, opens),
        kept=(lapped_part(line, width), *_buckle_holes(strap)),
        told=TOLD,
    )


def belt_carry(line: BeltLine, edge: WrapEdge, chart: RegionChart, opens: float) -> Carry:
    """Places near the belt's line to the flat strap. opens : way round at which it starts."""
    round_once = _from_opening(edge, chart, opens)
    along = arc_lengths(round_once)
    start, end = round_once[:-1], round_once[1:]

    def carry(places: Points) -> tuple[Points, Points]:
        ways = end - start
        share = ((places[:, None] - start) * ways).sum(axis=2) / (ways**2).sum(axis=1)
        foot = start + np.clip(share, 0.0, 1.0)[..., None] * ways
        off = np.linalg.norm(places[:, None] - foot, axis=2)
        k = off.argmin(axis=1)
        rows = np.arange(len(places))
        at = foot[rows, k]
        x = (
            line.girth
            * (along[k] + np.clip(share[rows, k], 0.0, 1.0) * (along[k + 1] - along[k]))
            / along[-1]
        )
        x = unrolled(x, line.girth, 0.5 * line.girth)
        outward = at - round_once.mean(axis=0)
        up = np.cross(outward, ways[k])
        up /= np.linalg.norm(up, axis=1, keepdims=True)
        y = np.copysign(off[rows, k], ((places - at) * up).sum(axis=1))
        before, there, after = (points_at(line.curve, x + d) for d in (-0.5, 0.0, 0.5))
        way = after - before
        way /= np.linalg.norm(way, axis=1, keepdims=True)
        flat = there + y[:, None] * np.column_stack([-way[:, 1], way[:, 0]])
        return flat, np.where(off[rows, k] > REACH, np.inf, 0.0)

    return carry


def _from_opening(edge: WrapEdge, chart: RegionChart, opens: float) -> Points:
    """The line on the body from where the belt opens, right round, toward the right as seen from outside."""
    order = int(np.abs(np.mod(edge.around - opens + 0.5, 1.0) - 0.5).argmin())
    station, around = edge.station[:-1], edge.around[:-1]
    order = order % len(station)
    places = chart.points(np.roll(station, -order), np.roll(around, -order))
    ring = np.vstack([places, places[:1]])
    middle = ring.mean(axis=0)
    up = chart.sections[0].mean(axis=0) - chart.sections[-1].mean(axis=0)
    turned = float((np.cross(ring[:-1] - middle, ring[1:] - middle) @ up).sum())
    return ring if turned > 0.0 else ring[::-1]


def lapped_part(line: BeltLine, width: float) -> Kept:
    """The part of a belt where it lies double when it is closed."""
    whole = float(arc_lengths(line.curve)[-1])
    part = girth_to(line.curve, whole - line.girth)
    half = 0.5 * width
    ring = np.vstack([offset_curve(part, -half), offset_curve(part, half)[::-1]])
    return Kept(what="the part where it closes and lies double", curve=ring, closed=True)


def _buckle_holes(strap: Piece) -> tuple[Kept, ...]:
    """Holes for the buckle and the slot for its prong."""
    return tuple(
        Kept(what="a hole of the buckle", curve=line.curve, closed=line.closed)
        for line in strap.lines
        if line.closed or line.kind == "slit"
    )
