"""The kind ``belt``: a strap round the trunk or a limb, straight, shaped, or slung across the hips."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, ConfigDict, Field, field_validator
from shapely import Polygon

from layfigure.draft.belt.choices import belt_choices
from layfigure.draft.belt.lie import TOLD, belt_carry, lapped_part
from layfigure.draft.belt.line import BeltLine, belt_frame, contour_line, slung_line, straight_line
from layfigure.draft.belt.parts import DropOptions, belt_items, drop, keeper
from layfigure.draft.belt.strap import HoleRow, across, girth_to, hole_lines, offset_curve, strap_edges
from layfigure.draft.quick.limb import limb_recipes
from layfigure.draft.registry import Check, DraftRequest, DraftResult, PieceKind, register
from layfigure.draft.round_edge import wrap_edge
from layfigure.draft.sheet_practice import cautions_for, sheet_practice
from layfigure.draft.verdict import governing_measures, wrap_verdict
from layfigure.draft.window.cut_out import with_windows
from layfigure.draft.window.options import BACKING_AS, WINDOW_EDGE, BackingAs, WindowEdge
from layfigure.draft.window.sheet import Kept, Sheet
from layfigure.draft.wrap.plan import AROUND, Place
from layfigure.draft.wrap.shown import strap_shown
from layfigure.draft.wrap.surface import GAP_LIMIT
from layfigure.errors import DraftError
from layfigure.files.quantities import Length
from layfigure.geometry.bend import neutral_girth
from layfigure.geometry.polyline import length
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Grainline, InnerLine, Piece, Total
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]

FOLD_BACK = 60.0
"""Turned round the buckle's bar [mm] (common practice, no source)."""


FAIRED_LIMIT = 4.0

FOLDS_SHOWN, THICK_BENEATH = 30.0, 2.0
"""Pictures show a gathered or pleated garment standing off by the first where it is thicker than the second,
though the belt draws it in [mm]."""


