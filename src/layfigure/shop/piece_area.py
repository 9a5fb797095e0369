"""How large the pieces of a draft are and what they weigh: what paint covers and a shoulder carries."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from shapely import Polygon

from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Piece
from layfigure.piece.seam_allowance import cut_line


def worn_area(piece: Piece) -> float:
    """Area of one copy within its stitch line, less its windows [mm²]: what shows and what is painted."""
    return float(Polygon(piece.stitch_line).area) - _open_area(piece)


def cut_area(piece: Piece) -> float:
    """Area of one copy within its cut line, less its windows [mm²]: what it weighs."""
    return float(Polygon(cut_line(piece.edges)).area) - _open_area(piece)


def _open_area(piece: Piece) -> float:
    """Area of its windows [mm²]."""
    return float(sum(Polygon(window.curve).area for window in piece.windows))


def cut_mass(pieces: Iterable[Piece], cloths: Mapping[str, Cloth]) -> float:
    """Mass of all copies of all pieces as cut [g]."""
    return sum(
        piece.count * cut_area(piece) * 1e-6 * cloths[piece.cloth].areal_mass
        for piece in pieces
        if piece.cloth in cloths
    )


def glued_area(piece: Piece) -> float:
    """Area of all edges of one copy that glue joins [mm²].

    Edge to edge it is the edge's thickness; a seam with an allowance is glued over the allowance, which
    overlaps its mate, and each of the two gets its coat.
    """
    butted = sum(edge.length for edge in piece.edges if edge.role == "butt") * piece.thickness
    return butted + sum(edge.length * edge.allowance for edge in piece.edges if edge.role == "seam")
