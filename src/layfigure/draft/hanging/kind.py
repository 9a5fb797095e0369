"""The kind ``hanging``: panels, banners, tails and sashes that hang from a line, with lining and artwork."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel
from shapely import Polygon

from layfigure.body.form import Form
from layfigure.design.design import PieceStatement
from layfigure.draft.flat_edges import grain, inner, straight_edge
from layfigure.draft.hanging.artwork import artwork, inside_check, placing_lines, transfer_drawing
from layfigure.draft.hanging.carry import carry_items, carry_lines, carry_note, loop_piece, top_finish
from layfigure.draft.hanging.choices import hanging_choices
from layfigure.draft.hanging.lie import TOLD, panel_carry
from layfigure.draft.hanging.options import HangingOptions
from layfigure.draft.hanging.panel import PanelPlan, hem_profile, hem_runs, panel_plan, top_curve
from layfigure.draft.hanging.piece import behind, hanging_verdict, named_checks
from layfigure.draft.hanging.quick import RECIPES
from layfigure.draft.hanging.sash import sash_result
from layfigure.draft.hanging.seat import sat_upon_check
from layfigure.draft.hanging.transfer import transfer_note
from layfigure.draft.hanging.worn import panel_mesh
from layfigure.draft.registry import Check, DraftRequest, DraftResult, PieceKind, register
from layfigure.draft.sewn_practice import SewnPractice, sewn_practice
from layfigure.draft.sheet_practice import cautions_for
from layfigure.draft.traced import draft_traced
from layfigure.draft.window.cut_out import CutPieces, with_windows
from layfigure.draft.window.sheet import Kept, Sheet
from layfigure.errors import DraftError
from layfigure.geometry.symmetric_artwork import Stroke
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import EdgeRole, Piece, PieceEdge, Total
from layfigure.piece.worn import HANGS, WornSurface
from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]

TRIP = 20.0
"""A hem lower than this is stepped on [mm] (common practice, no source)."""


def draft_hanging(request: DraftRequest) -> DraftResult:
    """The panel or sash, its lining and stiffener, loops, and the transfer drawing of its artwork.

    Raises DraftError for sizes that are missing or contradict each other, FileError for bad path data.
    """
    options = request.options
    assert isinstance(options, HangingOptions)
    statement = request.statement
    where = f"piece {statement.slug}"
    if statement.trace is not None and (options.artwork is None or not options.artwork.traced):
        return draft_traced(request)
    placed = {role: request.placement.edges[slug] for role, slug in statement.edges.items()}
    if options.form == "sash":
        return sash_result(request, options, placed.get("top"), where)
    return _panel(request, options, placed.get("top"), placed.get("bottom"), where)


def _panel(
    request: DraftRequest,
    options: HangingOptions,
    top: PlacedEdge | None,
    bottom: PlacedEdge | None,
    where: str,
) -> DraftResult:
    statement, cloth = request.statement, request.cloth
    plan = panel_plan(
        options, request.form, top, bottom, clearance=request.stack, folds=request.folds, where=where
    )
    practice = sewn_practice(cloth)
    lined = "lining" in statement.cloths
    edges = _outline(plan, options, practice, statement.slug, lined=lined)
    outline = np.concatenate([edge.curve[:-1] for edge in edges])
    if not Polygon(outline).is_valid:
        raise DraftError(
            "its hem crosses its sides or its top.",
            where=where,
            advice="Give it less hem_depth or more length.",
        )
    checks = _checks(plan, options, request.form)
    centre = (
        0.0,
        -(options.artwork.down if options.artwork else 0.0) * float(plan.length[len(plan.length) // 2]),
    )
    strokes: tuple[Stroke, ...] = ()
    if options.artwork is not None:
        drawn = () if statement.trace is None else statement.trace.lines
        strokes = artwork(options.artwork, plan.width, centre, drawn, where)
        checks.append(inside_check(strokes, outline))
    verdict = hanging_verdict(request, cloth, top, checks, plan.spread)
    middle = _middle_length(plan)
    base = Piece(
        slug=statement.slug,
        label=statement.label or statement.slug.replace("_", " "),
        kind=statement.kind,
        cloth=cloth.slug,
        edges=edges,
        grainline=grain((-0.25 * plan.width, -0.8 * middle), (-0.25 * plan.width, -0.3 * middle)),
        totals=(
            Total(what="top edge along the line", length=next(e.length for e in edges if e.slug == "top")),
            Total(what="down the middle, top edge to hem", length=_hem_in_middle(edges)),
            Total(what="left side", length=next(edge.length for edge in edges if edge.slug == "left")),
        ),
        verdict=verdict,
        side="middle" if statement.side == "both" else statement.side,
        lines=(
            inner("centre", (0.0, 0.0), (0.0, -_hem_in_middle(edges)), "middle"),
            *carry_lines(options, plan.width, plan.rise, plan.across),
        ),
        note=_note(plan, options, cloth, checks, lined=lined),
        cautions=cautions_for(cloth),
        layer=statement.layer,
        edition=request.edition,
        thickness=cloth.thickness,
    )
    pieces = [base]
    if options.artwork is not None:
        half = 0.25 * plan.width
        pieces[0] = replace(base, lines=(*base.lines, *placing_lines(strokes, centre, half)))
    pieces += behind(request, base)
    cut = _with_windows(request, plan, pieces, strokes, where)
    pieces, checks = list(cut.pieces), [*checks, *cut.checks]
    if options.carrying == "loops":
        pieces.append(loop_piece(options, base, practice))
    if options.artwork is not None:
        words = transfer_note(cloth, options.surface)
        pieces.append(transfer_drawing(options.artwork, strokes, centre, base, words))
    mesh = panel_mesh(plan, _lowest(plan, options), over_cape=options.over == "cape")
    worn = (
        None if mesh is None else WornSurface(name=statement.slug, mesh=mesh, cloth=cloth.slug, gives=HANGS)
    )
    return DraftResult(
        pieces=tuple(pieces),
        checks=named_checks(base.label, checks),
        items=carry_items(options, plan.width),
        worn=() if worn is None else (worn,),
    )


def _with_windows(
    request: DraftRequest, plan: PanelPlan, pieces: list[Piece], strokes: tuple[Stroke, ...], where: str
) -> CutPieces:
    """The panel with its windows, clear of its artwork; its lining has them too."""
    if not request.statement.windows:
        return CutPieces(pieces=tuple(pieces))
    carry = panel_carry(plan)
    if carry is None:
        raise DraftError(
            "it hangs from no line on the body, so nothing says where its windows lie.",
            where=where,
            advice="Add top = 'edge name' to its edges, or leave windows out.",
        )
    kept = tuple(Kept(what="its artwork", curve=stroke.points, closed=stroke.closed) for stroke in strokes)
    sheet = Sheet(slug=pieces[0].slug, edges=pieces[0].edges, carry=carry, kept=kept, told=TOLD)
    return with_windows(request, pieces, lambda: [sheet], mirrored_linings=True)


def _outline(
    plan: PanelPlan, options: HangingOptions, practice: SewnPractice, slug: str, *, lined: bool
) -> tuple[PieceEdge, ...]:
    """Hem, right side, top, left side, counter-clockwise; a lined piece is sewn to its lining all round."""
    runs, top = hem_runs(plan, options), top_curve(plan)
    straight_hem = options.hem_shape == "straight"
    turned = practice.seam if lined else 2.0 * practice.edge
    hem = practice.seam if lined else practice.hem if straight_hem else practice.curved_hem
    role: EdgeRole = "seam" if lined else "opening"
    top_role, top_allowance = top_finish(options, practice)
    edges = [
        PieceEdge(
            slug="hem" if len(runs) == 1 else f"hem_{number}",
            curve=run,
            role="seam" if lined else "hem",
            allowance=hem,
            seam=f"{slug}_hem_{number}" if lined else None,
        )
        for number, run in enumerate(runs, start=1)
    ]
    sides = (("right", runs[-1][-1], top[-1]), ("left", top[0], runs[0][0]))
    right, left = (
        straight_edge(name, a, b, role, turned, seam=f"{slug}_{name}" if lined else None)
        for name, a, b in sides
    )
    top_edge = PieceEdge(slug="top", curve=top[::-1], role=top_role, allowance=top_allowance)
    return (*edges, right, top_edge, left)


def _checks(plan: PanelPlan, options: HangingOptions, form: Form) -> list[Check]:
    checks = []
    if plan.fall is not None:
        low = float(plan.fall.at(plan.turn, _lowest(plan, options))[:, 2].min())
        checks.append(
            Check.at_least(
                what="how high the hem hangs above the floor",
                unit="mm",
                value=low,
                limit=TRIP,
                advice="It will be stepped on: lift the hem.",
            )
        )
        # A quarter turn about the middle of the back counts as behind.
        middle = float(plan.turn[len(plan.turn) // 2]) % 1.0
        behind = sat_upon_check(form, low) if abs(middle - 0.5) < 0.125 else None
        if behind is not None:
            checks.append(behind)
    return checks


def _lowest(plan: PanelPlan, options: HangingOptions) -> Points:
    """Length down to the shaped hem at the plan's places across, (n,) [mm]."""
    depth = 0.0 if options.hem_shape == "straight" else options.hem_depth
    profile = hem_profile(options.hem_shape, depth, options.hem_count)
    share = plan.across / (0.5 * plan.width)
    found: Points = plan.length - depth + np.interp(share, profile[:, 0], profile[:, 1])
    return found


