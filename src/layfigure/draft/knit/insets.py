"""How the edge of a window is finished: folded back with slits at its corners, or filled with a set-in piece.

Common practice, no source: edges fold back 10 mm, are slit to the corners and clipped where they curve in; a
set-in piece has the same edge as the window it fills, both at rest.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
import shapely.ops
from numpy.typing import NDArray

from layfigure.draft.registry import Check
from layfigure.draft.window.window_mesh import corners_of
from layfigure.errors import DraftError
from layfigure.geometry.polyline import arc_lengths, points_at
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Grainline, InnerLine, Piece, PieceEdge, Total, Window

Points = NDArray[np.float64]

FOLD_BACK = 10.0
"""Cloth turned to the wrong side round a window [mm]; common practice."""
LEAST_FOLD = 5.0
TICK = 4.0
"""Half the length of a mark across a window's edge that a set-in piece is matched by [mm]."""


def folded_back(window: Window, where: str) -> tuple[Window, tuple[InnerLine, ...]]:
    """A window cut smaller, with the line its edge folds on and slits from the cut to every corner.

    Raises DraftError for a window too narrow to fold.
    """
    shape = shapely.Polygon(window.curve)
    for fold in (FOLD_BACK, 0.5 * (FOLD_BACK + LEAST_FOLD), LEAST_FOLD):
        hole = shape.buffer(-fold, join_style="mitre", mitre_limit=2.0)
        if hole.geom_type == "Polygon" and not hole.is_empty:
            break
    else:
        raise DraftError(
            f"the window is too narrow for its edge to be folded back {LEAST_FOLD:.0f} mm.",
            where=where,
            advice='Widen it, or write window_edge = "raw".',
        )
    words = window.slug.replace("_", " ")
    lines = [InnerLine(kind="fold", curve=window.curve, label=f"{words}: fold back", closed=True)]
    for corner in corners_of(window.curve):
        tip = window.curve[corner]
        inner = shapely.ops.nearest_points(hole.exterior, shapely.Point(tip))[0]
        lines.append(InnerLine(kind="slit", curve=np.array([tip, [inner.x, inner.y]])))
    return replace(window, curve=_ring(hole)), tuple(lines)


def set_in(
    piece: Piece, window: Window, cloth: Cloth, allowance: float, slug: str
) -> tuple[Window, tuple[InnerLine, ...], Piece]:
    """A window cut inside its seam, marks round it, and the piece that is sewn into it.

    allowance : of the seam round it [mm]. Raises DraftError for a window too narrow for its seam.
    """
    shape = shapely.Polygon(window.curve)
    hole = shape.buffer(-allowance, join_style="mitre", mitre_limit=2.0)
    if hole.geom_type != "Polygon" or hole.is_empty:
        raise DraftError(
            "the window is too narrow for a seam round it.",
            where=f"window {window.slug}",
            advice='Widen it, or write backing_as = "panel".',
        )
    ring = _ring(shape)
    left, right = int(ring[:, 0].argmin()), int(ring[:, 0].argmax())
    turned = np.roll(ring, -left, axis=0)
    split = (right - left) % len(ring)
    lower, upper = turned[: split + 1], np.vstack([turned[split:], turned[:1]])
    words = window.slug.replace("_", " ")
    edges = tuple(
        PieceEdge(slug=name, curve=curve, role="seam", allowance=allowance)
        for name, curve in (("lower", lower), ("upper", upper))
    )
    middle = shape.representative_point()
    reach = 0.3 * (shape.bounds[2] - shape.bounds[0])
    inset = replace(
        piece,
        slug=slug,
        label=f"{piece.label}: set in {words}",
        cloth=cloth.slug,
        edges=edges,
        grainline=Grainline(
            start=(middle.x - reach, middle.y), end=(middle.x + reach, middle.y), kind="stretch"
        ),
        totals=(
            *(Total(what=f"{edge.slug} edge, along the stitch line", length=edge.length) for edge in edges),
            Total(what="right round the stitch line", length=sum(edge.length for edge in edges)),
        ),
        windows=(),
        lines=_ticks(ring),
        note=(
            f"Sew it into window {words} along the stitch line, marks meeting; both edges are equally long.",
            "Clip the panel's allowance to its corners first; zigzag or overlock.",
        ),
    )
    stitched = InnerLine(kind="stitch", curve=window.curve, label=f"{words}: stitch line", closed=True)
    return replace(window, curve=_ring(hole), backing=slug), (stitched, *_ticks(ring)), inset


def stretch_check(cloth: Cloth, inset: Cloth) -> Check:
    """A set-in cloth gives at least as much as the cloth around it, both ways (common practice)."""
    short = max(cloth.stretch_across - inset.stretch_across, cloth.stretch_along - inset.stretch_along)
    passed = short <= 0.0
    return Check(
        what="what is set in stretches as far as the cloth around it"
        if passed
        else "what is set in stretches less than the cloth around it, and will hold the window in",
        value=max(short, 0.0),
        limit=0.0,
        passed=passed,
        advice="" if passed else "Take a mesh that stretches more, both ways, or make the window smaller.",
    )


def _ticks(ring: Points) -> tuple[InnerLine, ...]:
    """Four short marks across an outline, at its ends across and halfway between, numbered."""
    left, right = int(ring[:, 0].argmin()), int(ring[:, 0].argmax())
    at = arc_lengths(ring, closed=True)
    whole = float(at[-1])
    first, second = sorted((float(at[left]), float(at[right])))
    places = [first, 0.5 * (first + second), second, (0.5 * (first + second + whole)) % whole]
    marks = []
    for number, place in enumerate(places, start=1):
        on, before, after = points_at(ring, [place, place - 2.0, place + 2.0], closed=True)
        along = (after - before) / np.linalg.norm(after - before)
        across = TICK * np.array([-along[1], along[0]])
        marks.append(
            InnerLine(kind="placement", curve=np.array([on - across, on + across]), label=str(number))
        )
    return tuple(marks)


def _ring(shape: shapely.Polygon) -> Points:
    """A polygon's outline, counter-clockwise, first point not repeated."""
    return np.asarray(shapely.geometry.polygon.orient(shape).exterior.coords)[:-1]
