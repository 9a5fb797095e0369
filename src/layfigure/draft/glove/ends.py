"""Where a glove ends: at its cuff, at the end of its slit, and on every digit."""

from __future__ import annotations

from dataclasses import dataclass

from layfigure.draft.glove.lines import Line, PlacedLine
from layfigure.draft.glove.options import GloveOptions

SHORT_FINGERS = 0.4
"""Of a finger, what a fingerless glove covers: to below the first joint (common practice, no source)."""

SLIT_ABOVE = 0.4
"""A slit runs past the wrist up to this share of the height of the webs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GloveEnds:
    """Where a glove ends.

    cuff_palm, cuff_back : height of the cuff over each half. slit : height that the opening on the little
    finger's side runs up to, None for none. fingers, thumb : share of each digit that is covered; 1 for a
    closed tip.
    """

    cuff_palm: Line
    cuff_back: Line
    slit: float | None
    fingers: float
    thumb: float


def ends_of(options: GloveOptions, cuff: PlacedLine, *, webs: float, slit: bool) -> GloveEnds:
    """As asked, else as its style has it. webs : height of the webs [mm]. slit : whether it opens by one."""
    fingers = options.fingers
    if fingers is None:
        fingers = SHORT_FINGERS if options.style == "fingerless" else 1.0
    return GloveEnds(
        cuff_palm=cuff.palm,
        cuff_back=cuff.back,
        slit=webs * SLIT_ABOVE if slit else None,
        fingers=fingers,
        thumb=fingers if options.thumb is None else options.thumb,
    )
