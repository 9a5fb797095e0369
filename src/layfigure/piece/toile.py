"""The toile of a piece: the trial version, with allowances wide enough to let out."""

from __future__ import annotations

from dataclasses import replace

from layfigure.piece.piece import InnerLine, Piece, Window

TOILE_ALLOWANCE = 25.0
"""Allowance of a toile [mm] (common practice, no source)."""

_KEPT = frozenset({"fold", "butt"})


def toile(piece: Piece, *, allowance: float = TOILE_ALLOWANCE) -> Piece:
    """The piece with at least ``allowance`` [mm] on every edge but folds and glued joins.

    Windows are drawn, to be judged on the body, and left uncut: a trial is fitted before anything is cut out.
    """
    edges = tuple(
        edge if edge.role in _KEPT else replace(edge, allowance=max(edge.allowance, allowance))
        for edge in piece.edges
    )
    how = [f"Toile: {allowance:g} mm and more to let out; fit on the stitch lines, mark what you change."]
    if piece.windows:
        how.append("Windows are drawn only: do not cut them out of the toile.")
    return replace(
        piece,
        edges=edges,
        label=f"{piece.label} (toile)",
        windows=(),
        lines=(*piece.lines, *(_drawn(window) for window in piece.windows)),
        note=(*how, *piece.note),
    )


def _drawn(window: Window) -> InnerLine:
    words = f"{window.slug.replace('_', ' ')}, not cut out"
    return InnerLine(kind="placement", curve=window.curve, label=words, closed=True)
