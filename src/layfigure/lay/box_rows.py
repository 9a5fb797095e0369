"""The plainest layout there is: boxes side by side in columns. At hand at once, whatever the outlines are."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from layfigure.lay.filling import copies_of
from layfigure.lay.layout import Laid
from layfigure.lay.part import Part, posed


def box_rows(parts: Sequence[Part], width: float) -> tuple[float, tuple[Laid, ...]]:
    """Length and places of parts set box by box across a strip, the longest first.

    Each must fit the width in some turn it may have; of those the one that is shortest along is taken.
    """
    boxes = []
    for copy in copies_of(parts):
        turns = copy.part.turns if copy.part.turns is not None else (0.0, 90.0, *map(float, range(1, 180)))
        best = None
        for turn in turns:
            outline = posed(copy.part.outline, turn=turn, mirrored=copy.mirrored, x=0.0, y=0.0)
            low, size = outline.min(axis=0), np.ptp(outline, axis=0)
            if size[1] <= width * (1.0 + 1e-9) + 1e-6 and (best is None or size[0] < best[0][0]):
                best = (size, low, turn)
        if best is None:
            raise ValueError(f"{copy.part.slug} does not fit")
        boxes.append((copy, *best))
    boxes.sort(key=lambda box: -float(box[1][0]))
    laid, at, up, column = [], 0.0, 0.0, 0.0
    for copy, size, low, turn in boxes:
        if up + float(size[1]) > width * (1.0 + 1e-9) + 1e-6:
            at, up, column = at + column, 0.0, 0.0
        laid.append(
            Laid(
                part=copy.part.slug,
                copy=copy.number,
                turn=turn,
                mirrored=copy.mirrored,
                x=at - float(low[0]),
                y=up - float(low[1]),
            )
        )
        up += float(size[1])
        column = max(column, float(size[0]))
    return at + column, tuple(laid)
