"""Close knit garments: leggings, tops and bodysuits, with windows and backing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from pydantic import BaseModel

from layfigure.design.design import PieceStatement
from layfigure.draft.flatten.panel import Ease, FlatPanel
from layfigure.draft.flatten.truing import flatten_panels
from layfigure.draft.garment_cover import SLEEVES, garment_cover
from layfigure.draft.knit.backing import set_in_across_seams, with_windows
from layfigure.draft.knit.checks import knit_checks, stretch_check
from layfigure.draft.knit.choices import knit_choices
from layfigure.draft.knit.closure import closure_of, window_check
from layfigure.draft.knit.collar import joined_to_collar, stand_collar
from layfigure.draft.knit.design_seams import rounded_points
from layfigure.draft.knit.elastic import elastic_items, elastics_of
from layfigure.draft.knit.flat_remedy import NoCollar, NotFlat, with_what_helps
from layfigure.draft.knit.garment import KnitGarment, drafting_line
from layfigure.draft.knit.hood_piece import draft_hood
from layfigure.draft.knit.leggings import leggings_on
from layfigure.draft.knit.lines import balance_lines, centre_line, drawn_fields, seam_notches
from layfigure.draft.knit.note import CAUTIONS, make_note
from layfigure.draft.knit.options import FINISH_ALLOWANCE, KnitOptions
from layfigure.draft.knit.panel_cloths import (
    PanelCloth,
    own_kinds,
    panel_cloths,
    panel_words,
    possible_panels,
)
from layfigure.draft.knit.parts import met_marks, refuse_narrow_parts
from layfigure.draft.knit.top import top_on
from layfigure.draft.knit.upright import upright
from layfigure.draft.knit.verdict import knit_verdict
from layfigure.draft.knit.windows import panel_sheet, windows_of_panels
from layfigure.draft.knit.working import panels_working
from layfigure.draft.knit.worn import LIFT, worn_panels
from layfigure.draft.knit.worn_collar import WornCollar
from layfigure.draft.panels.topology import PanelPlan
from layfigure.draft.registry import Check, DraftRequest, DraftResult, PieceKind, register
from layfigure.draft.stand_collar import STAND_LAYERS
from layfigure.draft.window.across_seams import SeamWindows, windows_across
from layfigure.draft.window.outlines import window_outlines
from layfigure.draft.window.owners import is_across
from layfigure.draft.window.rest_windows import LEAST_STRIP
from layfigure.errors import DraftError
from layfigure.materials.cloth import Cloth
from layfigure.materials.stretch import Reduction, choose_reduction
from layfigure.piece.piece import Grainline, Piece, PieceEdge, Total, Verdict, Window
from layfigure.place.place import points_on
from layfigure.units import parse_length, parse_share

Points = NDArray[np.float64]


def draft_knit(request: DraftRequest) -> DraftResult:
    """Draft a close knit garment.

    Raises DraftError for a cloth that does not stretch, edges that leave no cloth, windows that do not fit.
    """
    try:
        return _drafted(request)
    except (NotFlat, NoCollar) as error:
        raise with_what_helps(error, request, _drafted) from error


def _drafted(request: DraftRequest) -> DraftResult:
    options = request.options
    assert isinstance(options, KnitOptions)
    statement = request.statement
    cloth = _cloth(request, statement.cloth)
    reduction = _reduction(options, cloth, f"piece {statement.slug}")
    if options.garment == "hood":
        return draft_hood(request, options, cloth, reduction)
    on_legs = options.garment in ("leggings", "shorts")
    garment = leggings_on(request, options) if on_legs else top_on(request, options)
    plans = garment.pattern.plan.panels
    cloths = panel_cloths(request, garment.pattern.plan, PanelCloth(cloth=cloth, reduction=reduction))
    eases = {slug: own.ease for slug, own in cloths.items()}
    try:
        laid = flatten_panels(garment.panels, eases)
    except DraftError as error:
        raise NotFlat(error.what, where=error.where, advice=error.advice) from error
    flats = {slug: upright(flat, garment.surface) for slug, flat in laid.items()}
    refuse_narrow_parts(plans, flats)
    backing = None if statement.backing is None else _cloth(request, statement.backing)
    windows, strays, across = _windows(request, options, flats, eases, backing)
    if backing is not None and options.backing_as == "inset":
        framed = own_kinds(cloths[slug] for slug in flats if slug in windows or slug in across.parts)
        strays = (*strays, *(stretch_check(own.cloth, backing) for own in framed))
    closure = closure_of(garment, flats, request.form, cloths) if options.closure else None
    checks = strays + knit_checks(garment, flats, request.form, cloths, closure, own=cloth)
    if closure is not None:
        clear = window_check(closure, windows.get(closure.panel or "", ()))
        checks = checks if clear is None else (*checks, clear)

    def judged(own_cloth: Cloth) -> Verdict:
        return knit_verdict(
            checks, form=request.form, cloth=own_cloth, measures=garment.measures, where=statement.slug
        )

    elastics = elastics_of(garment, flats, options)
    pieces: list[Piece] = []
    for plan in plans:
        flat, own = flats[plan.slug], windows.get(plan.slug, ())
        parts, made_of = across.parts.get(plan.slug, ()), cloths[plan.slug]
        note = make_note(garment, options, made_of, elastics, closure, own, parts)
        verdict = judged(made_of.cloth)
        piece = _piece(request, options, garment, plan, flat, made_of.cloth.slug, verdict, note, across)
        if closure is not None and closure.line is not None and closure.panel == plan.slug:
            piece = replace(piece, lines=(*piece.lines, closure.line))
        cut = with_windows(piece, own, parts, backing, options, f"{statement.slug}_backing_{plan.slug}")
        pieces += [
            each if backing is None or each.cloth != backing.slug else replace(each, verdict=judged(backing))
            for each in cut
        ]
    if backing is not None and options.backing_as == "inset":
        sheets = {slug: panel_sheet(flat) for slug, flat in flats.items()}
        own_pieces = {
            plan.slug: piece
            for plan in plans
            for piece in pieces
            if piece.slug == f"{statement.slug}_{plan.slug}"
        }
        filled = set_in_across_seams(own_pieces, sheets, across, backing, options, statement.slug)
        pieces += [replace(each, verdict=judged(backing)) for each in filled]
    collar = None
    if options.neckline == "stand" and not on_legs:
        collar = _worn_collar(statement.slug, cloth, options, flats)
        pieces = _with_collar(pieces, options, garment, statement.slug, judged(cloth))
    wearing = worn_panels(
        flats,
        windows,
        across,
        cloths,
        prefix=statement.slug,
        pair=garment.pair,
        backing=None if backing is None else backing.slug,
        collar=collar,
    )
    slugs = {plan.slug: _piece_slug(request, garment, plan) for plan in plans}
    items = (*elastic_items(elastics), *([closure.item()] if closure else []))
    return DraftResult(
        pieces=tuple(pieces),
        checks=checks,
        items=items,
        wearing=wearing,
        working=panels_working(flats, cloths, slugs),
        notes=rounded_points(request),
    )


def _with_collar(
    pieces: list[Piece], options: KnitOptions, garment: KnitGarment, slug: str, verdict: Verdict
) -> list[Piece]:
    """The pieces with a stand collar sewn to the neckline of front and back."""
    allowance = parse_length(options.seam_allowance)
    at_neck = [
        plan for plan in garment.pattern.plan.panels if any(edge.line == "neck" for edge in plan.edges)
    ]
    if len(at_neck) > 2:
        raise NoCollar(
            "a seam runs into the neckline, and a stand collar is sewn to a front and a back in one piece.",
            where=f"piece {slug}",
            advice="End the seam below the neckline.",
        )
    parts = {f"{slug}_{plan.slug}": plan.of for plan in at_neck}
    lengths: dict[str, float] = {}
    joined = []
    for piece in pieces:
        part = parts.get(piece.slug)
        if part is not None:
            piece = joined_to_collar(piece, part, slug, allowance)
            lengths[part] = piece.edge("neck").length
        joined.append(piece)
    like = next(piece for piece in joined if parts.get(piece.slug) == "front")
    height = parse_length(options.collar_height)
    collar = stand_collar(like, lengths, height, allowance, slug, verdict, zipped=options.closure)
    return [*joined, collar]


def _worn_collar(slug: str, cloth: Cloth, options: KnitOptions, flats: Mapping[str, FlatPanel]) -> WornCollar:
    necklines = [
        flat.panel.vertices[edge.vertices]
        for flat in flats.values()
        for edge in flat.panel.outline
        if edge.slug == "neck"
    ]
    height = parse_length(options.collar_height)
    # Cut double: what is drawn is its outside.
    return WornCollar(
        name=f"{slug}_collar",
        cloth=cloth.slug,
        necklines=tuple(necklines),
        height=height,
        off=LIFT + cloth.thickness,
    )


def _cloth(request: DraftRequest, slug: str) -> Cloth:
    if slug not in request.cloths:
        raise DraftError(
            f"there is no cloth {slug!r}.",
            where=f"piece {request.statement.slug}",
            advice=f"Known: {', '.join(sorted(request.cloths)) or 'none'}.",
        )
    return request.cloths[slug]


def _reduction(options: KnitOptions, cloth: Cloth, where: str) -> Reduction:
    around, along = (
        None if text is None else parse_share(text)
        for text in (options.reduction_round, options.reduction_along)
    )
    return choose_reduction(cloth, around=around, along=along, where=where)


def _windows(
    request: DraftRequest,
    options: KnitOptions,
    flats: Mapping[str, FlatPanel],
    eases: Mapping[str, Ease],
    backing: Cloth | None,
) -> tuple[dict[str, tuple[Window, ...]], tuple[Check, ...], SeamWindows]:
    """Windows by panel, how far their edges may stray, and those that run across seams."""
    form = request.form
    if not request.statement.windows:
        return {}, (), SeamWindows(parts={}, crossings=())
    outlines = window_outlines(
        request,
        curve=lambda placed: drafting_line(form, placed),
        points=lambda placed: points_on(form.drafting_charts, placed.at),
    )
    sheets = {slug: panel_sheet(flat) for slug, flat in flats.items()}
    crossing = {
        slug: outline.curve
        for slug, outline in outlines.items()
        if options.across_seams and is_across(sheets, outline.curve)
    }
    if crossing and backing is None:
        raise DraftError(
            "nothing would hold the edge of a window across a seam.",
            where=f"window {next(iter(crossing))}",
            advice="Give the piece a backing, or move the window off the seam.",
        )
    across = windows_across(sheets, crossing, strip=LEAST_STRIP)
    whole = {slug: outline for slug, outline in outlines.items() if slug not in crossing}
    prefix = None if backing is None else f"{request.statement.slug}_backing"
    return *windows_of_panels(flats, whole, eases, backing=prefix), across


def _piece(
    request: DraftRequest,
    options: KnitOptions,
    garment: KnitGarment,
    plan: PanelPlan,
    flat: FlatPanel,
    cloth: str,
    verdict: Verdict,
    note: tuple[str, ...],
    across: SeamWindows,
) -> Piece:
    statement = request.statement
    kinds = {line: opening.kind for opening in garment.openings for line in opening.lines}
    fields = drawn_fields(request.form, garment.levels, flat.panel)
    edges = []
    for use, edge in zip(plan.edges, flat.panel.outline, strict=True):
        curve = flat.curves[use.slug]
        if use.seam is None:
            allowance = FINISH_ALLOWANCE[options.finish_of(kinds[use.line])]
            edges.append(PieceEdge(slug=use.slug, curve=curve, role=use.role, allowance=allowance))
            continue
        # The panel's own seam name becomes the design's: two garments may both have a side seam.
        seam = f"{statement.slug}.{use.seam}"
        panel_edge = PieceEdge(
            slug=use.slug, curve=curve, role="seam", allowance=0.0, seam=edge.seam, against=edge.against
        )
        notches = seam_notches(flat.panel, edge, curve, fields, seam=use.seam)
        notches = tuple(sorted((*notches, *across.notches(panel_edge)), key=lambda notch: notch.distance))
        edges.append(
            PieceEdge(
                slug=use.slug,
                curve=curve,
                role="seam",
                allowance=parse_length(options.seam_allowance),
                seam=seam,
                against=use.against,
                notches=notches,
            )
        )
    middle = centre_line(flat, "centre")
    lines = [*balance_lines(flat, fields), *([middle] if middle else [])]
    lines += met_marks(plan, flat)
    lines += [line for part in across.parts.get(plan.slug, ()) for line in part.inner_lines()]
    part, _, end = plan.of.rpartition("_")
    has_side = end in ("left", "right")
    side: Literal["left", "right", "middle"] = (
        ("left" if end == "left" else "right") if has_side else "middle"
    )
    label = statement.label or statement.slug.replace("_", " ")
    pair = garment.pair and has_side
    return Piece(
        slug=_piece_slug(request, garment, plan),
        label=f"{label}: {part.replace('_', ' ') if pair else panel_words(plan)}",
        kind="knit",
        cloth=cloth,
        edges=tuple(edges),
        grainline=_stretch_arrow(flat),
        totals=_totals(edges),
        verdict=verdict,
        side="both" if pair else side,
        count=2 if pair else 1,
        lines=tuple(lines),
        note=note,
        cautions=CAUTIONS,
        layer=statement.layer,
        edition=request.edition,
    )


def _piece_slug(request: DraftRequest, garment: KnitGarment, plan: PanelPlan) -> str:
    """Name of a panel's piece: one drafted for both sides is named for neither."""
    part, _, end = plan.of.rpartition("_")
    pair = garment.pair and end in ("left", "right")
    return f"{request.statement.slug}_{part if pair else plan.slug}"


