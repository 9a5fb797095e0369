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
UNLIKE = "It is cut otherwise than the outside: cut its windows on the wearer, and fell their edges."


def with_linings(pieces: Sequence[Piece], sheets: Mapping[str, Sheet]) -> tuple[Piece, ...]:
    """Windows drawn on the lining of every piece that has them, cut after it is made up."""
    by_slug = {piece.slug: piece for piece in pieces}
    found = []
    for piece in pieces:
        outside = by_slug.get(piece.slug.removesuffix("_lining"))
        if outside is None or outside is piece or outside.slug not in sheets or not outside.windows:
            found.append(piece)
            continue
        turn = _turn_onto(outside, piece)
        if turn is None:
            found.append(replace(piece, note=(*piece.note, UNLIKE)))
            continue
        lines = tuple(
            InnerLine(kind="trim", curve=window.worn * turn, label=window.slug.replace("_", " "), closed=True)
            for window in outside.windows
            if window.worn is not None
        )
        found.append(replace(piece, lines=(*piece.lines, *lines), note=(*piece.note, FELLED)))
    return tuple(found)


def _turn_onto(outside: Piece, lining: Piece) -> Points | None:
    """Factors of x and y that take a piece to its lining, alike or its mirror image; None for others."""
    own, other = shapely.Polygon(outside.stitch_line), shapely.Polygon(lining.stitch_line)
    for x in (1.0, -1.0):
        turned = shapely.Polygon(outside.stitch_line * (x, 1.0))
        if turned.symmetric_difference(other).area < 0.002 * own.area:
            return np.array([x, 1.0])
    return None
