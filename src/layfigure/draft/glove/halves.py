"""Palm and back of a glove, and the thumb that is set between them unless it is part of them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.glove.ends import GloveEnds
from layfigure.draft.glove.layout import FlatHand
from layfigure.draft.glove.outline import THUMB_ROOT, HalfEdge, half_edges, outer_edge
from layfigure.draft.glove.thumb import SetInThumb, set_in_thumb

Points = NDArray[np.float64]


def halves_and_thumb(flat: FlatHand, ends: GloveEnds) -> tuple[dict[str, list[HalfEdge]], SetInThumb | None]:
    """Edges of either half by its name, and the thumb; None where it is part of them."""
    outer = None if flat.thumb is not None else outer_edge(flat, ends)
    thumb = None if outer is None else _set_in(flat, ends, outer)
    holes = None if thumb is None else (thumb.palm, thumb.back)
    palm, back = half_edges(flat, ends, outer=outer, holes=holes)
    return {"palm": palm, "back": back}, thumb


def _set_in(flat: FlatHand, ends: GloveEnds, outer: Points) -> SetInThumb:
    hand = flat.hand
    return set_in_thumb(
        hand.digits[0],
        flat.fit,
        outer,
        root=THUMB_ROOT * float(hand.webs[0]),
        web=float(hand.webs[0]),
        covered=ends.thumb,
    )