def _stretch_arrow(flat: FlatPanel) -> Grainline:
    """A level arrow across the widest free stretch near the middle of the panel."""
    polygon = shapely.Polygon(np.concatenate([flat.curves[e.slug][:-1] for e in flat.panel.outline]))
    centre = polygon.representative_point()
    low, _, high, _ = polygon.bounds
    across = polygon.intersection(shapely.LineString([(low, centre.y), (high, centre.y)]))
    longest = max(shapely.get_parts(across), key=lambda part: part.length)
    (x0, y), (x1, _) = longest.coords[0], longest.coords[-1]
    inset = 0.2 * (x1 - x0)
    return Grainline(start=(x0 + inset, y), end=(x1 - inset, y), kind="stretch")


def _totals(edges: list[PieceEdge]) -> tuple[Total, ...]:
    """Three lengths to check on paper: the two longest seams and the longest finished edge."""
    seams = sorted((e for e in edges if e.seam is not None), key=lambda e: -e.length)
    free = sorted((e for e in edges if e.seam is None), key=lambda e: -e.length)
    chosen = [*seams[: 3 - min(1, len(free))], *free[:1]]
    return tuple(
        Total(what=f"{edge.slug.replace('_', ' ')}, along the stitch line", length=edge.length)
        for edge in chosen
    )


