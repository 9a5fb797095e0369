"""A sash: a strip that goes round the body and is tied, its ends shaped."""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.circular.options import TURN
from layfigure.draft.flat_edges import grain, inner, straight_edge
from layfigure.draft.hanging.fall import fall_from
from layfigure.draft.hanging.options import HangingOptions
from layfigure.draft.hanging.panel import hem_profile
from layfigure.draft.hanging.piece import behind, hanging_verdict, named_checks
from layfigure.draft.hanging.worn import sash_meshes
from layfigure.draft.registry import Check, DraftRequest, DraftResult
from layfigure.draft.sewn_practice import SewnPractice, sewn_practice
from layfigure.draft.sheet_practice import cautions_for
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length as curve_length
from layfigure.piece.piece import EdgeRole, Piece, PieceEdge, Total
from layfigure.piece.worn import HANGS, WornSurface
from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]


def sash_result(
    request: DraftRequest, options: HangingOptions, top: PlacedEdge | None, where: str
) -> DraftResult:
    """The sash, its lining, and how it is worn. Raises DraftError where its way round is unknown."""
    statement, cloth = request.statement, request.cloth
    if top is not None and not top.edge.closed:
        raise DraftError(
            "a sash goes right round, and its line does not.", where=where, advice="Close the line."
        )
    own = None if top is None else curve_length(top.line, closed=True)
    girth = options.girth or own
    if girth is None:
        raise DraftError(
            "nothing says how far round the sash goes.",
            where=where,
            advice="Add top = 'edge name', or girth.",
        )
    width = options.width or 150.0
    practice = sewn_practice(cloth)
    round_body = options.turns * (girth + 2.0 * np.pi * request.stack)
    whole = round_body + options.knot + 2.0 * options.tail_length
    depth = 0.0 if options.hem_shape == "straight" else min(options.hem_depth, 0.9 * options.tail_length)
    edges = sash_edges(
        whole, width, options, practice, statement.slug, depth, lined="lining" in statement.cloths
    )
    spread = 0.0 if top is None else float(np.max(top.spread))
    checks: list[Check] = []
    verdict = hanging_verdict(request, cloth, top, checks, spread)
    knot = 0.5 * whole
    base = Piece(
        slug=statement.slug,
        label=statement.label or statement.slug.replace("_", " "),
        kind=statement.kind,
        cloth=cloth.slug,
        edges=edges,
        grainline=grain((0.2 * whole, 0.3 * width), (0.8 * whole, 0.3 * width)),
        totals=(
            Total(what="along the middle, end to end", length=whole),
            Total(what="width", length=width),
            Total(what="right round the body, without knot and ends", length=round_body),
        ),
        verdict=verdict,
        lines=(inner("balance", (knot, 0.0), (knot, width), "middle, opposite the knot"),),
        note=(
            f"Cut once from {cloth.name}, along the selvedge; join on a slant where it is too short.",
            "Turn in and hem the edges, or line it."
            if "lining" not in statement.cloths
            else "Sew to its lining outside to outside, leave a hand's width open, turn, close.",
            f"Lay its middle opposite the knot and go round, {options.turns} in all; tie.",
            f"The knot takes {options.knot:g} mm.",
            "Tied ends catch on things: fasten it so that it comes open when pulled.",
        ),
        cautions=cautions_for(cloth),
        layer=statement.layer,
        edition=request.edition,
        thickness=cloth.thickness,
    )
    worn: tuple[WornSurface, ...] = ()
    if top is not None and {at.region for at in top.at} <= {"torso", "neck"}:
        fall = fall_from(request.form, top.line, clearance=request.stack, folds=request.folds)
        meshes = sash_meshes(top.line, fall, width, options.tail_length, TURN[options.at])
        worn = tuple(
            WornSurface(name=f"{statement.slug}_{number}", mesh=mesh, cloth=cloth.slug, gives=HANGS)
            for number, mesh in enumerate(meshes, start=1)
        )
    return DraftResult(
        pieces=(base, *behind(request, base)), checks=named_checks(base.label, checks), worn=worn
    )


def sash_edges(
    whole: float,
    width: float,
    options: HangingOptions,
    practice: SewnPractice,
    slug: str,
    depth: float,
    *,
    lined: bool,
) -> tuple[PieceEdge, ...]:
    """A strip whose two ends have the shape of the hem."""
    profile = hem_profile(options.hem_shape, depth, options.hem_count)
    # At the right end the profile runs upward, at the left downward; drop counts toward the end.
    right = np.column_stack([whole - depth + profile[:, 1], 0.5 * width * (profile[:, 0] + 1.0)])
    left = np.column_stack([depth - profile[:, 1], 0.5 * width * (profile[:, 0] + 1.0)])[::-1]
    allowance = practice.seam if lined else practice.edge
    role: EdgeRole = "seam" if lined else "hem"

    def edge(name: str, a: Points, b: Points) -> PieceEdge:
        return straight_edge(name, a, b, role, allowance, seam=f"{slug}_{name}" if lined else None)

    ends = []
    for name, end in (("right_end", right), ("left_end", left)):
        if options.hem_shape in ("curve", "scallops"):
            ends.append([PieceEdge(slug=name, curve=end, role=role, allowance=allowance,
                                   seam=f"{slug}_{name}" if lined else None)])  # fmt: skip
        else:
            ends.append([edge(f"{name}_{k}", a, b) for k, (a, b) in enumerate(itertools.pairwise(end), 1)])
    return (edge("lower", left[-1], right[0]), *ends[0], edge("upper", right[-1], left[0]), *ends[1])