def _middle_length(plan: PanelPlan) -> float:
    return float(plan.length[len(plan.length) // 2])


def _hem_in_middle(edges: tuple[PieceEdge, ...]) -> float:
    """From the top edge down the middle to the hem [mm]."""
    line = np.concatenate([edge.curve for edge in edges if edge.slug.startswith("hem")])
    return -float(np.interp(0.0, line[:, 0], line[:, 1]))


def _note(
    plan: PanelPlan, options: HangingOptions, cloth: Cloth, checks: list[Check], *, lined: bool
) -> tuple[str, ...]:
    lines = [f"Cut once from {cloth.name}, the arrow along the selvedge, outside up."]
    if options.artwork is not None:
        lines.append("Transfer the artwork while the piece lies flat, and work it before it is lined.")
    lines.append(
        "Sew sides and hem to the lining, outside to outside; clip curves and points, turn, press."
        if lined
        else "Turn the sides in twice and hem them, then the hem."
    )
    lines += carry_note(options)
    if float(np.ptp(plan.rise)) > 3.0:
        lines.append("The top edge is cut aslant to the line it hangs from, so that the grain hangs plumb.")
    if options.form == "banner":
        lines.append(
            "Weight the hem with a chain if it flies up; tie the rod so that it comes off when caught."
        )
    lines += [check.advice for check in checks if check.advice]
    return tuple(lines)


def reads_tracing(options: BaseModel) -> bool:
    """A traced motif goes onto a drafted panel; any other tracing is the panel's own outline."""
    assert isinstance(options, HangingOptions)
    return options.artwork is not None and options.artwork.traced


def _unused(statement: PieceStatement, options: BaseModel) -> dict[str, str]:
    assert isinstance(options, HangingOptions)
    if options.form == "sash":
        return dict.fromkeys(
            ("windows", "backing"), "a sash is drawn together round the body and has no windows."
        )
    if statement.windows:
        return {"stiffener": "a stiffener would show through the windows."}
    return {}


KIND = register(
    PieceKind(
        name="hanging",
        summary="a panel, banner, tail or sash that hangs from a line, with lining and artwork",
        options=HangingOptions,
        draft=draft_hanging,
        choices=hanging_choices,
        edges={
            "top": "the line it hangs from, part of the way round or right round",
            "bottom": "where it ends, if no length is given",
        },
        quick=RECIPES,
        reads_tracing=reads_tracing,
        cloths={"lining": "behind it, or behind a sash", "stiffener": "between it and the lining"},
        windows=True,
        backing=True,
        unused=_unused,
    )
)
