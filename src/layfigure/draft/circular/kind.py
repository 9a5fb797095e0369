"""The kind ``circular``: skirts, capes and ruffles cut from any part of a circle."""

from __future__ import annotations

from dataclasses import replace

from pydantic import BaseModel

from layfigure.design.design import PieceStatement
from layfigure.draft.circular.checks import circular_checks
from layfigure.draft.circular.choices import circular_choices
from layfigure.draft.circular.closing import closing_items
from layfigure.draft.circular.lie import panels_with_windows
from layfigure.draft.circular.note import panel_note
from layfigure.draft.circular.options import CircularOptions
from layfigure.draft.circular.panel_pieces import lining_pieces, panel_pieces
from layfigure.draft.circular.panels import panel_count, panel_grain, width_check
from layfigure.draft.circular.plan import CircularPlan, circular_plan
from layfigure.draft.circular.quick import RECIPES
from layfigure.draft.circular.top import top_parts
from layfigure.draft.circular.top_pieces import top_pieces
from layfigure.draft.circular.worn import bulk_beneath, worn_surfaces
from layfigure.draft.garment_cover import PLEATED, garment_cover
from layfigure.draft.registry import DraftRequest, DraftResult, PieceKind, register
from layfigure.draft.sewn_practice import sewn_practice
from layfigure.draft.sheet_practice import cautions_for
from layfigure.draft.stand_collar import STAND_LAYERS
from layfigure.draft.verdict import governing_measures, wrap_verdict
from layfigure.piece.piece import Piece

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
    pieces = panel_pieces(base, plan, options, cloth, count, note)
    lining = statement.cloths.get("lining")
    if lining is not None:
        pieces += lining_pieces(base, plan, options, request.cloths[lining], count, verdict)
    interfacing = statement.cloths.get("interfacing")
    parts = top_parts(plan, options, practice, request.form, seam=statement.slug, count=count, where=where)
    pieces += top_pieces(base, parts, None if interfacing is None else request.cloths[interfacing])
    cut = panels_with_windows(request, plan, options, count, pieces, where)
    pieces, checks = list(cut.pieces), [*checks, *cut.checks]
    worn = worn_surfaces(plan, options, base, request.form, placed.get("top"))
    return DraftResult(
        pieces=tuple(pieces),
        checks=tuple(replace(check, what=f"{label}: {check.what}") for check in checks),
        items=closing_items(plan, options),
        worn=worn,
        bulk=bulk_beneath(plan, worn[:1], cloth.thickness),
    )


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
