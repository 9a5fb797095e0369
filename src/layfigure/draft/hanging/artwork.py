"""Artwork on a hanging piece: placed, checked against its edges, and drawn full size for transfer."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon

from layfigure.draft.flat_edges import grain, inner, rectangle
from layfigure.draft.hanging.options import ArtworkOptions
from layfigure.draft.registry import Check
from layfigure.errors import DraftError
from layfigure.files.drawn_path import DrawnPath
from layfigure.files.svg_paths import path_data
from layfigure.geometry.symmetric_artwork import Stroke, motif_for, reach, scaled, symmetric
from layfigure.piece.piece import InnerLine, Piece, PieceEdge, Total, Verdict

Points = NDArray[np.float64]

CLEAR = 8.0
"""Artwork keeps so far from an edge [mm] (common practice, no source)."""
MARGIN = 20.0
USUAL_SIZE = 0.7
PAPER = "tracing_paper"
CENTRE = "centre"
"""Name of the line in a drawing that marks what a motif is turned about."""


def artwork(
    options: ArtworkOptions,
    width: float,
    centre: tuple[float, float],
    drawn: Sequence[DrawnPath],
    where: str,
) -> tuple[Stroke, ...]:
    """The whole artwork in the coordinates of the piece it lies on.

    width : of the piece at its top, which decides an unsaid size [mm]. drawn : what a file holds, for a motif
    not given otherwise. Raises DraftError for a motif that is missing or has no extent, FileError for bad
    path data.
    """
    if options.traced:
        motif = _traced_motif(options, drawn, where)
    elif options.path is not None:
        motif = tuple(Stroke(points=p.points, closed=p.closed) for p in path_data(options.path, where=where))
    elif options.points is not None:
        motif = (Stroke(points=np.asarray(options.points, dtype=np.float64), closed=not options.open),)
    else:
        assert options.motif is not None
        motif = motif_for(options.motif, options.order)
    whole = symmetric(motif, options.order, mirror=options.mirror)
    extent = reach(whole)
    if extent <= 0.0:
        raise DraftError("the motif has no extent.", where=where, advice="Draw it about the origin.")
    size = options.size or USUAL_SIZE * width
    angle = np.radians(options.turn)
    turned = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    whole = tuple(Stroke(points=stroke.points @ turned, closed=stroke.closed) for stroke in whole)
    return scaled(whole, 0.5 * size / extent, centre)


def _traced_motif(options: ArtworkOptions, drawn: Sequence[DrawnPath], where: str) -> tuple[Stroke, ...]:
    """A motif from a drawing, about the place it is turned about: a line called ``centre``, or its middle."""
    lines = [path for path in drawn if path.name.lower() != CENTRE]
    marks = [path for path in drawn if path.name.lower() == CENTRE]
    if not lines:
        raise DraftError(
            "nothing says what the artwork is.",
            where=where,
            advice="Give motif, path or points, or a drawing with trace.file.",
        )
    if options.order > 1 and not marks:
        raise DraftError(
            "nothing in the drawing says where the motif is turned about.",
            where=where,
            advice="Draw a small cross or circle there and name it centre.",
        )
    places = np.concatenate([path.points for path in marks or lines])
    about = 0.5 * (places.min(axis=0) + places.max(axis=0))
    return tuple(Stroke(points=path.points - about, closed=path.closed) for path in lines)


def inside_check(strokes: tuple[Stroke, ...], outline: Points) -> Check:
    """How far the artwork keeps from the edge it comes nearest to; negative where it crosses it."""
    area = Polygon(outline)
    lines = shapely.union_all([LineString(_round(stroke)) for stroke in strokes])
    edge = area.exterior
    # Prepared, it looks distances up in a tree of its sides.
    shapely.prepare(edge)
    away = float(shapely.distance(edge, lines))
    inside = bool(shapely.contains(area, lines))
    value = away if inside else -float(shapely.length(shapely.difference(lines, area)))
    passed = inside and away >= CLEAR
    return Check(
        what="how far the artwork keeps from the edge",
        unit="mm",
        value=value,
        limit=CLEAR,
        passed=passed,
        advice="" if passed else "Make it smaller, or move its centre (size, down).",
    )


def placing_lines(strokes: tuple[Stroke, ...], centre: tuple[float, float], half: float) -> list[InnerLine]:
    """The artwork's outline and its cross, as drawn on the piece."""
    x, y = centre
    lines = [
        inner("placement", (x - half, y), (x + half, y), "artwork: level"),
        inner("placement", (x, y - half), (x, y + half), "artwork: upright"),
    ]
    lines += [InnerLine(kind="placement", curve=s.points, closed=s.closed) for s in strokes]
    return lines


def transfer_drawing(
    options: ArtworkOptions,
    strokes: tuple[Stroke, ...],
    centre: tuple[float, float],
    base: Piece,
    note: tuple[str, ...],
) -> Piece:
    """The full-size drawing on a sheet of its own, its cross to be laid on the cross of the piece."""
    places = np.concatenate([stroke.points for stroke in strokes]) - np.asarray(centre)
    half = float(np.abs(places).max())
    side = 2.0 * (half + MARGIN)
    moved = scaled(strokes, 1.0, (half + MARGIN - centre[0], half + MARGIN - centre[1]))
    middle = half + MARGIN
    each = len(strokes) // options.order
    told = _symmetry(options)
    lines = [
        inner("balance", (0.0, middle), (side, middle), "level"),
        inner("balance", (middle, 0.0), (middle, side), "upright"),
    ]
    for number, stroke in enumerate(moved):
        first = options.order > 1 and number < each
        lines.append(
            InnerLine(
                kind="centre" if first else "placement",
                curve=stroke.points,
                label="the motif" if first and number == 0 else "",
                closed=stroke.closed,
            )
        )
    return Piece(
        slug=f"{base.slug}_artwork",
        label=f"{base.label}, transfer drawing",
        kind=base.kind,
        cloth=PAPER,
        edges=_sheet(side),
        grainline=grain((0.25 * MARGIN, 0.3 * side), (0.25 * MARGIN, 0.7 * side), has_grain=False),
        totals=(
            Total(what="one side of the sheet", length=side),
            Total(what="artwork, greatest width", length=float(np.ptp(places[:, 0]))),
            Total(what="artwork, greatest height", length=float(np.ptp(places[:, 1]))),
        ),
        # A drawing is not cut from the wearer's measures: nothing about it can be guessed.
        verdict=Verdict(level="good material"),
        lines=tuple(lines),
        note=(told, "Lay its cross on the cross drawn on the piece.", *note),
        layer=base.layer,
        edition=base.edition,
    )


def _sheet(side: float) -> tuple[PieceEdge, ...]:
    free = ("opening", 0.0)
    return rectangle(side, side, bottom=free, right=free, top=free, left=free)  # type: ignore[arg-type]


def _symmetry(options: ArtworkOptions) -> str:
    if options.order == 1:
        return "Left and right are mirror images." if options.mirror else "One motif, as drawn."
    turn = 360.0 / options.order
    mirrored = ", each with its mirror image" if options.mirror else ""
    return f"One motif turned {options.order} times by {turn:g} degrees about the cross{mirrored}."


def _round(stroke: Stroke) -> Points:
    """The stroke with its first point repeated where it is closed."""
    return np.vstack([stroke.points, stroke.points[:1]]) if stroke.closed else stroke.points
