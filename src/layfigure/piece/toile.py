"""The toile of a piece: the trial version, with allowances wide enough to let out."""

from __future__ import annotations

from dataclasses import replace

from layfigure.piece.piece import Piece

TOILE_ALLOWANCE = 25.0
"""Allowance of a toile [mm] (common practice, no source)."""

_KEPT = frozenset({"fold", "butt"})


def toile(piece: Piece, *, allowance: float = TOILE_ALLOWANCE) -> Piece:
    """The piece with at least ``allowance`` [mm] on every edge but folds and glued joins."""
    edges = tuple(
        edge if edge.role in _KEPT else replace(edge, allowance=max(edge.allowance, allowance))
        for edge in piece.edges
    )
    return replace(piece, edges=edges, label=f"{piece.label} (toile)")