class BeltOptions(BaseModel):
    """Options of a belt, as written in costume.toml."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    shape: Literal["straight", "contour", "slung"] = Field(
        "straight", description="straight strap; contour: shaped to the slope of the hips; slung: tilted"
    )
    width: Length = Field(40.0, gt=5.0, le=250.0, description="width of the belt")
    fastening: Literal["buckle", "hook_and_loop"] = Field("buckle", description="how it closes")
    opens: Place = Field("front", description="where it opens")
    air: Length = Field(2.0, ge=0.0, le=60.0, description="room between the layer below and the belt")
    holes: int = Field(5, ge=1, le=15, description="holes for the buckle, an odd number")
    hole_spacing: Length | None = Field(
        None, gt=5.0, description="between holes; the belt's width if not said"
    )
    overlap: Length = Field(50.0, ge=20.0, description="overlap of a hook-and-loop end")
    keepers: int = Field(1, ge=0, le=4, description="loops that hold the tip of a buckled belt down")
    drops: list[DropOptions] = Field([], max_length=20, description="straps that hang from it")
    lining: bool = Field(False, description="also cut a lining")
    lining_allowance: Length = Field(10.0, ge=0.0, description="of the lining, on its long edges")
    window_edge: WindowEdge = WINDOW_EDGE
    backing_as: BackingAs = BACKING_AS

    @field_validator("holes")
    @classmethod
    def _odd(cls, holes: int) -> int:
        if holes % 2 == 0:
            raise ValueError("give an odd number of holes, so that one is in the middle")
        return holes


def draft_belt(request: DraftRequest) -> DraftResult:
    """Pieces of a belt: the strap, and its lining if asked.

    Raises DraftError for a line that does not go right round one region, or that runs off it.
    """
    options = request.options
    assert isinstance(options, BeltOptions)
    where = f"piece {request.statement.slug}"
    statement = request.statement
    if "line" not in statement.edges:
        raise DraftError("a belt needs its middle line.", where=where, advice="Add line = 'edge name'.")
    if statement.cloth not in request.cloths:
        raise DraftError(
            f"there is no material {statement.cloth!r}.", where=where, advice="Add it to materials.toml."
        )
    cloth = request.cloths[statement.cloth]
    edge = wrap_edge(request.placement.edges[statement.edges["line"]])
    if not edge.goes_round:
        raise DraftError(
            "the belt's line does not go right round.", where=where, advice="Close it, or mark its back too."
        )
    row = HoleRow(count=options.holes, spacing=options.hole_spacing or options.width, width=options.width)
    beyond = row.beyond if options.fastening == "buckle" else options.overlap
    chart = request.form.charts[edge.region]
    places, _ = edge.on(chart)
    frame = belt_frame(chart, places)
    clearance = request.stack + options.air
    outward = sheet_practice(cloth).neutral_share * cloth.thickness
    grown = neutral_girth(2.0 * math.pi * clearance, cloth.thickness, sheet_practice(cloth).neutral_share)
    try:
        if options.shape == "straight":
            line = straight_line(chart, frame, options.width, grown, beyond)
        elif options.shape == "contour":
            line = contour_line(chart, frame, options.width, grown, beyond)
        else:
            line = slung_line(
                chart,
                frame,
                edge,
                AROUND[options.opens],
                options.width,
                clearance=clearance,
                outward=outward,
                beyond=beyond,
            )
    except DraftError as error:
        raise DraftError(error.what, where=error.where or where, advice=error.advice) from error
    checks = _checks(line, options)
    verdict = wrap_verdict(
        checks,
        form=request.form,
        cloth=cloth,
        measures=governing_measures(edge.region, float(edge.station.min()), float(edge.station.max())),
        spread=edge.spread,
        assumed=request.assumed,
    )
    label = statement.label or statement.slug.replace("_", " ")
    fold_back = FOLD_BACK if options.fastening == "buckle" else 0.0
    strap = Piece(
        slug=statement.slug,
        label=label,
        kind=statement.kind,
        cloth=cloth.slug,
        edges=strap_edges(line.curve, options.width, fold_back=fold_back, long_allowance=0.0),
        grainline=_grain(line, cloth),
        totals=_totals(line, options),
        verdict=verdict,
        side="middle" if statement.side == "both" else statement.side,
        lines=tuple(_lines(line, options, row)),
        note=_note(options, cloth, row, checks),
        cautions=cautions_for(cloth),
        layer=statement.layer,
        edition=request.edition,
        thickness=cloth.thickness,
    )
    pieces = [strap]
    if options.lining:
        pieces.append(_lining(strap, line, options))
    cut = with_windows(
        request,
        pieces,
        lambda: [
            Sheet(
                slug=strap.slug,
                edges=strap.edges,
                carry=belt_carry(line, edge, chart, AROUND[options.opens]),
                kept=(lapped_part(line, options.width), *_kept(strap)),
                told=TOLD,
            )
        ],
    )
    pieces, checks = list(cut.pieces), [*checks, *cut.checks]
    buckle = options.fastening == "buckle"
    if buckle and options.keepers:
        pieces.append(keeper(strap, options.width, cloth, options.keepers))
    pieces.extend(drop(strap, options.width, cloth, one) for one in options.drops)
    named = tuple(replace(check, what=f"{label}: {check.what}") for check in checks)
    drops = tuple(options.drops)
    return DraftResult(
        pieces=tuple(pieces),
        checks=named,
        items=belt_items(strap, width=options.width, buckle=buckle, overlap=options.overlap, drops=drops),
        worn=(
            WornSurface(
                name=statement.slug,
                mesh=strap_shown(chart, edge, options.width, _shown_off(request, clearance, cloth)),
                cloth=cloth.slug,
            ),
        ),
    )


def _kept(strap: Piece) -> tuple[Kept, ...]:
    """Holes for the buckle and the slot for its prong."""
    return tuple(
        Kept(what="a hole of the buckle", curve=line.curve, closed=line.closed)
        for line in strap.lines
        if line.closed or line.kind == "slit"
    )


def _shown_off(request: DraftRequest, clearance: float, cloth: Cloth) -> float:
    """How far off the skin a belt is shown [mm]: outside the folds of a garment beneath it."""
    gathered = FOLDS_SHOWN if request.stack > THICK_BENEATH else 0.0
    folds = request.folds or gathered
    return clearance + cloth.thickness + folds


def _checks(line: BeltLine, options: BeltOptions) -> list[Check]:
    gape = line.edge_difference / (2.0 * math.pi)
    checks = [
        Check.at_most(
            what="how far one edge stands away from the body",
            unit="mm",
            value=gape,
            limit=GAP_LIMIT,
            advice="The body slopes here: take shape = 'contour'.",
        )
    ]
    if line.surface is not None:
        checks = [
            Check(
                what="how far the body stands out of the belt, room and layers beneath counted",
                unit="mm",
                value=max(0.0, line.surface.poke),
                limit=0.0,
                passed=line.surface.poke <= 1e-6,
                advice="" if line.surface.poke <= 1e-6 else "Give it more air.",
            ),
            Check.at_most(
                what="how far it stands off the body, but for 5 % of its area",
                unit="mm",
                value=line.surface.gap_p95,
                limit=GAP_LIMIT,
                advice="Make the belt narrower.",
            ),
            Check.at_most(
                what="how much laying flat changes a length",
                unit="mm",
                value=line.stretch,
                limit=0.01,
            ),
            Check.at_most(
                what="how far the line was smoothed from where it was marked",
                unit="mm",
                value=line.faired_by,
                limit=FAIRED_LIMIT,
                advice="Mark the line smoother.",
            ),
        ]
    edges = strap_edges(line.curve, options.width, fold_back=0.0, long_allowance=0.0)
    simple = bool(Polygon(np.concatenate([edge.curve[:-1] for edge in edges])).is_valid)
    checks.append(
        Check(
            what="how many outlines cross themselves",
            value=float(not simple),
            limit=0.0,
            passed=simple,
            advice="" if simple else "Make the belt narrower or its line smoother.",
        )
    )
    return checks


def _lines(line: BeltLine, options: BeltOptions, row: HoleRow) -> list[InnerLine]:
    lines = [InnerLine(kind="centre", curve=line.curve, label="middle line")]
    half = across(line.curve, 0.5 * line.girth, options.width)
    lines.append(InnerLine(kind="balance", curve=half, label="half-way round"))
    if options.fastening == "buckle":
        lines.extend(hole_lines(line.curve, row, line.girth))
    else:
        end = across(line.curve, line.girth, options.width)
        lines.append(InnerLine(kind="placement", curve=end, label="the other end comes to here"))
    return lines


def _totals(line: BeltLine, options: BeltOptions) -> tuple[Total, ...]:
    upto = "the middle hole" if options.fastening == "buckle" else "the overlap line"
    once = girth_to(line.curve, line.girth)
    top, bottom = (offset_curve(once, s * 0.5 * options.width) for s in (1.0, -1.0))
    return (
        Total(what=f"middle line, from the end that opens to {upto}", length=line.girth),
        Total(what=f"top edge, as far as {upto}", length=length(top)),
        Total(what=f"bottom edge, as far as {upto}", length=length(bottom)),
    )


def _grain(line: BeltLine, cloth: Cloth) -> Grainline:
    """Along the belt in its middle: leather straps run with the spine."""
    whole = line.curve[len(line.curve) // 3], line.curve[len(line.curve) // 2]
    start, end = ((float(p[0]), float(p[1])) for p in whole)
    return Grainline(start=start, end=end, kind="grain" if cloth.kind in ("leather", "woven") else "any")


def _lining(strap: Piece, line: BeltLine, options: BeltOptions) -> Piece:
    edges = strap_edges(line.curve, options.width, fold_back=0.0, long_allowance=options.lining_allowance)
    return Piece(
        slug=f"{strap.slug}_lining",
        label=f"{strap.label}, lining",
        kind=strap.kind,
        cloth=strap.cloth,
        edges=edges,
        grainline=strap.grainline,
        totals=strap.totals,
        verdict=strap.verdict,
        side=strap.side,
        lines=strap.lines[:1],
        note=(
            "Cut with the outside of the drawing down.",
            "Glue or stitch to the belt, then trim the edges.",
        ),
        cautions=strap.cautions,
        layer=strap.layer,
        edition=strap.edition,
    )


def _note(options: BeltOptions, cloth: Cloth, row: HoleRow, checks: list[Check]) -> tuple[str, ...]:
    lines = [f"Cut from {cloth.name}. The drawing is the outside, right side up."]
    if cloth.kind == "leather":
        lines.append("Cut straps along the spine of the hide; bevel and burnish the long edges.")
    if options.shape == "slung":
        lines.append("It is curved and will not lie straight: it fits one way up only, mark the top.")
    if options.fastening == "buckle":
        lines.extend(
            [
                f"Turn the {FOLD_BACK:g} mm at the left end back round the buckle's bar; thin only the lap.",
                "Do not stitch or thin it where it bends round the bar, and never stitch across the strap.",
                f"Punch {row.count} holes {row.spacing:g} mm apart; the middle one is your size today.",
                "Round or point the tip inside the drawn end.",
            ]
        )
    else:
        lines.append(
            f"Hook and loop over the whole {options.overlap:g} mm overlap, so that it slides, not peels."
        )
    lines.extend(check.advice for check in checks if check.advice)
    lines.append("Try it in paper over the whole costume, sitting and bending, before cutting.")
    return tuple(lines)


KIND = register(
    PieceKind(
        name="belt",
        summary="a strap round the waist, hips or a limb: straight, shaped or slung",
        options=BeltOptions,
        draft=draft_belt,
        choices=belt_choices,
        edges={"line": "middle line of the belt, right round"},
        required=frozenset({"line"}),
        quick=limb_recipes("belt"),
        windows=True,
        backing=True,
    )
)
