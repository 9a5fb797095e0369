"""The kind ``wrap``: a stiff sheet bent round a limb, a trunk or part of one, without stretching it.

Forearm guard, cuff, thigh band, shin plate, hand plate. The wrap is made of one to three bands that bend one
way only and clear the body, layers beneath included; slanted and pointed edges are drawn on the bands where
the design places them and laid flat exactly.
"""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel
from shapely import Polygon

from layfigure.body.levels import split_region
from layfigure.design.design import PieceStatement
from layfigure.draft.kept_fields import joined_fields
from layfigure.draft.quick.limb import limb_recipes
from layfigure.draft.registry import Check, DraftRequest, DraftResult, PieceKind, Working, register
from layfigure.draft.sheet_practice import cautions_for, sheet_practice
from layfigure.draft.verdict import governing_measures, wrap_verdict
from layfigure.draft.window.cut_out import with_windows
from layfigure.draft.window.sheet import Kept, Sheet
from layfigure.draft.wrap.beneath import NO_ROOM, beneath
from layfigure.draft.wrap.boot import draft_boot
from layfigure.draft.wrap.choices import wrap_choices
from layfigure.draft.wrap.closing import STRAPS, closing_items, lacing_holes
from layfigure.draft.wrap.lattice import lattice_links, lattice_note, lattice_openings, lattice_outlines
from layfigure.draft.wrap.lie import band_carry
from layfigure.draft.wrap.note import wrap_note
from layfigure.draft.wrap.outline import Trace, trace
from layfigure.draft.wrap.piece import (
    BandOutline,
    EdgeUse,
    centre_line,
    grain,
    mates_differ,
    outline_edges,
    totals,
    within,
)
from layfigure.draft.wrap.plan import WrapOptions, WrapPlan, wrap_plans
from layfigure.draft.wrap.shown import band_shown
from layfigure.draft.wrap.surface import (
    GAP_LIMIT,
    WrapSurface,
    inner_girths,
    neutral_bands,
    section_axis,
    wrap_surface,
)
from layfigure.draft.wrap.working import BandsWorking
from layfigure.draft.wrap.worn import SLIDES, bevels, opening_check, slide, slide_check
from layfigure.errors import DraftError
from layfigure.materials.cloth import Cloth
from layfigure.piece.item import Item
from layfigure.piece.piece import EdgeRole, InnerLine, Piece, PieceEdge, Window
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]
MATES_LIMIT = 0.05
PASSES = MappingProxyType(
    {"forearm": ("hand_with_thumb_girth", "hand"), "shank": ("heel_girth", "heel and foot")}
)


def draft_wrap(request: DraftRequest) -> DraftResult:
    """Pieces of a wrap.

    Raises DraftError for edges that do not bound one region, or that leave no room for a band.
    """
    options = request.options
    assert isinstance(options, WrapOptions)
    where = f"piece {request.statement.slug}"
    if options.boot is not None:
        try:
            return draft_boot(request, options.boot)
        except DraftError as error:
            raise DraftError(error.what, where=error.where or where, advice=error.advice) from error
    try:
        cloth = request.cloths[request.statement.cloth]
    except KeyError:
        raise DraftError(
            f"there is no material {request.statement.cloth!r}.",
            where=where,
            advice="Add it to materials.toml.",
        ) from None
    pieces: list[Piece] = []
    checks: list[Check] = []
    items: list[Item] = []
    worn: list[WornSurface] = []
    working: list[Working | None] = []
    try:
        for plan in wrap_plans(request, options):
            result = _draft_plan(plan, request, options, cloth)
            working.append(result.working)
            pieces.extend(result.pieces)
            checks.extend(result.checks)
            items.extend(result.items)
            worn.extend(result.worn)
    except DraftError as error:
        raise DraftError(error.what, where=error.where or where, advice=error.advice) from error
    return DraftResult(
        pieces=tuple(pieces),
        checks=tuple(checks),
        items=tuple(items),
        worn=tuple(worn),
        working=joined_fields(working),
    )


def _bands_asked(options: WrapOptions) -> int | None:
    """How many bands the sheet is made of; a lattice is drawn on one."""
    if options.lattice is not None:
        return 1
    return None if options.bands == "auto" else options.bands


