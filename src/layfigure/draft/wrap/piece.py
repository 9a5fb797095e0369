"""One band of a wrap as a piece to cut: outline, notches, lines, totals."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from layfigure.draft.wrap.outline import (
    FlatLine,
    Trace,
    lay_flat,
    level_line,
    shortened,
    straight,
    stretch_of,
)
from layfigure.geometry.developable import Band, FlatBand, isometry_error, unroll
from layfigure.geometry.polyline import arc_lengths, length
from layfigure.piece.piece import EdgeRole, Grainline, InnerLine, Notch, PieceEdge, Total

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeUse:
    """How one side of a band is finished: role, allowance [mm], and the seam it shares if any."""

    role: EdgeRole
    allowance: float = 0.0
    seam: str | None = None


@dataclass(frozen=True, kw_only=True, eq=False)
class BandOutline:
    """A band between two lines, laid flat from ruling ``first`` over a number of trapezoids.

    centre : ruling of the centre line, upright on the paper.
    bottom, top : traces on the band, None for the band's own low or high section.
    gap : length left open where the ends come together [mm].
    """

    band: Band
    first: int
    trapezoids: int
    centre: float
    bottom: Trace | None
    top: Trace | None
    gap: float = 0.0

    @cached_property
    def flat(self) -> FlatBand:
        """The whole stretch laid flat, the centre line upright."""
        return unroll(self.band, self.first, self.trapezoids).turned(self.centre)

    @cached_property
    def traces(self) -> tuple[Trace, Trace]:
        """Bottom and top on the band over the stretch. ValueError when an open line is too short."""
        low, high = (
            level_line(self.first, self.trapezoids, share)
            if drawn is None
            else stretch_of(drawn, self.first, self.trapezoids, self.band.count)
            for drawn, share in ((self.bottom, 0.0), (self.top, 1.0))
        )
        return low, high

    def lines(self) -> tuple[FlatLine, FlatLine]:
        """Bottom and top on the flat band, left to right. ValueError when an open line is too short."""
        result = []
        for drawn, part in zip((self.bottom, self.top), self.traces, strict=True):
            line = shortened(lay_flat(part, self.flat), 0.5 * self.gap, 0.5 * self.gap)
            # Lines between bands stay as they are: both mates have the same one.
            result.append((line if drawn is None else line.fair()).dense())
        return result[0], result[1]

    def across(self, height: float) -> Points | None:
        """The level line at a height on the flat band, between the ends; None outside the band."""
        share = float(self.band.share(height))
        if not 0.0 < share < 1.0:
            return None
        level = lay_flat(level_line(self.first, self.trapezoids, share), self.flat)
        return shortened(level, 0.5 * self.gap, 0.5 * self.gap).curve

    def stretch_error(self) -> float:
        """Largest change of a length by laying flat [mm]."""
        return isometry_error(self.band, self.flat)


def outline_edges(bottom: FlatLine, top: FlatLine, *, uses: dict[str, EdgeUse]) -> tuple[PieceEdge, ...]:
    """Edges counter-clockwise: bottom, right end, top, left end; lines with points are cut there.

    uses : for bottom, right, top and left. Seams get notches that meet those of their mates: their places
    are measured from the left on both bands.
    """
    right = straight(bottom.curve[-1], top.curve[-1])
    left = straight(top.curve[0], bottom.curve[0])
    sides: list[tuple[str, list[Points]]] = [
        ("bottom", bottom.parts()),
        ("right", [right]),
        ("top", [part[::-1] for part in reversed(top.parts())]),
        ("left", [left]),
    ]
    edges = []
    for side, parts in sides:
        use = uses[side]
        for number, part in enumerate(parts, start=1):
            against = side in ("top", "left")
            edges.append(
                PieceEdge(
                    slug=side if len(parts) == 1 else f"{side}_{number}",
                    curve=part,
                    role=use.role,
                    allowance=use.allowance,
                    seam=use.seam,
                    against=use.seam is not None and against,
                    notches=_notches(part, side, against=against) if use.seam is not None else (),
                )
            )
    return tuple(edges)


def _notches(curve: Points, side: str, *, against: bool) -> tuple[Notch, ...]:
    whole = length(curve)
    shares = {"left": 0.25, "middle": 0.5, "right": 0.75} if side in ("bottom", "top") else {"closing": 0.5}
    notches = [
        Notch(
            name=name,
            distance=whole * (1.0 - share if against else share),
            count=2 if name == "middle" else 1,
        )
        for name, share in shares.items()
    ]
    return tuple(sorted(notches, key=lambda notch: notch.distance))


def centre_line(bottom: FlatLine, top: FlatLine, label: str) -> InnerLine:
    """The upright through the origin, from the bottom line to the top line."""
    ends = []
    for line in (bottom, top):
        order = np.argsort(line.curve[:, 0], kind="stable")
        ends.append([0.0, float(np.interp(0.0, line.curve[order, 0], line.curve[order, 1]))])
    return InnerLine(kind="centre", curve=straight(np.array(ends[0]), np.array(ends[1])), label=label)


def within(line: Points, bottom: FlatLine, top: FlatLine) -> Points | None:
    """The part of a level line that lies on the piece, if it is one stretch; else None."""
    between = np.ones(len(line), dtype=np.bool_)
    for edge, sign in ((bottom, 1.0), (top, -1.0)):
        order = np.argsort(edge.curve[:, 0], kind="stable")
        limit = np.interp(line[:, 0], edge.curve[order, 0], edge.curve[order, 1])
        between &= sign * (line[:, 1] - limit) > 1.0
    inside = np.flatnonzero(between)
    if len(inside) < 3 or np.any(np.diff(inside) > 1):
        return None
    part: Points = line[inside]
    return part


def totals(bottom: FlatLine, top: FlatLine, centre: InnerLine) -> tuple[Total, ...]:
    """Three lengths a tape can check on the printed paper, all along stitch lines."""
    return (
        Total(what="bottom edge, end to end along the line", length=length(bottom.curve)),
        Total(what="top edge, end to end along the line", length=length(top.curve)),
        Total(what="centre line, bottom to top", length=length(centre.curve)),
    )


GRAIN_PLACES: tuple[float, ...] = (0.18, -0.18, 0.1, -0.1, 0.28, -0.28, 0.05, -0.05)
"""Where the arrow may stand, from the centre line, as shares of the piece's width: the first with room."""

