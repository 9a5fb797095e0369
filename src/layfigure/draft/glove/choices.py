"""What a glove chooses where the costume does not say it: what was not said, and what was done."""

from __future__ import annotations

from layfigure.draft.glove.options import GloveOptions
from layfigure.draft.registry import DraftRequest, DraftResult


def glove_choices(request: DraftRequest, result: DraftResult) -> dict[str, str]:
    """How the hand gets in, and how close it fits."""
    options = request.options
    assert isinstance(options, GloveOptions)
    found = {}
    if options.opening == "auto":
        slit = any(edge.slug == "slit" for piece in result.pieces for edge in piece.edges)
        found["how it opens"] = (
            "there is a slit with snaps on the little finger's side"
            if slit
            else "it has no opening, for the hand passes"
        )
    if request.leaves_open("ease"):
        found["how close it fits"] = "as is usual for its material"
    return found
