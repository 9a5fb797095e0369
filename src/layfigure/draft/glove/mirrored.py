"""What is drawn for the left hand seen in a mirror: outlines, lines, and whole pieces for the right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from layfigure.piece.piece import InnerLine, Piece, PieceEdge


def mirrored_edges(edges: Sequence[PieceEdge]) -> list[PieceEdge]:
    """The outline seen in a mirror, counter-clockwise again, its seams running the other way."""
    return [
        replace(
            edge,
            curve=edge.curve[::-1] * (-1.0, 1.0),
            against=not edge.against if edge.seam is not None else edge.against,
            notches=tuple(
                replace(notch, distance=edge.length - notch.distance) for notch in reversed(edge.notches)
            ),
        )
        for edge in reversed(edges)
    ]


def mirrored_line(line: InnerLine) -> InnerLine:
    """The same line in the mirror."""
    return replace(line, curve=line.curve * (-1.0, 1.0))


def mirrored_piece(piece: Piece) -> Piece:
    """The same piece for the other hand."""
    (x0, y0), (x1, y1) = piece.grainline.start, piece.grainline.end
    return replace(
        piece,
        edges=tuple(mirrored_edges(piece.edges)),
        grainline=replace(piece.grainline, start=(-x0, y0), end=(-x1, y1)),
        lines=tuple(mirrored_line(line) for line in piece.lines),
    )