GRAIN_ROOM = 40.0
"""Height of the piece that an arrow asks for [mm]; where nothing has it, it stands where there is most."""


def grain(bottom: FlatLine, top: FlatLine, kind: str) -> Grainline:
    """The arrow, beside the centre line and half as long as the piece is high there.

    Leather has its spine upright.
    """
    outline = Polygon(np.concatenate([bottom.curve, top.curve[::-1]])).buffer(0.0)
    low, high = outline.bounds[1], outline.bounds[3]
    width = float(np.ptp(bottom.curve[:, 0]))
    x, foot, head = _roomy((x, *_column(outline, x, low, high)) for x in (s * width for s in GRAIN_PLACES))
    quarter = 0.25 * (head - foot)
    return Grainline(
        start=(x, foot + quarter), end=(x, head - quarter), kind="grain" if kind == "leather" else "any"
    )


def _roomy(columns: Iterator[tuple[float, float, float]]) -> tuple[float, float, float]:
    """The first place, foot and head with room for the arrow, or those with the most."""
    tried = []
    for column in columns:
        if column[2] - column[1] >= GRAIN_ROOM:
            return column
        tried.append(column)
    return max(tried, key=lambda column: column[2] - column[1])


def _column(outline: BaseGeometry, x: float, low: float, high: float) -> tuple[float, float]:
    """Foot and head of the longest upright stretch of the piece at x [mm]; of no height outside it."""
    crossed = outline.intersection(LineString([(x, low - 1.0), (x, high + 1.0)]))
    stretches = [part.bounds for part in getattr(crossed, "geoms", [crossed]) if not part.is_empty]
    if not stretches:
        return low, low
    longest = max(stretches, key=lambda bounds: bounds[3] - bounds[1])
    return float(longest[1]), float(longest[3])


def mates_differ(first: PieceEdge, second: PieceEdge) -> float:
    """Largest difference between two mates in the places of their notches and ends [mm]."""
    return _interval_difference(_marks(first), _marks(second))


def _marks(edge: PieceEdge) -> dict[str, float]:
    whole = float(arc_lengths(edge.curve)[-1])
    return {"end": whole} | {
        notch.name: whole - notch.distance if edge.against else notch.distance for notch in edge.notches
    }


def _interval_difference(first: dict[str, float], second: dict[str, float]) -> float:
    if first.keys() != second.keys():
        return float("inf")
    return max(abs(first[name] - second[name]) for name in first)
