"""A panel with its windows, and what lies behind them or is set into them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from layfigure.draft.knit.options import KnitOptions
from layfigure.draft.window.across_seams import SeamWindows, WindowPart
from layfigure.draft.window.behind import set_in, set_in_across, whole_backing
from layfigure.draft.window.edge_finish import folded_back
from layfigure.draft.window.sheet import Sheet
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Piece, Window
from layfigure.units import parse_length


def with_windows(
    piece: Piece,
    windows: Sequence[Window],
    parts: Sequence[WindowPart],
    backing: Cloth | None,
    options: KnitOptions,
    slug: str,
) -> tuple[Piece, ...]:
    """The panel with its windows cut and finished, and the pieces of backing that belong to it.

    windows : within the panel; parts : of windows across its seams. slug : of a backing as a whole panel.
    """
    if backing is None:
        if options.window_edge == "raw":
            return (replace(piece, windows=tuple(windows)),)
        folded = [folded_back(window, f"window {window.slug}") for window in windows]
        lines = [line for _, own in folded for line in own]
        return (replace(piece, windows=tuple(window for window, _ in folded), lines=(*piece.lines, *lines)),)
    if options.backing_as == "inset":
        allowance = parse_length(options.seam_allowance)
        filled = [
            set_in(piece, window, backing, allowance, f"{piece.slug}_{window.slug}") for window in windows
        ]
        lines = [line for _, own, _ in filled for line in own]
        cut = replace(piece, windows=tuple(each[0] for each in filled), lines=(*piece.lines, *lines))
        return (cut, *(inset for _, _, inset in filled))
    cut = replace(piece, windows=tuple(windows))
    if not windows and not parts:
        return (cut,)
    return (cut, whole_backing(piece, windows, parts, backing, slug))


def set_in_across_seams(
    pieces: Mapping[str, Piece],
    sheets: Mapping[str, Sheet],
    across: SeamWindows,
    backing: Cloth,
    options: KnitOptions,
    slug: str,
) -> list[Piece]:
    """What is set into windows across seams. pieces, sheets : by panel. slug : of the garment."""
    allowance = parse_length(options.seam_allowance)
    return [
        piece
        for window, own in across.by_window().items()
        for piece in set_in_across(pieces, sheets, own, backing, allowance, f"{slug}_{window}")
    ]