COVERED = {
    "leggings": ("torso", "thigh", "shank"),
    "shorts": ("torso", "thigh"),
    "hood": ("head", "neck"),
}
"""Regions of garments that have no sleeves; the others cover the trunk, and the arms with sleeves."""


def covered_regions(options: BaseModel, _side: str) -> dict[str, float]:
    """One layer where the garment lies, two in a stand collar; elastic and hems are thin enough to pass."""
    assert isinstance(options, KnitOptions)
    if options.garment in COVERED:
        return garment_cover(COVERED[options.garment])
    covered = garment_cover(("torso", *SLEEVES) if options.has_sleeves else ("torso",))
    return covered | garment_cover(("neck",), STAND_LAYERS) if options.neckline == "stand" else covered


def _unused(statement: PieceStatement, options: BaseModel) -> dict[str, str]:
    assert isinstance(options, KnitOptions)
    if options.garment != "hood":
        return {}
    unused = dict.fromkeys(("windows", "backing"), "a hood has no windows.")
    unused["seams"] = "a hood is cut by formula, and no seam can be put across it."
    return unused | dict.fromkeys(statement.cloths, "a hood is cut from one cloth.")


KIND = register(
    PieceKind(
        name="knit",
        summary="Close-fitting garments of stretch cloth: leggings, tops and bodysuits, with windows.",
        options=KnitOptions,
        draft=draft_knit,
        choices=knit_choices,
        covers=covered_regions,
        windows=True,
        backing=True,
        seams=True,
        panels=possible_panels,
        unused=_unused,
        edges={
            "top": "upper edge of leggings, right round the trunk; the waist where left out",
            "hem": "lower edge of each leg, or of a top",
            "hem_left": "lower edge of the left leg, where the two differ",
            "hem_right": "lower edge of the right leg, where the two differ",
            "neck": "neckline of a top or bodysuit, right round",
            "armhole": "each armhole, right round the shoulder",
            "armhole_left": "left armhole, where the two differ",
            "armhole_right": "right armhole, where the two differ",
            "leg": "each leg opening of a bodysuit, right round the top of the thigh",
            "leg_left": "left leg opening of a bodysuit, where the two differ",
            "leg_right": "right leg opening of a bodysuit, where the two differ",
            "cuff": "lower edge of each sleeve, right round the arm",
            "cuff_left": "lower edge of the left sleeve, where the two differ",
            "cuff_right": "lower edge of the right sleeve, where the two differ",
        },
    )
)
