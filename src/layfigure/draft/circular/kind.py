"""The kind ``circular``: skirts, capes and ruffles cut from any part of a circle."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from pydantic import BaseModel

from layfigure.body.form import Form
from layfigure.design.design import PieceStatement
from layfigure.draft.bulk import Bulk, layers
from layfigure.draft.circular.checks import circular_checks
from layfigure.draft.circular.choices import circular_choices
from layfigure.draft.circular.lie import TOLD, panel_carry
from layfigure.draft.circular.note import panel_note
from layfigure.draft.circular.options import CircularOptions
from layfigure.draft.circular.panels import panel_count, panel_edges, panel_grain, panel_lines, width_check
from layfigure.draft.circular.plan import CircularPlan, circular_plan
from layfigure.draft.circular.quick import RECIPES
from layfigure.draft.circular.top import TopPart, top_parts
from layfigure.draft.circular.worn import hood_mesh, limb_mesh, upright_mesh, worn_mesh
from layfigure.draft.garment_cover import PLEATED, garment_cover
from layfigure.draft.registry import DraftRequest, DraftResult, PieceKind, register
from layfigure.draft.sewn_practice import sewn_practice
from layfigure.draft.sheet_practice import cautions_for
from layfigure.draft.stand_collar import STAND_LAYERS
from layfigure.draft.verdict import governing_measures, wrap_verdict
from layfigure.draft.window.cut_out import CutPieces, with_windows
from layfigure.draft.window.sheet import Sheet
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length
from layfigure.materials.cloth import Cloth
from layfigure.piece.item import Item
from layfigure.piece.piece import Piece, Total, Verdict
from layfigure.piece.worn import HANGS, WornSurface
from layfigure.place.placement import PlacedEdge

ELASTIC_SHARE = 0.9
"""Of the waist: 85 to 95 % is common practice."""
ELASTIC_LAP = 12.0
LINING_SHORTER = 20.0
"""A lining's hem above the cloth's own [mm] (common practice, no source)."""
UNSEEN = ("no body was asked, and the hem is cut the same length all round",)
TRIAL = "Hang a hand-wide strip of it on the bias for a day, measure how far it drops,"


def draft_circular(request: DraftRequest) -> DraftResult:
    """Panels, what finishes the top edge, lining and interfacing.

    Raises DraftError for sizes that are missing, and for a hem above the top edge or below the floor.
    """
    options = request.options
    assert isinstance(options, CircularOptions)
    statement = request.statement
    where = f"piece {statement.slug}"
    cloth = request.cloth
    placed = {role: request.placement.edges[slug] for role, slug in statement.edges.items()}

    def planned(options: CircularOptions) -> CircularPlan:
        return circular_plan(
            options,
            request.form,
            placed.get("top"),
            placed.get("hem"),
            clearance=request.stack,
            folds=request.folds,
            where=where,
        )

    plan = planned(options)
    practice = sewn_practice(cloth)
    count = panel_count(plan, options, cloth.width, 2.0 * practice.seam, where)
    if plan.pleats is not None and plan.pleats.count % count:
        # As many pleats in every panel, so that no seam falls inside one.
        options = options.model_copy(update={"panels": count})
        plan = planned(options)
    checks = [
        width_check(plan, options, count, cloth.width, 2.0 * practice.seam),
        *circular_checks(plan, options, request.form),
    ]
    measures = governing_measures(plan.region, *plan.stations) if plan.region else ()
    verdict = wrap_verdict(
        checks,
        form=request.form,
        cloth=cloth,
        measures=measures,
        spread=plan.spread,
        assumed=(*request.assumed, *(UNSEEN if plan.worn is None and options.use != "ruffle" else ())),
        trial=TRIAL,
    )
    label = statement.label or statement.slug.replace("_", " ")
    base = Piece(
        slug=statement.slug,
        label=label,
        kind=statement.kind,
        cloth=cloth.slug,
        edges=(),
        grainline=panel_grain(plan, options, count, 0),
        totals=(),
        verdict=verdict,
        side="middle" if statement.side == "both" else statement.side,
        cautions=cautions_for(cloth),
        layer=statement.layer,
        edition=request.edition,
        thickness=cloth.thickness,
    )
    note = panel_note(plan, options, cloth, checks, count, seated=request.form.posture == "seated")
    pieces = _panels(base, plan, options, cloth, count, note)
    lining = statement.cloths.get("lining")
    if lining is not None:
        pieces += _lining(base, plan, options, request.cloths[lining], count, verdict)
    for part in top_parts(
        plan, options, practice, request.form, seam=statement.slug, count=count, where=where
    ):
        pieces.append(_part(base, part))
        interfacing = statement.cloths.get("interfacing")
        if interfacing is not None and part.interfaced:
            pieces.append(_interfacing(base, part, request.cloths[interfacing]))
    cut = _with_windows(request, plan, options, count, pieces, where)
    pieces, checks = list(cut.pieces), [*checks, *cut.checks]
    worn = _worn(plan, options, base, request.form, placed.get("top"))
    return DraftResult(
        pieces=tuple(pieces),
        checks=tuple(replace(check, what=f"{label}: {check.what}") for check in checks),
        items=_items(plan, options),
        worn=worn,
        bulk=_bulk(plan, worn[:1], cloth.thickness),
    )


def _with_windows(
    request: DraftRequest,
    plan: CircularPlan,
    options: CircularOptions,
    count: int,
    pieces: list[Piece],
    where: str,
) -> CutPieces:
    """The panels with their windows."""
    if not request.statement.windows:
        return CutPieces(pieces=tuple(pieces))
    if plan.worn is None:
        raise DraftError(
            "it does not hang on the trunk, so nothing says where its windows lie.",
            where=where,
            advice="Give it a top edge on the body, or leave windows out.",
        )
    sheets = [
        Sheet(
            slug=piece.slug,
            edges=piece.edges,
            carry=panel_carry(plan, options, count, number),
            told=TOLD,
        )
        for number, piece in enumerate(pieces[:count])
    ]
    return with_windows(request, pieces, lambda: sheets)


def _bulk(plan: CircularPlan, worn: Sequence[WornSurface], thickness: float) -> tuple[Bulk, ...]:
    """Pleats and gathers, all the way down: three cloths where one lies elsewhere."""
    if plan.pleats is None and not plan.gathered:
        return ()
    what = "pleats" if plan.pleats is not None else "gathers"
    return tuple(
        Bulk(what=what, places=surface.mesh.vertices, thickness=layers(2.0, thickness)) for surface in worn
    )


def _worn(
    plan: CircularPlan, options: CircularOptions, base: Piece, form: Form, top: PlacedEdge | None
) -> tuple[WornSurface, ...]:
    """The cloth, and what stands up from its top edge."""
    if plan.worn is None and top is not None:
        ruffle = limb_mesh(plan, top.line, form.charts[top.at[0].region])
        return (WornSurface(name=base.slug, mesh=ruffle, cloth=base.cloth, gives=HANGS),)
    shown = [(base.slug, worn_mesh(plan, over_arms=options.use == "cape"))]
    if options.finish == "collar":
        shown.append((f"{base.slug}_collar", upright_mesh(plan, options.collar_height, options.collar_lean)))
    elif options.finish in ("band", "elastic"):
        shown.append((f"{base.slug}_band", upright_mesh(plan, options.band_depth, 0.0)))
    if options.hood:
        shown.append((f"{base.slug}_hood", hood_mesh(plan, form.charts["head"])))
    return tuple(
        WornSurface(name=name, mesh=mesh, cloth=base.cloth, gives=HANGS if name == base.slug else 0.0)
        for name, mesh in shown
        if mesh is not None
    )


def _panels(
    base: Piece,
    plan: CircularPlan,
    options: CircularOptions,
    cloth: Cloth,
    count: int,
    note: tuple[str, ...],
    *,
    suffix: str = "",
    shorter: float = 0.0,
) -> list[Piece]:
    practice = sewn_practice(cloth)
    usual = practice.curved_hem if plan.flat.share > 0.0 else practice.hem
    hem = usual if options.hem_allowance is None else options.hem_allowance
    found = []
    for number in range(count):
        edges = panel_edges(
            plan,
            options,
            practice,
            seam=f"{base.slug}{suffix}",
            count=count,
            number=number,
            shorter=shorter,
            hem=hem,
        )
        by_name = {edge.slug: edge for edge in edges}
        told = base.label + suffix.replace("_", ", ")
        found.append(
            replace(
                base,
                slug=f"{base.slug}{suffix}_{number + 1}" if count > 1 else f"{base.slug}{suffix}",
                label=f"{told}, {number + 1} of {count}" if count > 1 else told,
                cloth=cloth.slug,
                edges=edges,
                grainline=panel_grain(plan, options, count, number),
                totals=(
                    Total(what="top edge along the line, flat", length=by_name["top"].length),
                    Total(what="left side, top edge to hem", length=by_name["left"].length),
                    Total(what="hem along the line", length=length(by_name["hem"].curve)),
                ),
                lines=tuple(panel_lines(plan, options, count, number)),
                note=note,
            )
        )
    return found


def _lining(
    base: Piece, plan: CircularPlan, options: CircularOptions, cloth: Cloth, count: int, verdict: Verdict
) -> list[Piece]:
    note = (
        f"Lining, from {cloth.name}: made like the outside and hung inside it, seams to the inside.",
        f"It is {LINING_SHORTER:g} mm shorter; leave its hem free of the outside's.",
    )
    # A lining's top is sewn in with the outside's, so its seams there bear no name of their own.
    pieces = _panels(base, plan, options, cloth, count, note, suffix="_lining", shorter=LINING_SHORTER)
    return [
        replace(
            piece,
            edges=tuple(replace(edge, seam=None) if edge.slug == "top" else edge for edge in piece.edges),
            verdict=verdict,
            thickness=cloth.thickness,
        )
        for piece in pieces
    ]


def _part(base: Piece, part: TopPart) -> Piece:
    return replace(
        base,
        slug=f"{base.slug}_{part.name}",
        label=f"{base.label}, {part.label}",
        edges=part.edges,
        grainline=part.grainline,
        totals=part.totals,
        lines=part.lines,
        note=part.note,
        count=part.count,
        side="both" if part.pair else base.side,
    )


def _interfacing(base: Piece, part: TopPart, cloth: Cloth) -> Piece:
    """The same outline without allowances, so that seams stay thin."""
    return replace(
        _part(base, part),
        slug=f"{base.slug}_{part.name}_interfacing",
        label=f"{base.label}, {part.label}, interfacing",
        cloth=cloth.slug,
        edges=tuple(replace(edge, allowance=0.0, seam=None, notches=()) for edge in part.edges),
        note=("Fuse or baste to the wrong side, inside the stitch line.",),
        count=1,
        thickness=cloth.thickness,
    )


def _items(plan: CircularPlan, options: CircularOptions) -> tuple[Item, ...]:
    items = []
    if options.finish == "elastic":
        items.append(
            Item(
                slug=f"elastic_{math.floor(options.band_depth)}mm",
                name=f"elastic, {options.band_depth:g} mm wide",
                length=ELASTIC_SHARE * plan.finished + ELASTIC_LAP,
                use="through the casing, its ends overlapping 12 mm",
            )
        )
    elif options.use == "skirt" and plan.joined and options.opening is not None:
        items.append(Item(slug="zip_200mm", name="zip, 200 mm", use=f"in the seam at the {options.opening}"))
        items.append(Item(slug="hook_and_bar", name="hook and bar", use="closes the band"))
    elif options.use == "cape" and options.opening is not None:
        items.append(Item(slug="cape_clasp", name="clasp, or two hooks and eyes", use="closes the neck"))
    return tuple(items)


def covered_regions(options: BaseModel, _side: str) -> dict[str, float]:
    """The trunk beneath a skirt, trunk and upper arms beneath a cape, the neck in its collar; a ruffle only
    hangs on.
    """
    assert isinstance(options, CircularOptions)
    if options.use == "ruffle":
        return {}
    layers = 1.0 if options.pleats == "none" else PLEATED
    covered = garment_cover(("torso", "upper_arm") if options.use == "cape" else ("torso",), layers)
    if options.use == "cape" and options.finish == "collar":
        covered |= garment_cover(("neck",), STAND_LAYERS)
    return covered


def unused(_statement: PieceStatement, options: BaseModel) -> dict[str, str]:
    """Only a band and a stand collar are interfaced; what is drawn together at the top has no windows."""
    assert isinstance(options, CircularOptions)
    left_out: dict[str, str] = {}
    if options.finish not in ("band", "collar"):
        left_out["interfacing"] = f"a top edge finished with {options.finish} has nothing to interface."
    drawn = options.pleats != "none" or options.gather > 1.0 or options.finish == "elastic"
    if drawn or options.use == "ruffle":
        told = "pleats and gathers would close over its windows." if drawn else "a ruffle has no windows."
        left_out |= dict.fromkeys(("windows", "backing"), told)
    return left_out


KIND = register(
    PieceKind(
        name="circular",
        summary="a skirt, cape or ruffle cut from any part of a circle, its hem level on the body",
        options=CircularOptions,
        draft=draft_circular,
        choices=circular_choices,
        covers=covered_regions,
        edges={
            "top": "the line it hangs from: waist, neck, or the edge a ruffle is sewn to",
            "hem": "where it ends, if no length is given",
        },
        quick=RECIPES,
        cloths={"lining": "hung inside it", "interfacing": "of a band or a stand collar"},
        windows=True,
        backing=True,
        unused=unused,
    )
)