def _draft_plan(plan: WrapPlan, request: DraftRequest, options: WrapOptions, cloth: Cloth) -> DraftResult:
    practice = sheet_practice(cloth)
    stations = np.concatenate([plan.top.station, plan.bottom.station])
    first, last = float(stations.min()), float(stations.max())
    frame = section_axis(plan.chart, first, last)
    least_radius = options.least_radius or practice.least_radius
    surface = wrap_surface(
        plan.chart,
        frame,
        plan.bottom.on(plan.chart),
        plan.top.on(plan.chart),
        clearance=request.stack + options.air,
        least_radius=least_radius,
        bands=_bands_asked(options),
        plate=None
        if plan.join != "open"
        else plan.chart.points(
            _middle_station(plan), plan.at + 0.5 * plan.cover * np.array([-1.0, 0.0, 1.0])
        ),
    )
    overlap = practice.closure if options.overlap is None else options.overlap
    outlines = _outlines(plan, surface, options, cloth)
    lattice = options.lattice
    apart = lattice is not None and lattice.joined != "one piece"
    openings: tuple[Window, ...] = ()
    if lattice is not None and apart:
        outlines = lattice_outlines(outlines[0], lattice)
    elif lattice is not None:
        openings = lattice_openings(outlines[0], lattice)
    seam_lap = practice.band_lap
    drawn = []
    for number, outline in enumerate(outlines, start=1):
        try:
            bottom, top = outline.lines()
        except ValueError as error:
            raise DraftError(
                f"an edge of {plan.slug} {error}.", advice="Draw it right round, or cover a smaller share."
            ) from error
        uses = _uses(plan, number, len(outlines), overlap=overlap, seam_lap=seam_lap, apart=apart)
        drawn.append((outline, bottom, top, outline_edges(bottom, top, uses=uses)))
    checks = _surface_checks(surface, [d[0] for d in drawn], [d[3] for d in drawn])
    worn = _worn_checks(plan, surface, request, opens=plan.join in ("overlap", "lacing"))
    checks.extend(worn)
    named = [replace(check, what=f"{plan.label}: {check.what}") for check in checks]
    # A wrap that slides is hung up when worn; its outline is right all the same.
    verdict = wrap_verdict(
        [check for check in checks if check.what != SLIDES],
        form=request.form,
        cloth=cloth,
        measures=governing_measures(plan.chart.region, first, last),
        spread=max(plan.top.spread, plan.bottom.spread),
        assumed=request.assumed,
    )
    lean = bevels(surface)
    pieces = []
    holes = 0
    for number, (outline, bottom, top, edges) in enumerate(drawn, start=1):
        centre = centre_line(bottom, top, "centre")
        lines = [centre]
        level = outline.across(_level_height(surface, outline))
        level = None if level is None else within(level, bottom, top)
        if level is not None:
            lines.append(InnerLine(kind="balance", curve=level, label="level: square to the limb"))
        if plan.join == "lacing":
            laced = lacing_holes(edges, openings)
            lines.extend(laced)
            holes += len(laced)
        many = len(drawn) > 1
        pieces.append(
            Piece(
                slug=f"{plan.slug}_{number}" if many else plan.slug,
                label=f"{plan.label}, {_band_name(number, len(drawn))}" if many else plan.label,
                kind=request.statement.kind,
                cloth=cloth.slug,
                edges=edges,
                windows=openings,
                grainline=grain(bottom, top, cloth.kind),
                totals=totals(bottom, top, centre),
                verdict=verdict,
                side=plan.side,
                count=2 if plan.side == "both" else 1,
                lines=tuple(lines),
                note=(
                    *wrap_note(
                        cloth=cloth,
                        number=number,
                        of=len(drawn),
                        join=plan.join,
                        lap=overlap,
                        gap=options.lacing_gap,
                        closed=plan.join != "open",
                        bevels=lean,
                        advice=tuple(check.advice for check in worn if check.advice),
                    ),
                    *(() if lattice is None else lattice_note(lattice)),
                    *plan.note,
                ),
                cautions=cautions_for(cloth),
                layer=request.statement.layer,
                edition=request.edition,
                thickness=cloth.thickness,
            )
        )
    cut = with_windows(
        request,
        pieces,
        lambda: [
            Sheet(
                slug=piece.slug,
                edges=piece.edges,
                carry=band_carry(outline, surface.frame),
                kept=_kept(piece),
            )
            for piece, outline in zip(pieces, outlines, strict=True)
        ],
    )
    bands = {piece.slug for piece in pieces}
    laid = {piece.slug: outline for piece, outline in zip(pieces, outlines, strict=True)}
    pieces = list(cut.pieces)
    named += cut.checks
    pieces.extend(
        more for piece in cut.pieces if piece.slug in bands for more in beneath(piece, request, options.inset)
    )
    sides = 2 if plan.side == "both" else 1
    items = closing_items(
        plan,
        ends=[next(edge.length for edge in edges if edge.slug == "right") for *_, edges in drawn],
        apart=apart,
        lap=overlap,
        gap=options.lacing_gap,
        holes=holes,
        rest=_rest(plan, surface),
    )
    half_thick = (1.0 - practice.neutral_share) * cloth.thickness
    return DraftResult(
        pieces=tuple(pieces),
        checks=tuple(named),
        items=(*items, *(() if lattice is None else lattice_links(plan.label, lattice, sides))),
        worn=tuple(
            WornSurface(
                name=f"{plan.slug}_{number}" if len(outlines) > 1 else plan.slug,
                mesh=band_shown(outline, surface.frame, half_thick),
                cloth=cloth.slug,
            )
            for number, outline in enumerate(outlines, start=1)
        ),
        working=BandsWorking(outlines=laid, surface=surface, least_radius=least_radius),
    )


