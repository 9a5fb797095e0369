"""How the edge of a window is finished: raw, folded back, faced, bound, or with a bevel.

Common practice, no source: edges fold back 10 mm, are slit to the corners and clipped where they curve in; a
facing is sewn on the line, cut open 6 mm inside it and slit to the corners; a bias strip of 40 mm binds an
edge that has no sharp corner.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
import shapely.ops
from numpy.typing import NDArray

from layfigure.draft.window.outlines import ring_of
from layfigure.draft.window.practice import Finish
from layfigure.draft.window.window_mesh import corners_of
from layfigure.errors import DraftError
from layfigure.geometry.corners import cut_at_corners
from layfigure.geometry.polyline import length
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Grainline, InnerLine, Piece, PieceEdge, Total, Window

Points = NDArray[np.float64]

FOLD_BACK = 10.0
"""Cloth turned to the wrong side round a window [mm]; common practice."""
LEAST_FOLD = 5.0
FACED = 6.0
"""Left inside the stitch line of a facing [mm]; common practice."""
FACING = 35.0
"""How far a facing reaches beyond the window's edge [mm]; common practice, 30 to 50."""
BIAS_STRIP, BIAS_LAP = 40.0, 15.0
"""Width of a bias strip, four times what shows, and what its ends turn in [mm]; common practice."""
LEAST_CUT = 3.0
"""What is cut open within a facing's stitches is as wide as this at least [mm]."""
BOUND_CORNER = 6.0
"""A bias strip goes round no tighter corner than this [mm]; common practice."""
LEAST_BEVELLED = 2.0
"""A thinner sheet shows no bevel [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Finished:
    """A window as it is cut, what is drawn round it, and how it is made, in words.

    taken : all that its edge takes of the piece, a bevel counted in.
    """

    window: Window
    lines: tuple[InnerLine, ...]
    words: str
    taken: shapely.Polygon


def finished(window: Window, finish: Finish, cloth: Cloth, corner: float) -> Finished:
    """A window with its edge finished. corner : least radius of its corners [mm].

    Raises DraftError for one that is too narrow for its finish.
    """
    where = f"window {window.slug}"
    name = window.slug.replace("_", " ")
    if finish == "bound":
        corner = max(corner, BOUND_CORNER)
    curve = rounded(window.curve, corner, where)
    blunt = ""
    if curve is not window.curve:
        blunt = f" Its corners are rounded to {corner:g} mm: a sharp one tears on."
        if finish == "bound":
            blunt = f" Its corners are rounded to {corner:g} mm, so that a binding goes round them."
        window = replace(window, curve=curve, worn=None if window.worn is None else curve)
    shape = shapely.Polygon(window.curve)
    if finish == "folded":
        cut, lines = folded_back(window, where)
        words = (
            "cut the inner line, slit to each corner, clip where the edge curves in; fold back on the fold "
            "line and stitch or glue it down."
        )
        return Finished(window=cut, lines=lines, words=words + blunt, taken=shape)
    if finish == "faced":
        hole = _inside(shape, FACED, "faced", where)
        lines = (
            InnerLine(kind="stitch", curve=window.curve, label=f"{name}: stitch line", closed=True),
            *_slits(window.curve, hole),
        )
        words = (
            "lay the facing on, outside to outside, and sew along the stitch line with short stitches; cut "
            "open on the inner line, slit to each corner and clip where the edge curves in, up to the "
            "stitching; turn the facing through, roll the seam to the inside, press and understitch."
        )
        return Finished(window=replace(window, curve=ring_of(hole)), lines=lines, words=words, taken=shape)
    if finish == "bound":
        strip = length(window.curve, closed=True) + 2.0 * BIAS_LAP
        words = (
            f"cut on the line; bind the edge with a bias strip {BIAS_STRIP:g} mm wide and {strip:.0f} mm "
            "long, its ends joined where it is seen least."
        )
        return Finished(window=window, lines=(), words=words + blunt, taken=shape)
    if finish == "bevelled":
        return _bevelled(window, cloth, where, blunt)
    return Finished(window=window, lines=(), words=f"{_RAW[cloth.kind]}{blunt}", taken=shape)


_FREE = (
    "cut as drawn and leave the edge raw; pull a cut strip first, and stay the edge if it curls or ladders."
)
_RAW = {
    "woven": "cut as drawn; seal the raw edge with fray check or a close zigzag, or it frays on.",
    "knit": _FREE,
    "mesh": _FREE,
    "leather": "punch its corners first, then cut from hole to hole with a fresh blade; burnish the edge.",
    "foam": "cut with a fresh blade held upright, in one pull a side; heat the edge and seal it.",
    "thermoplastic": "cut while it is warm, or drill the corners and saw cold; sand the edge smooth.",
    "paper": "cut as drawn.",
}


def rounded(outline: Points, radius: float, where: str) -> Points:
    """An outline whose corners are no sharper than a radius [mm]; the same one where none is.

    Raises DraftError for a window that is hardly wider than its corners.
    """
    if radius <= 0.0 or not len(corners_of(outline)):
        return outline
    shape = shapely.Polygon(outline)
    blunt = shape.buffer(-radius, quad_segs=12).buffer(radius, quad_segs=12)
    if blunt.geom_type != "Polygon" or blunt.area < 0.7 * shape.area:
        raise DraftError(
            f"the window is hardly wider than {2.0 * radius:.0f} mm: with corners as blunt as that, "
            "little of it is left.",
            where=where,
            advice="Widen it, or make its corners blunter.",
        )
    return ring_of(blunt)


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
    fold_line = InnerLine(kind="fold", curve=window.curve, label=f"{words}: fold back", closed=True)
    return replace(window, curve=ring_of(hole)), (fold_line, *_slits(window.curve, hole))


def facings(
    piece: Piece, windows: Sequence[Window], lines: Sequence[Points], cloth: Cloth
) -> tuple[Piece, ...]:
    """Facings of the windows of a piece; one serves windows that lie close.

    windows : as they are cut. lines : the stitch line of each.
    """
    panel = shapely.Polygon(piece.stitch_line)
    whole = shapely.union_all([shapely.Polygon(line).buffer(FACING) for line in lines]).intersection(panel)
    found = []
    parts = [part for part in shapely.get_parts(whole) if part.geom_type == "Polygon"]
    for number, part in enumerate(parts, start=1):
        held = [k for k, line in enumerate(lines) if part.intersects(shapely.Polygon(line))]
        names = ", ".join(windows[k].slug.replace("_", " ") for k in held)
        slug = f"{piece.slug}_window_facing" + (f"_{number}" if len(parts) > 1 else "")
        marks = [
            InnerLine(
                kind="stitch", curve=lines[k], label=f"{windows[k].slug.replace('_', ' ')}", closed=True
            )
            for k in held
        ]
        note = (
            f"Facing of {names}: cut whole, and opened with the piece once it is sewn on.",
            "Drawn as it lies on the piece, wrong side up. Finish its outer edge; interface thin cloth.",
        )
        of = f" {number} of {len(parts)}" if len(parts) > 1 else ""
        label = f"{piece.label}, window facing{of}"
        found.append(plain_piece(piece, slug, label, part, cloth, marks, note))
    return tuple(found)


def plain_piece(
    piece: Piece,
    slug: str,
    label: str,
    shape: shapely.Polygon,
    cloth: Cloth,
    lines: Sequence[InnerLine],
    note: tuple[str, ...],
) -> Piece:
    """A piece of an outline without allowances or mates, cut like another. shape : in that one's plane."""
    curves = cut_at_corners(ring_of(shape))
    low, high = np.array(shape.bounds[:2]), np.array(shape.bounds[2:])
    return replace(
        piece,
        slug=slug,
        label=label,
        cloth=cloth.slug,
        edges=tuple(
            PieceEdge(slug=f"edge_{k}", curve=curve, role="opening", allowance=0.0)
            for k, curve in enumerate(curves, start=1)
        ),
        grainline=arrow_in(piece, shape),
        totals=(
            Total(what="width over all", length=float(high[0] - low[0])),
            Total(what="height over all", length=float(high[1] - low[1])),
            Total(what="right round the edge", length=float(shape.exterior.length)),
        ),
        windows=(),
        lines=tuple(lines),
        note=note,
        thickness=cloth.thickness,
    )


