"""A piece cut by a traced outline: from paper, from an owned pattern, or from a tape-wrap shell cut open.

Nothing is computed from the body here; the outline is the maker's. It gets what every piece has: allowances,
notches that meet, numbered edges, totals to check, and a verdict that says where it comes from.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.design.design import Trace
from layfigure.draft.registry import Check, DraftRequest, DraftResult
from layfigure.draft.sheet_practice import arrow_kind, cautions_for
from layfigure.draft.traced_lines import TracedOutline, traced_outlines
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import (
    Grainline,
    InnerLine,
    Notch,
    Piece,
    PieceEdge,
    Reason,
    Total,
    Verdict,
    Window,
)

Points = NDArray[np.float64]

EQUAL = 0.05
"""Mates as long as this are mates [mm]."""
EASED = 0.015
"""A longer mate is eased in over its length up to this share (common practice, no source)."""
NOTCH_SPACING = 120.0

_JOIN = re.compile(r"^\s*(\w+)\s+(\d+)\s+to\s+(\w+)\s+(\d+)\s*$")
_Use = tuple[int, int]


def draft_traced(request: DraftRequest) -> DraftResult:
    """Pieces of a tracing. Raises DraftError for one without an outline, or a join that names no edge."""
    trace, statement = request.statement.trace, request.statement
    assert trace is not None
    where = f"piece {statement.slug}, {trace.file}"
    cloth = request.cloths[statement.cloth]
    outlines = traced_outlines(trace.lines, mirrored=trace.mirrored, where=where)
    joins, checks, remarks = _joins(trace, outlines, where)
    pieces = tuple(
        _piece(request, trace, cloth, outline, number, len(outlines), joins, remarks)
        for number, outline in enumerate(outlines)
    )
    return DraftResult(pieces=pieces, checks=checks)


def _joins(
    trace: Trace, outlines: Sequence[TracedOutline], where: str
) -> tuple[dict[_Use, tuple[str, bool]], tuple[Check, ...], list[str]]:
    """Seam and direction of every joined edge, how well the mates agree, and what to sew to what."""
    by_name = {outline.name: number for number, outline in enumerate(outlines)}
    uses: dict[_Use, tuple[str, bool]] = {}
    checks: list[Check] = []
    remarks: list[str] = []
    taken: set[_Use] = set()
    for join in trace.joins:
        found = _JOIN.match(join)
        if not found:
            raise DraftError(
                f"{join!r} is no join.", where=where, advice="Write it like 'front 2 to back 4'."
            )
        mates: list[_Use] = []
        for name, number in ((found[1], found[2]), (found[3], found[4])):
            if name not in by_name or not 1 <= int(number) <= len(outlines[by_name[name]].edges):
                known = ", ".join(f"{outline.name} 1 to {len(outline.edges)}" for outline in outlines)
                raise DraftError(
                    f"{join!r} names the edge {name} {number}, which the tracing does not have.",
                    where=where,
                    advice=f"Edges, counted counter-clockwise from the lower left: {known}.",
                )
            mates.append((by_name[name], int(number) - 1))
        for mate in mates:
            if mate in taken or mates[0] == mates[1]:
                raise DraftError(f"{join!r} sews an edge twice.", where=where, advice="Take one join out.")
        taken.update(mates)
        (first, second) = (length(outlines[piece].edges[edge]) for piece, edge in mates)
        off = abs(first - second)
        share = off / max(first, second)
        longer = found[1] if first > second else found[3]
        checks.append(
            Check(
                what=f"how much longer one edge of {join} is than the other",
                unit="mm",
                value=off,
                limit=EASED * max(first, second),
                passed=share <= EASED,
                advice=""
                if share <= EASED
                else f"Trace both again, or tell which is right: {longer} is longer by {off:.1f} mm.",
            )
        )
        if off <= EQUAL:
            seam = f"{found[1]}_{found[2]}_{found[3]}_{found[4]}"
            uses[mates[0]], uses[mates[1]] = (seam, False), (seam, True)
            remarks.append(f"Sew {join}.")
        else:
            remarks.append(f"Sew {join}: {longer} is {off:.1f} mm longer, ease it in evenly.")
    return uses, tuple(checks), remarks


def _piece(
    request: DraftRequest,
    trace: Trace,
    cloth: Cloth,
    outline: TracedOutline,
    number: int,
    of: int,
    joins: Mapping[_Use, tuple[str, bool]],
    remarks: Sequence[str],
) -> Piece:
    statement = request.statement
    label = statement.label or statement.slug.replace("_", " ")
    allowance = trace.allowance if trace.outline == "stitch" else 0.0
    edges = tuple(
        _edge(curve, k, joins.get((number, k)), statement.slug, allowance)
        for k, curve in enumerate(outline.edges)
    )
    numbers = tuple(
        InnerLine(kind="placement", curve=_beside(curve), label=f"edge {k}")
        for k, curve in enumerate(outline.edges, 1)
    )
    note = [f"Cut from {cloth.name}, by the outline traced in {trace.file}."]
    if trace.outline == "cut":
        note.append("The traced line is the cut line: its allowances are in it.")
    note += remarks
    return Piece(
        slug=statement.slug if of == 1 else f"{statement.slug}_{outline.name}",
        label=label if of == 1 else f"{label}, {outline.name.replace('_', ' ')}",
        kind=statement.kind,
        cloth=cloth.slug,
        edges=edges,
        grainline=_grain(outline, cloth),
        totals=tuple(
            Total(what=f"edge {k + 1}, along the line", length=edge.length)
            for k, edge in sorted(enumerate(edges), key=lambda item: -item[1].length)[:3]
        ),
        verdict=Verdict(
            level="scrap",
            reasons=(
                Reason(
                    why="it was traced, not measured",
                    lifted_by="Hold the printed outline against what you traced, then try it on in scrap.",
                ),
            ),
        ),
        side=statement.side,
        windows=tuple(Window(slug=slug, curve=curve) for slug, curve in outline.windows),
        lines=(*(InnerLine(kind=kind, label=name, curve=c) for kind, name, c in outline.lines), *numbers),
        note=tuple(note),
        cautions=cautions_for(cloth),
        layer=statement.layer,
        edition=request.edition,
        thickness=cloth.thickness,
    )


def _edge(
    curve: Points, index: int, seam: tuple[str, bool] | None, piece: str, allowance: float
) -> PieceEdge:
    if seam is None:
        return PieceEdge(slug=f"edge_{index + 1}", curve=curve, role="hem", allowance=allowance)
    name, against = f"{piece}_{seam[0]}", seam[1]
    whole = length(curve)
    count = max(1, int(whole // NOTCH_SPACING))
    places = whole * (np.arange(count) + 1.0) / (count + 1.0)
    notches = tuple(
        Notch(name=f"{name}_{k + 1}", distance=float(whole - place if against else place))
        for k, place in enumerate(places)
    )
    return PieceEdge(
        slug=f"edge_{index + 1}",
        curve=curve,
        role="seam",
        allowance=allowance,
        seam=name,
        against=against,
        notches=notches[::-1] if against else notches,
    )


def _beside(curve: Points) -> Points:
    """A short stroke inside the piece along the middle of an edge, where its number is written."""
    half = len(curve) // 2
    at, way = curve[half], curve[min(half + 1, len(curve) - 1)] - curve[half - 1]
    way = way / np.linalg.norm(way)
    inward = np.array([-way[1], way[0]])
    foot = at + 6.0 * inward
    stroke: Points = np.array([foot - 6.0 * way, foot + 6.0 * way])
    return stroke


def _grain(outline: TracedOutline, cloth: Cloth) -> Grainline:
    """As traced, or upright through the middle of the outline."""
    kind = arrow_kind(cloth)
    if outline.grain is not None:
        start, end = outline.grain
    else:
        points = np.concatenate(outline.edges)
        middle, half = 0.5 * (points.min(axis=0) + points.max(axis=0)), 0.25 * np.ptp(points, axis=0)
        way = np.array([half[0], 0.0]) if kind == "stretch" else np.array([0.0, half[1]])
        start, end = middle - way, middle + way
    return Grainline(
        start=(float(start[0]), float(start[1])),
        end=(float(end[0]), float(end[1])),
        kind=kind,
    )