def _kept(piece: Piece) -> tuple[Kept, ...]:
    """Lacing holes."""
    return tuple(
        Kept(what="a hole of the lacing", curve=line.curve, closed=True)
        for line in piece.lines
        if line.closed
    )


def _outlines(plan: WrapPlan, surface: WrapSurface, options: WrapOptions, cloth: Cloth) -> list[BandOutline]:
    bands = neutral_bands(surface, cloth.thickness, sheet_practice(cloth).neutral_share)
    count = bands[0].count
    middle = _middle_station(plan)

    def rulings(*around: float) -> list[float]:
        places = surface.frame.to_frame(plan.chart.points(np.full(len(around), middle), around))
        near = np.abs([band.share(places[:, 2]) - 0.5 for band in bands]).argmin(axis=0)
        found = [band.nearest(places)[0] for band in bands]
        return [float(found[band][k]) for k, band in enumerate(near)]

    if plan.join == "open":
        at, *ends = rulings(plan.at, plan.at - 0.5 * plan.cover, plan.at + 0.5 * plan.cover)
        sides = [_unwrapped(at, end, count) for end in ends]
        first = round(min(sides))
        trapezoids = max(8, round(max(sides)) - first)
        centre = _unwrapped(first + 0.5 * trapezoids, at, count)
    else:
        opening, opposite = rulings(plan.at, plan.at + 0.5)
        first, trapezoids = round(opening), count
        centre = _unwrapped(first + 0.5 * count, opposite, count)
    last = len(bands) - 1
    bottom: Trace = trace(bands[0], surface.bottom, surface.bottom_corner)
    top: Trace = trace(bands[last], surface.top, surface.top_corner)
    return [
        BandOutline(
            band=band,
            first=first,
            trapezoids=trapezoids,
            centre=centre,
            bottom=bottom if k == 0 else None,
            top=top if k == last else None,
            gap=options.lacing_gap if plan.join == "lacing" else 0.0,
        )
        for k, band in enumerate(bands)
    ]


def _rest(plan: WrapPlan, surface: WrapSurface) -> list[float]:
    """What a plate leaves of the girth at a third and two thirds of its height, for its straps [mm]."""
    low, high = float(surface.bottom[:, 2].mean()), float(surface.top[:, 2].mean())
    heights = np.linspace(low, high, STRAPS + 2)[1:-1]
    return [float(girth) for girth in (1.0 - plan.cover) * inner_girths(surface.fit, heights)]


def _middle_station(plan: WrapPlan) -> float:
    return 0.5 * (float(plan.top.station.mean()) + float(plan.bottom.station.mean()))


def _unwrapped(reference: float, ruling: float, count: int) -> float:
    """The lap of a ruling nearest to a reference."""
    return ruling + count * round((reference - ruling) / count)


def _uses(
    plan: WrapPlan, number: int, of: int, *, overlap: float, seam_lap: float, apart: bool
) -> dict[str, EdgeUse]:
    """Finish of bottom, right, top and left of one band; bands of a lattice cut apart share no seam."""
    finished = EdgeUse(role="opening")
    between: EdgeRole = "seam" if seam_lap > 0.0 else "butt"
    closing = f"{plan.slug}:closure_{number}"
    ends = {
        "overlap": (
            EdgeUse(role="closure", allowance=overlap, seam=closing),
            EdgeUse(role="closure", seam=closing),
        ),
        "butt": (EdgeUse(role="butt", seam=closing), EdgeUse(role="butt", seam=closing)),
        "lacing": (EdgeUse(role="closure"), EdgeUse(role="closure")),
        "open": (finished, finished),
    }[plan.join]
    return {
        "bottom": finished
        if number == 1 or apart
        else EdgeUse(role=between, seam=f"{plan.slug}:band_{number - 1}_{number}"),
        "top": finished
        if number == of or apart
        else EdgeUse(role=between, allowance=seam_lap, seam=f"{plan.slug}:band_{number}_{number + 1}"),
        "right": ends[0],
        "left": ends[1],
    }


