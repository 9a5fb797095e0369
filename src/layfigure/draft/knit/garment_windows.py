"""The windows of a close garment, told apart: those within one panel, and those that run across seams."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from layfigure.draft.flatten.panel import FlatPanel
from layfigure.draft.knit.garment import drafting_line
from layfigure.draft.knit.options import KnitOptions
from layfigure.draft.knit.panel_cloths import PanelCloth
from layfigure.draft.knit.windows import panel_sheet, windows_of_panels
from layfigure.draft.registry import Check, DraftRequest
from layfigure.draft.window.across_seams import SeamWindows, windows_across
from layfigure.draft.window.outlines import window_outlines
from layfigure.draft.window.owners import is_across
from layfigure.draft.window.rest_windows import LEAST_STRIP
from layfigure.draft.window.sheet import Sheet
from layfigure.errors import DraftError
from layfigure.piece.piece import Window
from layfigure.place.place import points_on


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GarmentWindows:
    """Windows as they must be cut.

    within : those of one panel, by its slug. strays : how far their worn edges may stray. across : those that
    run across seams.
    """

    within: Mapping[str, tuple[Window, ...]]
    strays: tuple[Check, ...]
    across: SeamWindows


def garment_windows(
    request: DraftRequest,
    options: KnitOptions,
    flats: Mapping[str, FlatPanel],
    cloths: Mapping[str, PanelCloth],
) -> GarmentWindows:
    """Every window that the statement names. flats, cloths : by panel slug.

    Raises DraftError for a window across a seam that nothing backs, and as ``windows_of_panels`` does.
    """
    form, statement = request.form, request.statement
    if not statement.windows:
        return GarmentWindows(within={}, strays=(), across=SeamWindows(parts={}, crossings=()))
    outlines = window_outlines(
        request,
        curve=lambda placed: drafting_line(form, placed),
        points=lambda placed: points_on(form.drafting_charts, placed.at),
    )
    sheets = panel_sheets(flats)
    crossing = {
        slug: outline.curve
        for slug, outline in outlines.items()
        if options.across_seams and is_across(sheets, outline.curve)
    }
    if crossing and statement.backing is None:
        raise DraftError(
            "nothing would hold the edge of a window across a seam.",
            where=f"window {next(iter(crossing))}",
            advice="Give the piece a backing, or move the window off the seam.",
        )
    across = windows_across(sheets, crossing, strip=LEAST_STRIP)
    whole = {slug: outline for slug, outline in outlines.items() if slug not in crossing}
    eases = {slug: own.ease for slug, own in cloths.items()}
    prefix = None if statement.backing is None else f"{statement.slug}_backing"
    within, strays = windows_of_panels(flats, whole, eases, backing=prefix)
    return GarmentWindows(within=within, strays=strays, across=across)


def panel_sheets(flats: Mapping[str, FlatPanel]) -> dict[str, Sheet]:
    """Every panel as windows across seams see it, by its slug."""
    return {slug: panel_sheet(flat) for slug, flat in flats.items()}
