"""Parts of one cloth from the pieces that are cut from it: outlines by the grain, and how each may lie."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from layfigure.lay.clean import clean_outline
from layfigure.lay.part import ONE_WAY, TWO_WAYS, Part
from layfigure.piece.piece import Piece, PieceEdge
from layfigure.piece.seam_allowance import cut_line
from layfigure.piece.thin import thinned

Points = NDArray[np.float64]


def parts_of(pieces: Sequence[Piece], *, one_way: bool = False, any_way: bool = False) -> list[Part]:
    """What is to be laid of the pieces of one cloth, in their order.

    one_way : the cloth has a nap or a print that stands upright: nothing is turned round. any_way : a sheet
    or a hide, on which grain says nothing. A piece drafted on the fold is opened out to what is cut from
    cloth; laying on folded cloth halves it again. Raises LayError for an outline that cannot be laid.
    """
    return [part_of(piece, one_way=one_way, any_way=any_way) for piece in pieces]


def part_of(piece: Piece, *, one_way: bool = False, any_way: bool = False) -> Part:
    """One piece as a part, see ``parts_of``."""
    outline = clean_outline(thinned(cut_line(piece.edges), closed=True), piece.label)
    for fold in (edge for edge in piece.edges if edge.role == "fold"):
        outline = _opened(outline, fold)
    turns: tuple[float, ...] | None = ONE_WAY if one_way else TWO_WAYS
    if any_way or (piece.grainline.kind == "any" and not one_way):
        turns = None
    pair = piece.side == "both" and piece.count > 1
    return Part(
        slug=piece.slug,
        label=_label(piece),
        outline=outline @ to_grain(piece),
        count=piece.count,
        mirrored=piece.count // 2 if pair else 0,
        turns=turns,
        cuts=(piece.slug,),
    )


def _label(piece: Piece) -> str:
    """The label, with the side where it does not tell: two gauntlets are no two of a kind."""
    told = piece.side not in ("left", "right") or piece.side in piece.label.lower().split()
    return piece.label if told else f"{piece.label}, {piece.side}"


def to_grain(piece: Piece) -> Points:
    """Matrix that turns points of a piece (n, 2), from the right, so that the roll runs along x.

    A grain arrow is laid along the roll. The greatest stretch of a knit lies across the roll, so an arrow of
    stretch is laid across it: what was up beside the arrow then runs along the roll.
    """
    way = np.subtract(piece.grainline.end, piece.grainline.start)
    lean = float(np.arctan2(way[1], way[0]))
    back = -lean - (0.5 * np.pi if piece.grainline.kind == "stretch" else 0.0)
    quarter = back / (0.5 * np.pi)
    if abs(quarter - round(quarter)) < 1e-9:
        cosine, sine = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(quarter) % 4]
    else:
        cosine, sine = float(np.cos(back)), float(np.sin(back))
    return np.array([[cosine, sine], [-sine, cosine]])


def _opened(outline: Points, fold: PieceEdge) -> Points:
    """A half outline and its mirror image beyond the fold, as one."""
    start, end = fold.curve[0], fold.curve[-1]
    way = (end - start) / np.linalg.norm(end - start)
    normal = np.array([-way[1], way[0]])
    across = (outline - start) @ normal
    mirrored = outline - 2.0 * across[:, None] * normal
    # A hair of overlap: two halves that merely touch need not join.
    whole = shapely.union_all([Polygon(outline).buffer(1e-6), Polygon(mirrored).buffer(1e-6)])
    largest = max(shapely.get_parts(whole), key=lambda part: float(part.area))
    ring = shapely.simplify(Polygon(largest.exterior), 1e-4)
    return clean_outline(shapely.get_coordinates(ring.exterior)[:-1], fold.slug)