def _band_name(number: int, of: int) -> str:
    named = {2: ("lower band", "upper band"), 3: ("lower band", "middle band", "upper band")}
    return named[of][number - 1] if of in named else f"band {number} of {of}, from the bottom"


def _level_height(surface: WrapSurface, outline: BandOutline) -> float:
    """Half-way between the edges of the band, where a level line is clear of both if it can be."""
    low = outline.band.low_height if outline.bottom is None else float(surface.bottom[:, 2].max())
    high = outline.band.high_height if outline.top is None else float(surface.top[:, 2].min())
    return 0.5 * (low + high)


def _surface_checks(
    surface: WrapSurface, outlines: list[BandOutline], edges: list[tuple[PieceEdge, ...]]
) -> list[Check]:
    by_seam: dict[str, list[PieceEdge]] = {}
    for band_edges in edges:
        for edge in band_edges:
            if edge.seam is not None:
                by_seam.setdefault(edge.seam, []).append(edge)
    mates = max((mates_differ(*pair) for pair in by_seam.values() if len(pair) == 2), default=0.0)
    stretch = max(outline.stretch_error() for outline in outlines)
    simple = [Polygon(np.concatenate([e.curve[:-1] for e in band])).is_valid for band in edges]
    return [
        Check(
            what="how far the body stands out of the sheet, room and layers beneath counted",
            unit="mm",
            value=max(0.0, surface.poke),
            limit=0.0,
            passed=surface.poke <= 1e-6,
            advice="" if surface.poke <= 1e-6 else "Give it more air.",
        ),
        Check.at_most(
            what="how far it stands off the body, but for 5 % of its area",
            unit="mm",
            value=surface.gap_p95,
            limit=GAP_LIMIT,
            advice="It stands away from the body: allow more bands, or make it shorter.",
        ),
        Check.at_most(
            what="how far edges that are joined differ in length between notches",
            unit="mm",
            value=mates,
            limit=MATES_LIMIT,
        ),
        Check.at_most(
            what="how much laying flat changes a length",
            unit="mm",
            value=stretch,
            limit=0.01,
        ),
        Check(
            what="how many outlines cross themselves",
            value=float(simple.count(False)),
            limit=0.0,
            passed=all(simple),
            advice="" if all(simple) else "Move the edges apart where they meet.",
        ),
    ]


def _worn_checks(plan: WrapPlan, surface: WrapSurface, request: DraftRequest, *, opens: bool) -> list[Check]:
    definition, side = split_region(plan.chart.region)
    if plan.join == "open" or not definition.paired:
        return []
    checks = []
    widest = None
    if definition.name in PASSES:
        measure, part = PASSES[definition.name]
        widest = request.form.measures.get(f"{measure}_{side}")
        opening = opening_check(surface, widest, part, opens=opens)
        if opening is not None:
            checks.append(opening)
    if not plan.hinged:
        checks.append(slide_check(slide(surface, plan.chart.sections, request.stack, beyond=widest)))
    return checks


def _spared(options: BaseModel) -> frozenset[str]:
    assert isinstance(options, WrapOptions)
    return frozenset() if options.boot is None else frozenset({"bottom"})


def _reads_tracing(options: BaseModel) -> bool:
    """The sole of a shoe is read; any other tracing is an outline to cut by."""
    assert isinstance(options, WrapOptions)
    return options.boot is not None and options.boot.sole_traced


def _unused(statement: PieceStatement, options: BaseModel) -> dict[str, str]:
    assert isinstance(options, WrapOptions)
    if options.boot is not None:
        return dict.fromkeys(
            ("windows", "backing"), "a boot cover is drawn tight over a shoe and has no windows."
        ) | {"stiffener": "a boot cover bends with the foot and has no stiffener."}
    if options.lattice is not None:
        unused = dict.fromkeys(("windows", "backing"), "a lattice has its own openings.")
        return unused | ({"stiffener": NO_ROOM} if options.lattice.joined == "one piece" else {})
    if statement.windows:
        return {"stiffener": "a stiffener would show through the windows."}
    return {}


KIND = register(
    PieceKind(
        name="wrap",
        summary="a stiff sheet bent round a limb, neck or trunk: guard, cuff, band, collar, plate, lattice",
        options=WrapOptions,
        draft=draft_wrap,
        choices=wrap_choices,
        edges={
            "top": "upper edge, right round the limb, pointed or slanted",
            "bottom": "lower edge, right round the same limb; not for boot covers",
        },
        required=frozenset({"bottom", "top"}),
        spares=_spared,
        quick=limb_recipes("wrap"),
        cloths={"lining": "glued or basted inside", "stiffener": "a removable insert; not in boot covers"},
        windows=True,
        backing=True,
        unused=_unused,
        reads_tracing=_reads_tracing,
    )
)
