"""Where the pattern of a cloth must meet each piece, so that stripes and checks run on across seams.

Two pieces match along their seam when its first point lies at the same place of the repeat on both. Pieces
are
joined one by one, from the first along the seams; a ring of seams cannot match at all of them, and the seam
that closes it is left to chance, as it is on the table. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from layfigure.lay.part import Match, Part
from layfigure.lay.parts import to_grain
from layfigure.piece.piece import Piece, PieceEdge

Points = NDArray[np.float64]


def matched(parts: Sequence[Part], pieces: Sequence[Piece]) -> list[Part]:
    """The parts, each with the point where the pattern must meet it. pieces : that they were made of, in
    order.
    """
    by_slug = {piece.slug: piece for piece in pieces}
    matches: dict[str, Match] = {}
    for piece in pieces:
        if piece.slug not in matches:
            _from(piece, by_slug, matches)
    return [replace(part, match=matches[part.slug]) for part in parts]


def _from(root: Piece, pieces: dict[str, Piece], matches: dict[str, Match]) -> None:
    """Match a piece at its first corner, and all that is sewn to it, directly or through others."""
    matches[root.slug] = Match(at=_at(root, root.edges[0].curve[0]))
    waiting = [root]
    while waiting:
        piece = waiting.pop(0)
        own = matches[piece.slug]
        for edge in piece.edges:
            for other in pieces.values():
                mate = next((one for one in other.edges if edge.seam and one.seam == edge.seam), None)
                if mate is None or other.slug in matches:
                    continue
                here, there = _at(piece, _start(edge)), _at(other, _start(mate))
                phase = (
                    own.phase[0] + here[0] - own.at[0],
                    own.phase[1] + here[1] - own.at[1],
                )
                matches[other.slug] = Match(at=there, phase=phase)
                waiting.append(other)


def _start(edge: PieceEdge) -> Points:
    """Where the seam itself begins, whichever way this use runs."""
    start: Points = edge.curve[-1] if edge.against else edge.curve[0]
    return start


def _at(piece: Piece, point: Points) -> tuple[float, float]:
    x, y = (point @ to_grain(piece)).tolist()
    return float(x), float(y)
