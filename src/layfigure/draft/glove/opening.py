"""How the hand gets into a glove whose wrist is narrower than the hand: a slit, elastic, or a wider wrist."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from layfigure.body.form import Form
from layfigure.draft.glove.checks import narrowest
from layfigure.draft.glove.hand import HandShape
from layfigure.draft.glove.layout import FlatHand, flat_hand
from layfigure.draft.glove.outline import THUMB_ROOT, HalfEdge
from layfigure.materials.opening import check_opening, elastic_length
from layfigure.piece.item import Item

Points = NDArray[np.float64]
Opening = Literal["none", "slit", "elastic", "eased"]

SNAP_SPACING = 50.0
"""Between snaps on a strained edge, 40 to 60 [mm] (common practice, no source)."""

SLACK = 1.08
"""Up to this over the wrist's girth a stretchy glove is cut wider there, so that the hand passes without a
slit (common practice, no source)."""

HAND_WITH_THUMB = 1.18
"""Girth with the thumb tucked in over the girth without, where it was not measured (from memory)."""


def hand_through(form: Form, hand: HandShape, side: str, *, beneath: float) -> float:
    """Girth that must pass the wrist: of the hand, thumb tucked in, over what is worn beneath [mm]."""
    usual = HAND_WITH_THUMB * float(hand.girth(0.75 * hand.webs[1]))
    return form.measures.get(f"hand_with_thumb_girth_{side}", usual) + 2.0 * math.pi * beneath


def opened(
    flat: FlatHand,
    asked: Literal["auto", "none", "slit", "elastic"],
    *,
    stretch: float,
    passes: float,
    cuff: float,
) -> tuple[Opening, FlatHand]:
    """How it opens, and the glove with its wrist wider where that lets the hand in.

    stretch : of the cloth, as a share. passes : girth of the hand with the thumb tucked in [mm]. cuff :
    height of the cuff's upper end.
    """
    opening: Opening = "none" if asked == "auto" else asked
    needed = passes / (1.0 + stretch)
    if asked == "auto" and not check_opening(narrowest(flat, cuff), stretch, passes).passes:
        opening = "eased" if needed <= SLACK * float(flat.hand.girth(0.0)) else "slit"
    if opening in ("elastic", "eased"):
        flat = flat_hand(flat.hand, flat.fit, _widened(flat, 1.001 * needed))
    return opening, flat


def _widened(flat: FlatHand, passes: float) -> Callable[[ArrayLike], Points]:
    """What the halves need added so that the hand passes everywhere below the root of the thumb."""

    def widened(height: ArrayLike) -> Points:
        y = np.asarray(height, dtype=np.float64)
        missing: Points = np.maximum(0.5 * passes - flat.half(y), 0.0)
        root = THUMB_ROOT * float(flat.hand.webs[0])
        fade = np.clip(1.0 - (y - root) / (0.5 * float(flat.hand.webs[0])), 0.0, 1.0)
        return missing * fade

    return widened


def opening_items(opening: Opening, edges: Sequence[HalfEdge], flat: FlatHand) -> tuple[Item, ...]:
    """What the opening takes. edges : of one half."""
    if opening == "slit":
        long = next(float(np.ptp(edge.curve[:, 1])) for edge in edges if edge.slug == "slit")
        return (
            Item(
                slug="snap_10mm",
                name="snap, about 10 mm",
                count=max(1, math.ceil(long / SNAP_SPACING)),
                use="on the slit at the little finger's side, the first at the wrist line",
            ),
        )
    if opening == "elastic":
        return (
            Item(
                slug="elastic_10mm",
                name="elastic, 10 mm wide",
                length=elastic_length("wrist", float(flat.hand.girth(0.0))),
                use="inside the wrist, all round",
            ),
        )
    return ()
