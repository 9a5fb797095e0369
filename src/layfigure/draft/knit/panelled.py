"""A close garment made of panels: laid on the wearer, laid flat, windows cut, closure and collar added."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from layfigure.draft.flatten.panel import FlatPanel
from layfigure.draft.flatten.truing import flatten_panels
from layfigure.draft.knit.backing import set_in_across_seams, with_windows
from layfigure.draft.knit.checks import knit_checks, stretch_check
from layfigure.draft.knit.closure import Closure, closure_of, window_check
from layfigure.draft.knit.collar import with_collar
from layfigure.draft.knit.design_seams import rounded_points
from layfigure.draft.knit.elastic import Elastic, elastic_items, elastics_of
from layfigure.draft.knit.flat_remedy import NotFlat
from layfigure.draft.knit.garment import KnitGarment
from layfigure.draft.knit.garment_windows import GarmentWindows, garment_windows, panel_sheets
from layfigure.draft.knit.leggings import leggings_on
from layfigure.draft.knit.note import make_note
from layfigure.draft.knit.options import KnitOptions
from layfigure.draft.knit.panel_cloths import PanelCloth, cloth_named, own_kinds, panel_cloths
from layfigure.draft.knit.panel_piece import panel_piece, piece_slug
from layfigure.draft.knit.parts import refuse_narrow_parts
from layfigure.draft.knit.top import top_on
from layfigure.draft.knit.upright import upright
from layfigure.draft.knit.verdict import knit_verdict
from layfigure.draft.knit.working import panels_working
from layfigure.draft.knit.worn import LIFT, worn_panels
from layfigure.draft.knit.worn_collar import collar_round
from layfigure.draft.registry import Check, DraftRequest, DraftResult
from layfigure.errors import DraftError
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Piece, Verdict
from layfigure.units import parse_length


def draft_panelled(request: DraftRequest, options: KnitOptions, own: PanelCloth) -> DraftResult:
    """Leggings, shorts, a top or a bodysuit. own : the garment's own cloth.

    Raises NotFlat, NoCollar, and DraftError for edges that leave no cloth and windows that do not fit.
    """
    statement = request.statement
    on_legs = options.garment in ("leggings", "shorts")
    garment = leggings_on(request, options) if on_legs else top_on(request, options)
    plans = garment.pattern.plan.panels
    cloths = panel_cloths(request, garment.pattern.plan, own)
    flats = _laid_flat(garment, cloths)
    refuse_narrow_parts(plans, flats)
    backing = None if statement.backing is None else cloth_named(request, statement.backing)
    inset = backing if options.backing_as == "inset" else None
    windows = garment_windows(request, options, flats, cloths)
    closure = closure_of(garment, flats, request.form, cloths) if options.closure else None
    checks = (
        *windows.strays,
        *_inset_checks(windows, flats, cloths, inset),
        *knit_checks(garment, flats, request.form, cloths, closure, own=own.cloth),
        *_closure_checks(closure, windows),
    )

    def judged(cloth: Cloth) -> Verdict:
        return knit_verdict(
            checks, form=request.form, cloth=cloth, measures=garment.measures, where=statement.slug
        )

    elastics = elastics_of(garment, flats, options)
    pieces = _panel_pieces(
        request, options, garment, flats, cloths, windows, closure, elastics, backing, judged
    )
    if inset is not None:
        pieces += _set_in(pieces, statement.slug, options, flats, windows, inset, judged(inset))
    collar = None
    if options.neckline == "stand" and not on_legs:
        # Cut double: what is drawn is its outside.
        collar = collar_round(
            flats,
            slug=statement.slug,
            cloth=own.cloth.slug,
            height=parse_length(options.collar_height),
            off=LIFT + own.cloth.thickness,
        )
        pieces = with_collar(pieces, options, garment, statement.slug, judged(own.cloth))
    wearing = worn_panels(
        flats,
        windows.within,
        windows.across,
        cloths,
        prefix=statement.slug,
        pair=garment.pair,
        backing=None if backing is None else backing.slug,
        collar=collar,
    )
    slugs = {plan.slug: piece_slug(request, garment, plan) for plan in plans}
    return DraftResult(
        pieces=tuple(pieces),
        checks=checks,
        items=(*elastic_items(elastics), *([closure.item()] if closure else [])),
        wearing=wearing,
        working=panels_working(flats, cloths, slugs),
        notes=rounded_points(request),
    )


def _laid_flat(garment: KnitGarment, cloths: Mapping[str, PanelCloth]) -> dict[str, FlatPanel]:
    """Every panel flat and upright, by its slug. Raises NotFlat."""
    try:
        laid = flatten_panels(garment.panels, {slug: own.ease for slug, own in cloths.items()})
    except DraftError as error:
        raise NotFlat(error.what, where=error.where, advice=error.advice) from error
    return {slug: upright(flat, garment.surface) for slug, flat in laid.items()}


def _inset_checks(
    windows: GarmentWindows,
    flats: Mapping[str, FlatPanel],
    cloths: Mapping[str, PanelCloth],
    inset: Cloth | None,
) -> tuple[Check, ...]:
    """Whether what is set into windows stretches with each cloth that frames it."""
    if inset is None:
        return ()
    cut = [slug for slug in flats if slug in windows.within or slug in windows.across.parts]
    return tuple(stretch_check(own.cloth, inset) for own in own_kinds(cloths[slug] for slug in cut))


def _closure_checks(closure: Closure | None, windows: GarmentWindows) -> tuple[Check, ...]:
    """Whether a zip runs clear of the windows of its panel."""
    if closure is None:
        return ()
    clear = window_check(closure, windows.within.get(closure.panel or "", ()))
    return () if clear is None else (clear,)


def _panel_pieces(
    request: DraftRequest,
    options: KnitOptions,
    garment: KnitGarment,
    flats: Mapping[str, FlatPanel],
    cloths: Mapping[str, PanelCloth],
    windows: GarmentWindows,
    closure: Closure | None,
    elastics: tuple[Elastic, ...],
    backing: Cloth | None,
    judged: Callable[[Cloth], Verdict],
) -> list[Piece]:
    """Every panel with its windows cut, and after each the backing that belongs to it."""
    pieces: list[Piece] = []
    for plan in garment.pattern.plan.panels:
        within, parts = windows.within.get(plan.slug, ()), windows.across.parts.get(plan.slug, ())
        made_of = cloths[plan.slug]
        piece = panel_piece(
            request,
            options,
            garment,
            plan,
            flats[plan.slug],
            made_of.cloth.slug,
            judged(made_of.cloth),
            make_note(garment, options, made_of, elastics, closure, within, parts),
            windows.across,
        )
        if closure is not None and closure.line is not None and closure.panel == plan.slug:
            piece = replace(piece, lines=(*piece.lines, closure.line))
        behind = f"{request.statement.slug}_backing_{plan.slug}"
        pieces += [
            each if backing is None or each.cloth != backing.slug else replace(each, verdict=judged(backing))
            for each in with_windows(piece, within, parts, backing, options, behind)
        ]
    return pieces


def _set_in(
    pieces: Sequence[Piece],
    slug: str,
    options: KnitOptions,
    flats: Mapping[str, FlatPanel],
    windows: GarmentWindows,
    inset: Cloth,
    verdict: Verdict,
) -> list[Piece]:
    """What is set into windows across seams. pieces : of the garment. slug : its own."""
    by_slug = {piece.slug: piece for piece in pieces}
    panels = {panel: by_slug[name] for panel in flats if (name := f"{slug}_{panel}") in by_slug}
    filled = set_in_across_seams(panels, panel_sheets(flats), windows.across, inset, options, slug)
    return [replace(piece, verdict=verdict) for piece in filled]
