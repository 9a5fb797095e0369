"""Windows of a piece drawn on its lining, to be cut once both are made up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.draft.window.sheet import Sheet
from layfigure.piece.piece import InnerLine, Piece

Points = NDArray[np.float64]

FELLED = "Cut its windows last, 10 mm inside the lines; turn the edges in and fell them round those outside."
SHORTER = 0.1
"""A lining may be as much smaller, at its hem [share of the area]."""
UNLIKE = "It is cut otherwise than the outside: cut its windows on the wearer, and fell their edges."


def with_linings(
    pieces: Sequence[Piece], sheets: Mapping[str, Sheet], *, mirrored: bool
) -> tuple[Piece, ...]:
    """Windows drawn on the lining of every piece that has them. mirrored : a lining is drawn outside up."""
    by_slug = {piece.slug: piece for piece in pieces}
    found = []
    for piece in pieces:
        outside = by_slug.get(piece.slug.removesuffix("_lining"))
        if outside is None or outside is piece or outside.slug not in sheets or not outside.windows:
            found.append(piece)
            continue
        turn = np.array([-1.0 if mirrored else 1.0, 1.0])
        if not _alike(outside, piece, turn):
            found.append(replace(piece, note=(*piece.note, UNLIKE)))
            continue
        lines = tuple(
            InnerLine(kind="trim", curve=window.worn * turn, label=window.slug.replace("_", " "), closed=True)
            for window in outside.windows
            if window.worn is not None
        )
        found.append(replace(piece, lines=(*piece.lines, *lines), note=(*piece.note, FELLED)))
    return tuple(found)


def _alike(outside: Piece, lining: Piece, turn: Points) -> bool:
    """Whether a lining is cut like the piece outside it. turn : factors of x and y from one to the other."""
    own, other = shapely.Polygon(outside.stitch_line * turn), shapely.Polygon(lining.stitch_line)
    return bool(own.symmetric_difference(other).area < SHORTER * own.area)
