"""What closes a wrap: hook and loop in the overlap, holes to lace, or straps round the rest of the limb."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from shapely import Point, Polygon

from layfigure.draft.wrap.plan import WrapPlan
from layfigure.draft.wrap.surface import WrapSurface, inner_girths
from layfigure.geometry.polyline import points_at
from layfigure.piece.item import Item
from layfigure.piece.piece import InnerLine, Piece, PieceEdge, Window

Points = NDArray[np.float64]

HOLE = 5.0
HOLE_IN = 10.0
HOLE_SPACING = 25.0
"""Eyelets for lacing: across, from the edge to the middle, and from one to the next (common practice, no
source) [mm]."""
HOLE_ROOM = 2.0
"""Of sheet that stays round a hole at least [mm]."""
LACE_ENDS = 600.0
"""Of a lace, both ends together, to tie (common practice, no source) [mm]."""
STRAP_WIDTH = 25.0
"""Armour straps: 20 mm under half a kilogram, 25 to 40 above (common practice, no source)."""
STRAP_BEYOND = 220.0
"""Of a strap beyond the way it spans: 40 mm behind either edge of the plate, 60 round the buckle, 80 to draw
tight (common practice, no source) [mm]."""
STRAPS = 2


def lacing_holes(edges: Sequence[PieceEdge], windows: Sequence[Window]) -> list[InnerLine]:
    """Holes along both ends of a band, evenly from corner to corner, where the sheet has room for one."""
    outline = np.concatenate([edge.curve[:-1] for edge in edges])
    sheet = Polygon(outline, [window.curve for window in windows]).buffer(0.0)
    sheet = sheet.buffer(-0.5 * HOLE - HOLE_ROOM)
    angle = 2.0 * math.pi * np.arange(16) / 16
    ring = 0.5 * HOLE * np.column_stack([np.cos(angle), np.sin(angle)])
    holes: list[InnerLine] = []
    for edge in edges:
        if edge.slug not in ("left", "right"):
            continue
        count = max(2, 1 + round((edge.length - 2.0 * HOLE_IN) / HOLE_SPACING))
        places = points_at(edge.curve, np.linspace(HOLE_IN, edge.length - HOLE_IN, count))
        way = edge.curve[-1] - edge.curve[0]
        inward = np.array([-way[1], way[0]]) / np.linalg.norm(way)
        holes += [
            InnerLine(kind="placement", curve=place + ring, closed=True)
            for place in places + HOLE_IN * inward
            if sheet.covers(Point(place))
        ]
    return holes


def laced_through(piece: Piece) -> tuple[InnerLine, ...]:
    """The lacing holes of a band: no other line of it closes."""
    return tuple(line for line in piece.lines if line.closed)


def strap_spans(plan: WrapPlan, surface: WrapSurface) -> list[float]:
    """What a plate leaves of the girth at a third and two thirds of its height, for its straps [mm]."""
    low, high = float(surface.bottom[:, 2].mean()), float(surface.top[:, 2].mean())
    heights = np.linspace(low, high, STRAPS + 2)[1:-1]
    return [float(girth) for girth in (1.0 - plan.cover) * inner_girths(surface.fit, heights)]


def closing_items(
    plan: WrapPlan,
    *,
    ends: Sequence[float],
    apart: bool,
    lap: float,
    gap: float,
    holes: int,
    rest: Sequence[float],
) -> tuple[Item, ...]:
    """What to buy to close one wrap, for both sides where it is cut as a pair.

    ends : height of the closing end of every band [mm]. apart : bands are not joined to each other, so each
    closes by itself. lap : overlap, gap : of the lacing [mm]. holes : on both ends of all bands. rest : what
    a plate leaves of the limb's girth, where each strap runs [mm].
    """
    sides = 2 if plan.side == "both" else 1
    if plan.join == "overlap" and lap > 0.0:
        width = math.floor(lap)
        return tuple(
            Item(
                slug=f"hook_and_loop_{width}mm",
                name=f"hook and loop, {width} mm wide, both halves",
                count=sides,
                length=length,
                use=f"{plan.label}: over the whole overlap",
            )
            for length in (ends if apart else [sum(ends)])
        )
    if plan.join == "lacing":
        rows = holes // 2
        across = gap + 2.0 * HOLE_IN
        crossings = 2.0 * max(0, rows - 1) * math.hypot(across, HOLE_SPACING)
        return (
            Item(
                slug=f"eyelet_{HOLE:g}mm",
                name=f"two-part eyelet, {HOLE:g} mm inside",
                count=holes * sides,
                use=f"{plan.label}: in the lacing holes of both ends",
            ),
            Item(
                slug="lace",
                name="lace or flat cord",
                count=sides,
                length=across + crossings + LACE_ENDS,
                use=f"{plan.label}: crosswise through {rows} pairs of holes",
            ),
        )
    if plan.join == "open":
        where = f"{plan.label}: at a third and two thirds of its height"
        straps = tuple(
            Item(
                slug=f"strap_{STRAP_WIDTH:.0f}mm",
                name=f"strap or webbing, {STRAP_WIDTH:.0f} mm wide",
                count=sides,
                length=span + STRAP_BEYOND,
                use=where,
            )
            for span in rest
        )
        buckle = Item(
            slug=f"buckle_{STRAP_WIDTH:.0f}mm",
            name=f"buckle, {STRAP_WIDTH:.0f} mm between its sides",
            count=len(rest) * sides,
            use=where,
        )
        return (*straps, buckle)
    return ()
