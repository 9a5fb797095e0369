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

from layfigure.body.levels import split_region
from layfigure.draft.base.alter import Alteration, alteration_of
from layfigure.draft.base.altered_lines import alteration_lines
from layfigure.draft.base.fit import SizeFit, usual_reduction
from layfigure.draft.base.lie import Lie, lie_of
from layfigure.draft.registry import DraftRequest
from layfigure.draft.traced import draft_traced
from layfigure.errors import DraftError
from layfigure.piece.piece import InnerLine, Piece
from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MarkedPieces:
    """pieces : traced, with everything drawn on them. alterations : of those that say how they lie."""

    pieces: tuple[Piece, ...]
    alterations: tuple[Alteration, ...]


def marked_pieces(request: DraftRequest, fit: SizeFit, where: str) -> MarkedPieces:
    """The traced pieces with every alteration, edge and window that falls on them drawn.

    Raises DraftError where there are edges to carry and no piece has level lines to carry them by.
    """
    pieces = draft_traced(request).pieces
    edges = request.placement.edges
    lies = [lie_of(piece) for piece in pieces]
    if edges and not any(lies):
        raise DraftError(
            "the tracing has no lines that say how its pieces lie on a body.",
            where=where,
            advice="Draw lines named bust, waist, hip or knee, and one 'centre front' or 'centre back'; on a "
            "sleeve shoulder point, elbow and wrist, and 'centre sleeve'; on trousers 'centre leg' too.",
        )
    drawn, alterations = [], []
    for piece, lie in zip(pieces, lies, strict=True):
        if lie is None:
            drawn.append(piece)
            continue
        alteration = alteration_of(lie, fit.changes, fit.pattern.seams_round)
        alterations.append(alteration)
        own = (*alteration_lines(alteration), *_carried(piece, lie, request, fit))
        drawn.append(replace(piece, lines=(*piece.lines, *own)))
    return MarkedPieces(pieces=tuple(drawn), alterations=tuple(alterations))


def _carried(piece: Piece, lie: Lie, request: DraftRequest, fit: SizeFit) -> list[InnerLine]:
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


def _runs(placed: PlacedEdge, lie: Lie, request: DraftRequest, fit: SizeFit) -> list[Points]:
    """An edge on the paper of one piece, (n, 2) each; nothing where its levels are not drawn there."""
    runs = []
    for curve in placed.curves:
        definition, _ = split_region(curve.region)
        on_leg = lie.leg is not None and definition.name in ("thigh", "shank")
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
        if on_leg:
            # The outside of either leg is a quarter of the way round, and lies where the trunk has its side.
            x = (lie.half if lie.around == 0.0 else -lie.half) * x
        elif lie.half:
            x = lie.half * np.abs(x)
        centre = lie.leg if on_leg and lie.leg is not None else lie.centre
        # A line that leaves the far side of the body comes back on the other edge: never join the two.
        breaks = np.flatnonzero(np.abs(np.diff(off)) > 0.5) + 1
        runs += [run for run in np.split(np.column_stack([centre + x, y]), breaks) if len(run) > 1]
    return runs
