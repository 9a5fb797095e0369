"""Cloth kept for what nobody sees: which things to buy it could take the place of."""

from __future__ import annotations

from collections.abc import Sequence

from layfigure.materials.cloth import Cloth
from layfigure.materials.stock import Stock
from layfigure.materials.supply import Supply
from layfigure.piece.piece import Piece
from layfigure.piece.unseen import is_unseen
from layfigure.shop.piece_area import cut_area

USED = 0.5
"""Share of a leftover that may be counted on to end in pieces; common practice, no source."""


def hidden_use_words(slug: str, pieces: Sequence[Piece], stock: Stock) -> str:
    """Which cloth at home may do for all these pieces of one cloth; empty where one shows or none would do.

    By area alone: laying it there is what tells. A window's backing shows, whatever its name.
    """
    if not pieces or not all(is_unseen(piece.slug) and "backing" not in piece.slug for piece in pieces):
        return ""
    cloth = stock.cloths[slug]
    area = sum(piece.count * cut_area(piece) for piece in pieces)
    for other, supply in stock.supplies.items():
        kept = stock.cloths[other]
        if other == slug or not supply.hidden_use or not _as_good(kept, cloth):
            continue
        share = USED * _at_home(kept, supply) / area
        if share >= 1.0:
            return f"nobody sees it: {kept.name}, of which you have enough, may do instead"
        if share > 0.0:
            return f"nobody sees it: part of it may come from {kept.name}, which you have"
    return ""


def _as_good(kept: Cloth, cloth: Cloth) -> bool:
    """Of one kind, and no less stretch where the drafted cloth stretches."""
    stretches = kept.stretch_across >= cloth.stretch_across and kept.stretch_along >= cloth.stretch_along
    return kept.kind == cloth.kind and stretches


def _at_home(cloth: Cloth, supply: Supply) -> float:
    """Area on the shelf [mm²]."""
    return sum(
        left.count * (left.length or supply.sheet_length) * (left.width or cloth.width)
        for left in supply.on_shelf
    )
