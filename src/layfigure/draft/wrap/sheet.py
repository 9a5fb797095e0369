"""One sheet of a wrap: bent round the body as planned, cut open into bands, drawn flat and made pieces."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from layfigure.draft.registry import DraftRequest, DraftResult
from layfigure.draft.sheet_practice import sheet_practice
from layfigure.draft.verdict import governing_measures, wrap_verdict
from layfigure.draft.window.cut_out import with_windows
from layfigure.draft.wrap.band_piece import band_piece
from layfigure.draft.wrap.beneath import beneath
from layfigure.draft.wrap.closing import closing_items, laced_through, strap_spans
from layfigure.draft.wrap.drawn_band import drawn_bands
from layfigure.draft.wrap.lattice import lattice_links, lattice_openings, lattice_outlines
from layfigure.draft.wrap.lie import band_sheet
from layfigure.draft.wrap.opened_bands import opened_bands
from layfigure.draft.wrap.plan import WrapOptions, WrapPlan
from layfigure.draft.wrap.sheet_checks import sheet_checks
from layfigure.draft.wrap.shown import band_shown
from layfigure.draft.wrap.surface import WrapSurface, section_axis, wrap_surface
from layfigure.draft.wrap.working import BandsWorking
from layfigure.draft.wrap.worn import SLIDES, worn_checks
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Window
from layfigure.piece.worn import WornSurface


def draft_sheet(plan: WrapPlan, request: DraftRequest, options: WrapOptions, cloth: Cloth) -> DraftResult:
    """Pieces of one sheet, what lies beneath it, and what closes it.

    Raises DraftError for edges that do not bound one region, or that leave no room for a band.
    """
    practice, lattice = sheet_practice(cloth), options.lattice
    overlap = practice.closure if options.overlap is None else options.overlap
    least_radius = options.least_radius or practice.least_radius
    surface = _bent(plan, request, options, least_radius)
    outlines = opened_bands(plan, surface, cloth, lacing_gap=options.lacing_gap)
    openings: tuple[Window, ...] = ()
    apart = lattice is not None and lattice.apart
    if lattice is not None and apart:
        outlines = lattice_outlines(outlines[0], lattice)
    elif lattice is not None:
        openings = lattice_openings(outlines[0], lattice)
    bands = drawn_bands(plan, outlines, overlap=overlap, seam_lap=practice.band_lap, apart=apart)
    worn = worn_checks(plan, surface, request)
    checks = [*sheet_checks(surface, bands), *worn]
    # A wrap that slides is hung up when worn; its outline is right all the same.
    verdict = wrap_verdict(
        [check for check in checks if check.what != SLIDES],
        form=request.form,
        cloth=cloth,
        measures=governing_measures(plan.chart.region, *_stations(plan)),
        spread=max(plan.top.spread, plan.bottom.spread),
        assumed=request.assumed,
    )
    drawn = [
        band_piece(
            band,
            plan,
            request,
            options,
            cloth,
            surface,
            openings=openings,
            overlap=overlap,
            worn=worn,
            verdict=verdict,
        )
        for band in bands
    ]
    laid = {piece.slug: outline for piece, outline in zip(drawn, outlines, strict=True)}
    cut = with_windows(
        request,
        drawn,
        lambda: [band_sheet(piece, laid[piece.slug], surface.frame) for piece in drawn],
    )
    under = [
        more for piece in cut.pieces if piece.slug in laid for more in beneath(piece, request, options.inset)
    ]
    items = closing_items(
        plan,
        ends=[band.end for band in bands],
        apart=apart,
        lap=overlap,
        gap=options.lacing_gap,
        holes=sum(len(laced_through(piece)) for piece in drawn),
        rest=strap_spans(plan, surface),
    )
    sides = 2 if plan.side == "both" else 1
    half_thick = (1.0 - practice.neutral_share) * cloth.thickness
    return DraftResult(
        pieces=(*cut.pieces, *under),
        checks=(
            *(replace(check, what=f"{plan.label}: {check.what}") for check in checks),
            *cut.checks,
        ),
        items=(*items, *(() if lattice is None else lattice_links(plan.label, lattice, sides))),
        worn=tuple(
            WornSurface(name=slug, mesh=band_shown(outline, surface.frame, half_thick), cloth=cloth.slug)
            for slug, outline in laid.items()
        ),
        working=BandsWorking(outlines=laid, surface=surface, least_radius=least_radius),
    )


def _stations(plan: WrapPlan) -> tuple[float, float]:
    """The first and the last station that an edge of the sheet reaches."""
    stations = np.concatenate([plan.top.station, plan.bottom.station])
    return float(stations.min()), float(stations.max())


def _bent(plan: WrapPlan, request: DraftRequest, options: WrapOptions, least_radius: float) -> WrapSurface:
    """The sheet round the body between its edges, clear of what lies beneath it."""
    chart = plan.chart
    plate = None
    if plan.join == "open":
        sides = plan.at + 0.5 * plan.cover * np.array([-1.0, 0.0, 1.0])
        plate = chart.points(plan.middle_station, sides)
    return wrap_surface(
        chart,
        section_axis(chart, *_stations(plan)),
        plan.bottom.on(chart),
        plan.top.on(chart),
        clearance=request.stack + options.air,
        least_radius=least_radius,
        bands=_bands_asked(options),
        plate=plate,
    )


def _bands_asked(options: WrapOptions) -> int | None:
    """How many bands the sheet is made of; a lattice is drawn on one."""
    if options.lattice is not None:
        return 1
    return None if options.bands == "auto" else options.bands
