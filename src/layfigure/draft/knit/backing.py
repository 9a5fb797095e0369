"""A panel with its windows, and what lies behind them or is set into them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from layfigure.draft.knit.insets import folded_back, set_in
from layfigure.draft.knit.options import KnitOptions
from layfigure.draft.knit.seam_windows import WindowPart
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import InnerLine, Piece, Window
from layfigure.units import parse_length

BACKING_TRIM = 12.0
"""Mesh behind a window reaches this far beyond its edge before it is trimmed; common
practice 10 to 15 [mm]."""


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
    return (cut, _backing(piece, windows, parts, backing, slug))


def _backing(
    piece: Piece, windows: Sequence[Window], parts: Sequence[WindowPart], backing: Cloth, slug: str
) -> Piece:
    """The whole panel again in the backing's cloth, with the line it is trimmed to behind each window."""
    trims = []
    panel = shapely.Polygon(piece.stitch_line)
    shown = [shapely.Polygon(window.curve) for window in windows] + [part.part for part in parts]
    for shape in shown:
        # The trim line never leaves the panel: near an edge the backing is caught in the seam.
        line = np.asarray(shape.buffer(BACKING_TRIM).intersection(panel).exterior.coords)[:-1]
        trims.append(InnerLine(kind="trim", curve=line, label="trim", closed=True))
    trims += [
        InnerLine(kind="placement", curve=window.curve, label=window.slug.replace("_", " "), closed=True)
        for window in windows
    ]
    return replace(
        piece,
        slug=slug,
        label=f"{piece.label}, backing",
        cloth=backing.slug,
        lines=(*piece.lines, *trims),
        note=(
            "Cut the whole panel in the backing cloth; sew it behind the window, then trim to the trim line.",
            "Its stretch should be at least that of the cloth in front, in both directions.",
        ),
    )
