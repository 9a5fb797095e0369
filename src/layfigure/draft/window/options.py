"""What a maker may say about windows, the same words for every kind that takes them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from pydantic import BaseModel, Field

from layfigure.draft.window.practice import Finish

WindowEdge = Literal["usual", "raw", "folded", "faced", "bound", "bevelled"]
BackingAs = Literal["panel", "inset"]

WINDOW_EDGE: Any = Field(
    "usual",
    description="edge of a window: as is usual for its material, or raw, folded, faced, bound, bevelled",
)
BACKING_AS: Any = Field(
    "panel", description="backing behind windows as a whole piece, trimmed, or set into each window"
)
ACROSS_SEAMS: Any = Field(False, description="windows may run across the seams between its pieces")


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowWishes:
    """What is asked of the windows of one piece. edge : None for what is usual in the material."""

    edge: Finish | None
    backing_as: BackingAs
    across_seams: bool


def window_wishes(options: BaseModel) -> WindowWishes:
    """Read from a kind's options; one without seams between its pieces has no ``across_seams``."""
    edge: WindowEdge = getattr(options, "window_edge", "usual")
    return WindowWishes(
        edge=None if edge == "usual" else edge,
        backing_as=getattr(options, "backing_as", "panel"),
        across_seams=getattr(options, "across_seams", False),
    )
