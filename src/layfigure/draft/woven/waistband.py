"""A straight waistband, cut double, its lower edge divided like the edge it is sewn to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from layfigure.draft.registry import DraftRequest
from layfigure.draft.woven.options import WovenOptions
from layfigure.piece.piece import Grainline, InnerLine, Piece, PieceEdge, Total, Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class BandStretch:
    """A stretch of a waistband's lower edge, in order from left to right seen from outside [mm].

    seam : None where it is sewn to nothing, as under a lap.
    """

    slug: str
    length: float
    seam: str | None


def waistband(
    request: DraftRequest,
    stretches: Sequence[BandStretch],
    options: WovenOptions,
    verdict: Verdict,
    *,
    centres: Sequence[float] = (),
) -> Piece:
    """The band. centres : distances from its left end at which the centre front lies [mm]."""
    edges, x = [], 0.0
    for stretch in stretches:
        edges.append(
            PieceEdge(
                slug=stretch.slug,
                curve=np.array([[x, 0.0], [x + stretch.length, 0.0]]),
                role="seam" if stretch.seam else "closure",
                allowance=options.seam_allowance,
                seam=stretch.seam,
            )
        )
        x += stretch.length
    tall = 2.0 * options.waistband_depth
    ends = np.array([[x, 0.0], [x, tall], [0.0, tall], [0.0, 0.0]])
    edges += [
        PieceEdge(
            slug=slug,
            curve=ends[k : k + 2],
            role="hem" if slug == "inside" else "closure",
            allowance=options.seam_allowance,
        )
        for k, slug in enumerate(("end", "inside", "other_end"))
    ]
    lines = [
        InnerLine(kind="fold", curve=np.array([[0.0, 0.5 * tall], [x, 0.5 * tall]]), label="fold along here")
    ]
    lines += [
        InnerLine(kind="centre", curve=np.array([[at, 0.0], [at, tall]]), label="centre front")
        for at in centres
    ]
    statement = request.statement
    label = statement.label or statement.slug.replace("_", " ")
    return Piece(
        slug=f"{statement.slug}_waistband",
        label=f"{label}, waistband",
        kind=statement.kind,
        cloth=statement.cloth,
        edges=tuple(edges),
        grainline=Grainline(start=(0.4 * x, 0.25 * tall), end=(0.6 * x, 0.25 * tall), kind="grain"),
        totals=(
            Total(what="waistband, end to end", length=x),
            Total(what="height, cut double", length=tall),
            Total(what="finished height", length=0.5 * tall),
        ),
        verdict=verdict,
        lines=tuple(lines),
        note=(
            "Sew the lower edge on stretch by stretch: its corners are the edges of pleats, darts and seams.",
            "Fold along the middle, close the ends, turn in the inside edge and fell it over the seam.",
        ),
        layer=statement.layer,
        edition=request.edition,
    )
