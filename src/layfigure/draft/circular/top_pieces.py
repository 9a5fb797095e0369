"""What is sewn to the top edge of a circular piece, as pieces to cut, and the interfacing in it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from layfigure.draft.circular.top import TopPart
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Piece


def top_pieces(base: Piece, parts: Iterable[TopPart], interfacing: Cloth | None) -> list[Piece]:
    """Every part, and after it its interfacing where it has one. base : what all have in common."""
    pieces = []
    for part in parts:
        pieces.append(_part(base, part))
        if interfacing is not None and part.interfaced:
            pieces.append(_interfacing(base, part, interfacing))
    return pieces


def _part(base: Piece, part: TopPart) -> Piece:
    return replace(
        base,
        slug=f"{base.slug}_{part.name}",
        label=f"{base.label}, {part.label}",
        edges=part.edges,
        grainline=part.grainline,
        totals=part.totals,
        lines=part.lines,
        note=part.note,
        count=part.count,
        side="both" if part.pair else base.side,
    )


def _interfacing(base: Piece, part: TopPart, cloth: Cloth) -> Piece:
    """The same outline without allowances, so that seams stay thin."""
    return replace(
        _part(base, part),
        slug=f"{base.slug}_{part.name}_interfacing",
        label=f"{base.label}, {part.label}, interfacing",
        cloth=cloth.slug,
        edges=tuple(replace(edge, allowance=0.0, seam=None, notches=()) for edge in part.edges),
        note=("Fuse or baste to the wrong side, inside the stitch line.",),
        count=1,
        thickness=cloth.thickness,
    )
