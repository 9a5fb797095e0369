"""Facings of a bodice: its front edges and its neck over again, to be turned inside."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.woven.bodice import SIDES, BodicePlan, Halves, Side, is_right_way
from layfigure.draft.woven.bodice_edges import NECK_ALLOWANCE, cut_curve, mirrored_edges
from layfigure.draft.woven.curve import curve_between
from layfigure.geometry.polyline import length
from layfigure.piece.arrow import arrow_inside
from layfigure.piece.piece import Grainline, Piece, PieceEdge, Total

Points = NDArray[np.float64]

INNER_ALLOWANCE = 6.0
"""Of a facing's inner edge, turned or overlocked (common practice)."""


def bodice_facings(halves: Halves, plan: BodicePlan, cloth: str) -> list[Piece]:
    """Facings as mirror images of the panels: sewn right sides together and turned."""
    pieces = []
    for part in ("front", "back"):
        opens = (part == "back") == (plan.closure == "back_zip")
        pieces += [_facing(halves, part, side, plan, cloth) for side in SIDES] if opens else []
        pieces += [] if opens else [_whole_facing(halves, part, plan, cloth)]
    return pieces


def _facing(halves: Halves, part: str, side: Side, plan: BodicePlan, cloth: str) -> Piece:
    edges = _edges(halves, part, side, plan, full=part == "front")
    if is_right_way(part, side):
        edges = mirrored_edges(edges)
    return _piece(plan, f"{part}_facing_{side}", edges, side, cloth)


def _whole_facing(halves: Halves, part: str, plan: BodicePlan, cloth: str) -> Piece:
    """A neck facing in one: the half that lies as laid, and the other one turned beside it."""
    as_laid, other = sorted(SIDES, key=lambda side: is_right_way(part, side))
    first, second = (_edges(halves, part, side, plan, full=False) for side in (as_laid, other))
    kept = [edge for edge in (*first, *mirrored_edges(second)) if edge.slug != "centre"]
    count = len(first) - 1
    named = [
        PieceEdge(
            slug=f"{edge.slug}_{1 if k < count else 2}",
            curve=edge.curve,
            role=edge.role,
            allowance=edge.allowance,
            seam=edge.seam,
            against=edge.against,
        )
        for k, edge in enumerate(kept)
    ]
    return _piece(plan, f"{part}_neck_facing", named, "middle", cloth)


def _edges(halves: Halves, part: str, side: Side, plan: BodicePlan, *, full: bool) -> list[PieceEdge]:
    """Edges of half a facing with its centre at the left. full : down to the waist, or round the neck
    only.
    """
    half, options, prefix = halves[part, side], plan.options, plan.prefix
    lapped = plan.closure == "front_buttons" and part == "front"
    past = np.array([options.overlap if lapped else 0.0, 0.0])
    neck = half.named("neck")[0]
    shoulder = half.named("shoulder")[-1]
    least = min(halves[p, side].run_lengths("shoulder")[-1] for p in ("front", "back"))
    wide = min(options.facing_width, 0.6 * least)
    shoulder = cut_curve(shoulder, [length(shoulder) - wide])[-1]
    neck = np.vstack([neck, neck[-1] - past]) if lapped else neck
    along = shoulder[-1] - shoulder[0]
    up = np.array([along[1], -along[0]])
    if full:
        bottom = cut_curve(half.named("waist")[0], [options.facing_width])[0]
        bottom = np.vstack([bottom[0] - past, bottom]) if lapped else bottom
        leaving = np.array([0.0, 1.0])
    else:
        bottom = neck[-1:] - (0.0, options.facing_width)
        leaving = np.array([1.0, 0.0])
    inner = curve_between(bottom[-1], leaving, shoulder[0], up, 0.35, 0.35)
    centre = np.array([neck[-1], bottom[0]])
    edges = (
        [PieceEdge(slug="waist", curve=bottom, role="hem", allowance=options.seam_allowance)] if full else []
    )
    edges += [
        PieceEdge(slug="inner", curve=inner, role="opening", allowance=INNER_ALLOWANCE),
        PieceEdge(
            slug="shoulder",
            curve=shoulder,
            role="seam",
            allowance=options.seam_allowance,
            seam=f"{prefix}_facing_shoulder_{side}",
        ),
        PieceEdge(
            slug="neck",
            curve=neck,
            role="seam",
            allowance=NECK_ALLOWANCE,
            seam=f"{prefix}_neck_{part}_{side}",
        ),
        PieceEdge(
            slug="centre",
            curve=centre,
            role="seam" if full else "closure",
            allowance=options.seam_allowance,
            seam=f"{prefix}_front_edge_{side}" if full else None,
        ),
    ]
    return edges


def _piece(plan: BodicePlan, name: str, edges: list[PieceEdge], side: str, cloth: str) -> Piece:
    statement = plan.request.statement
    low = np.vstack([edge.curve for edge in edges]).min(axis=0)
    high = np.vstack([edge.curve for edge in edges]).max(axis=0)
    neck = sum(edge.length for edge in edges if edge.slug.startswith("neck"))
    label = statement.label or statement.slug.replace("_", " ")
    tall = float(high[1] - low[1])
    start, end = arrow_inside(np.concatenate([edge.curve[:-1] for edge in edges]), (0.0, 1.0))
    return Piece(
        slug=f"{statement.slug}_{name}",
        label=f"{label}, {name.replace('_', ' ')}",
        kind=statement.kind,
        cloth=cloth,
        edges=tuple(edges),
        grainline=Grainline(start=start, end=end, kind="grain"),
        totals=(
            Total(what="neck edge", length=neck),
            Total(what="whole height", length=tall),
            Total(what="whole breadth", length=float(high[0] - low[0])),
        ),
        verdict=plan.verdict,
        side=side,  # type: ignore[arg-type]
        note=(
            "Join the facings at the shoulders and finish their inner edge.",
            "Sew right sides together round neck and front edges, trim, clip the curve, turn and press.",
        ),
        layer=statement.layer,
        edition=plan.request.edition,
    )
