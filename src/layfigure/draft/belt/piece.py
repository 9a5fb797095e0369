"""A belt as pieces to cut: the strap with its lines, totals and grain, and its lining."""

from __future__ import annotations

from layfigure.draft.belt.line import BeltLine
from layfigure.draft.belt.options import BeltOptions
from layfigure.draft.belt.strap import across, girth_to, hole_lines, offset_curve, strap_edges
from layfigure.draft.registry import DraftRequest
from layfigure.draft.sheet_practice import cautions_for
from layfigure.geometry.polyline import length
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Grainline, InnerLine, Piece, Total, Verdict

FOLD_BACK = 60.0
"""Turned round the buckle's bar [mm] (common practice, no source)."""


def strap_piece(
    line: BeltLine,
    request: DraftRequest,
    options: BeltOptions,
    cloth: Cloth,
    *,
    verdict: Verdict,
    note: tuple[str, ...],
) -> Piece:
    """The strap, its windows not cut yet."""
    statement = request.statement
    return Piece(
        slug=statement.slug,
        label=statement.label or statement.slug.replace("_", " "),
        kind=statement.kind,
        cloth=cloth.slug,
        edges=strap_edges(
            line.curve,
            options.width,
            fold_back=FOLD_BACK if options.buckled else 0.0,
            long_allowance=0.0,
        ),
        grainline=_grain(line, cloth),
        totals=_totals(line, options),
        verdict=verdict,
        side="middle" if statement.side == "both" else statement.side,
        lines=tuple(_lines(line, options)),
        note=note,
        cautions=cautions_for(cloth),
        layer=statement.layer,
        edition=request.edition,
        thickness=cloth.thickness,
    )


def lining_piece(strap: Piece, line: BeltLine, options: BeltOptions) -> Piece:
    """The lining of a strap, a little wider, trimmed once it is on."""
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


def _lines(line: BeltLine, options: BeltOptions) -> list[InnerLine]:
    lines = [InnerLine(kind="centre", curve=line.curve, label="middle line")]
    half = across(line.curve, 0.5 * line.girth, options.width)
    lines.append(InnerLine(kind="balance", curve=half, label="half-way round"))
    if options.buckled:
        lines.extend(hole_lines(line.curve, options.hole_row, line.girth))
    else:
        end = across(line.curve, line.girth, options.width)
        lines.append(InnerLine(kind="placement", curve=end, label="the other end comes to here"))
    return lines


def _totals(line: BeltLine, options: BeltOptions) -> tuple[Total, ...]:
    upto = "the middle hole" if options.buckled else "the overlap line"
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
