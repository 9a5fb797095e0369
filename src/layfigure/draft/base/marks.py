"""Where the costume's edges and windows fall on the traced pieces of an owned pattern.

A traced piece tells by two or more level lines (``bust``, ``waist``, ``hip``, ``knee`` …) and one centre line
(``centre front`` or ``centre back``) how it lies on a body. Between level lines an edge is carried by its
share of the way, and round the body by its share of the sewn girth, as evenly stretched cloth carries it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon

from layfigure.body.levels import REGIONS, split_region
from layfigure.draft.base.fit import SizeFit, usual_reduction
from layfigure.draft.registry import DraftRequest
from layfigure.draft.traced import draft_traced
from layfigure.errors import DraftError
from layfigure.piece.piece import InnerLine, Piece
from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]

HALF_PIECE = 0.9
"""A piece with this share of its area on one side of its centre line is cut on the fold."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Lie:
    """How a traced piece lies on a body.

    levels : name to height on the paper [mm]. centre : x of the centre line [mm]. around : of that line on
    the body, 0 in front and 0.5 behind. half : 1 or -1 where the piece lies on that side alone, else 0.
    """

    levels: dict[str, float]
    centre: float
    around: float
    half: int


def marked_pieces(request: DraftRequest, fit: SizeFit, where: str) -> tuple[Piece, ...]:
    """The traced pieces with every edge and window that falls on them drawn as a placement line.

    Raises DraftError where there are edges to carry and no piece has level lines to carry them by.
    """
    pieces = draft_traced(request).pieces
    edges = request.placement.edges
    lies = [_lie(piece) for piece in pieces]
    if edges and not any(lies):
        raise DraftError(
            "the tracing has no lines that say how its pieces lie on a body.",
            where=where,
            advice="Draw lines named bust, waist, hip or knee, and one 'centre front' or 'centre back'.",
        )
    return tuple(
        piece if lie is None else replace(piece, lines=(*piece.lines, *_carried(piece, lie, request, fit)))
        for piece, lie in zip(pieces, lies, strict=True)
    )


def _lie(piece: Piece) -> _Lie | None:
    """Read from the piece's own lines; None without two levels and a centre line."""
    levels: dict[str, float] = {}
    centre: tuple[float, float] | None = None
    for line in piece.lines:
        name = line.label.lower().replace(" line", "").strip().replace(" ", "_")
        if line.kind == "centre":
            centre = float(line.curve[:, 0].mean()), 0.5 if "back" in name else 0.0
        elif name:
            levels[name] = float(line.curve[:, 1].mean())
    known = {name for region in ("torso", "thigh", "shank") for name in REGIONS[region].levels}
    levels = {name: height for name, height in levels.items() if name in known}
    if centre is None or len(levels) < 2:
        return None
    outline = Polygon(piece.stitch_line)
    low, high = -1e4, 1e4
    right = outline.intersection(shapely.box(centre[0], low, high, high)).area / outline.area
    half = 1 if right > HALF_PIECE else -1 if right < 1.0 - HALF_PIECE else 0
    return _Lie(levels=levels, centre=centre[0], around=centre[1], half=half)


def _carried(piece: Piece, lie: _Lie, request: DraftRequest, fit: SizeFit) -> list[InnerLine]:
    outline = Polygon(piece.stitch_line)
    found: list[InnerLine] = []
    for slug, placed in request.placement.edges.items():
        for run in _runs(placed, lie, request, fit):
            inside = shapely.intersection(LineString(run), outline)
            found.extend(
                InnerLine(kind="placement", curve=shapely.get_coordinates(part), label=slug.replace("_", " "))
                for part in shapely.get_parts(shapely.line_merge(inside))
                if part.geom_type == "LineString" and part.length > 2.0
            )
    return found


def _runs(placed: PlacedEdge, lie: _Lie, request: DraftRequest, fit: SizeFit) -> list[Points]:
    """An edge on the paper of one piece, (n, 2) each; nothing where its levels are not drawn there."""
    runs = []
    for curve in placed.curves:
        definition, _ = split_region(curve.region)
        at = [k for k, name in enumerate(definition.levels) if name in lie.levels]
        if len(at) < 2:
            continue
        heights = np.array([lie.levels[definition.levels[k]] for k in at])
        inside = (curve.station >= at[0]) & (curve.station <= at[-1])
        if inside.sum() < 2:
            continue
        station, around = curve.station[inside], curve.around[inside]
        y = np.interp(station, np.array(at, dtype=np.float64), heights)
        chart = request.form.charts[curve.region]
        girth = chart.girth(station) * (1.0 - usual_reduction(fit.pattern.design_stretch))
        off = np.mod(around - lie.around + 0.5, 1.0) - 0.5
        x = off * girth
        if lie.half:
            x = lie.half * np.abs(x)
        # A line that leaves the far side of the body comes back on the other edge: never join the two.
        breaks = np.flatnonzero(np.abs(np.diff(off)) > 0.5) + 1
        runs += [run for run in np.split(np.column_stack([lie.centre + x, y]), breaks) if len(run) > 1]
    return runs