def arrow_in(piece: Piece, shape: shapely.Polygon) -> Grainline:
    """An arrow inside a part of a piece: as on the piece; of a stretch cloth level, as panels are drawn."""
    low_x, low_y, high_x, high_y = shape.bounds
    way, reach = np.array([1.0, 0.0]), 0.3 * (high_x - low_x)
    if piece.grainline.kind != "stretch":
        way = np.array(piece.grainline.end) - np.array(piece.grainline.start)
        way = way / max(float(np.linalg.norm(way)), 1e-9)
        reach = 0.3 * min(high_x - low_x, high_y - low_y)
    middle = shapely.get_coordinates(shape.representative_point())[0]
    (x0, y0), (x1, y1) = middle - reach * way, middle + reach * way
    return replace(piece.grainline, start=(float(x0), float(y0)), end=(float(x1), float(y1)))


def _bevelled(window: Window, cloth: Cloth, where: str, blunt: str) -> Finished:
    if cloth.thickness < LEAST_BEVELLED:
        raise DraftError(
            f"a sheet of {cloth.thickness:g} mm is too thin to bevel.",
            where=where,
            advice='Write window_edge = "raw".',
        )
    outer = shapely.Polygon(window.curve).buffer(cloth.thickness, quad_segs=12)
    line = InnerLine(
        kind="placement",
        curve=ring_of(outer),
        label=f"{window.slug.replace('_', ' ')}: bevel from here",
        closed=True,
    )
    words = (
        "cut the outer face along the outer line with the blade tilted 45 degrees toward the window: it "
        "comes out on the inner line at the back."
    )
    return Finished(window=window, lines=(line,), words=words + blunt, taken=outer)


def _slits(outline: Points, hole: shapely.Polygon) -> tuple[InnerLine, ...]:
    """Slits from the cut to every corner of the line that the edge is turned on."""
    slits = []
    for corner in corners_of(outline):
        tip = outline[corner]
        inner = shapely.ops.nearest_points(hole.exterior, shapely.Point(tip))[0]
        slits.append(InnerLine(kind="slit", curve=np.array([tip, [inner.x, inner.y]])))
    return tuple(slits)


def _inside(shape: shapely.Polygon, inset: float, done: str, where: str) -> shapely.Polygon:
    hole = shape.buffer(-inset, join_style="mitre", mitre_limit=2.0)
    if hole.geom_type != "Polygon" or hole.buffer(-0.5 * LEAST_CUT).is_empty:
        raise DraftError(
            f"the window is too narrow for its edge to be {done}.",
            where=where,
            advice='Widen it, or write window_edge = "bound".',
        )
    return hole
