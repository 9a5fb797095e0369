"""A flat panel of a close garment as a piece to cut: its edges, notches, lines, arrow and totals."""

from __future__ import annotations

from typing import Literal

import numpy as np
import shapely

from layfigure.draft.flatten.panel import FlatPanel
from layfigure.draft.knit.garment import KnitGarment
from layfigure.draft.knit.lines import balance_lines, centre_line, drawn_fields, seam_notches
from layfigure.draft.knit.note import CAUTIONS
from layfigure.draft.knit.options import FINISH_ALLOWANCE, KnitOptions
from layfigure.draft.knit.panel_cloths import panel_words
from layfigure.draft.knit.parts import met_marks
from layfigure.draft.panels.topology import PanelPlan
from layfigure.draft.registry import DraftRequest
from layfigure.draft.window.across_seams import SeamWindows
from layfigure.piece.piece import Grainline, Piece, PieceEdge, Total, Verdict
from layfigure.units import parse_length


def panel_piece(
    request: DraftRequest,
    options: KnitOptions,
    garment: KnitGarment,
    plan: PanelPlan,
    flat: FlatPanel,
    cloth: str,
    verdict: Verdict,
    note: tuple[str, ...],
    across: SeamWindows,
) -> Piece:
    """The piece of a panel, its windows not cut yet. cloth : slug. note : instructions, one a line."""
    statement = request.statement
    kinds = {line: opening.kind for opening in garment.openings for line in opening.lines}
    fields = drawn_fields(request.form, garment.levels, flat.panel)
    edges = []
    for use, edge in zip(plan.edges, flat.panel.outline, strict=True):
        curve = flat.curves[use.slug]
        if use.seam is None:
            allowance = FINISH_ALLOWANCE[options.finish_of(kinds[use.line])]
            edges.append(PieceEdge(slug=use.slug, curve=curve, role=use.role, allowance=allowance))
            continue
        # The panel's own seam name becomes the design's: two garments may both have a side seam.
        seam = f"{statement.slug}.{use.seam}"
        panel_edge = PieceEdge(
            slug=use.slug, curve=curve, role="seam", allowance=0.0, seam=edge.seam, against=edge.against
        )
        notches = seam_notches(flat.panel, edge, curve, fields, seam=use.seam)
        notches = tuple(sorted((*notches, *across.notches(panel_edge)), key=lambda notch: notch.distance))
        edges.append(
            PieceEdge(
                slug=use.slug,
                curve=curve,
                role="seam",
                allowance=parse_length(options.seam_allowance),
                seam=seam,
                against=use.against,
                notches=notches,
            )
        )
    middle = centre_line(flat, "centre")
    lines = [*balance_lines(flat, fields), *([middle] if middle else [])]
    lines += met_marks(plan, flat)
    lines += [line for part in across.parts.get(plan.slug, ()) for line in part.inner_lines()]
    part, _, end = plan.of.rpartition("_")
    has_side = end in ("left", "right")
    side: Literal["left", "right", "middle"] = (
        ("left" if end == "left" else "right") if has_side else "middle"
    )
    label = statement.label or statement.slug.replace("_", " ")
    pair = garment.pair and has_side
    return Piece(
        slug=piece_slug(request, garment, plan),
        label=f"{label}: {part.replace('_', ' ') if pair else panel_words(plan)}",
        kind="knit",
        cloth=cloth,
        edges=tuple(edges),
        grainline=_stretch_arrow(flat),
        totals=_totals(edges),
        verdict=verdict,
        side="both" if pair else side,
        count=2 if pair else 1,
        lines=tuple(lines),
        note=note,
        cautions=CAUTIONS,
        layer=statement.layer,
        edition=request.edition,
    )


def piece_slug(request: DraftRequest, garment: KnitGarment, plan: PanelPlan) -> str:
    """Name of a panel's piece: one drafted for both sides is named for neither."""
    part, _, end = plan.of.rpartition("_")
    pair = garment.pair and end in ("left", "right")
    return f"{request.statement.slug}_{part if pair else plan.slug}"


def _stretch_arrow(flat: FlatPanel) -> Grainline:
    """A level arrow across the widest free stretch near the middle of the panel."""
    polygon = shapely.Polygon(np.concatenate([flat.curves[e.slug][:-1] for e in flat.panel.outline]))
    centre = polygon.representative_point()
    low, _, high, _ = polygon.bounds
    across = polygon.intersection(shapely.LineString([(low, centre.y), (high, centre.y)]))
    longest = max(shapely.get_parts(across), key=lambda part: part.length)
    (x0, y), (x1, _) = longest.coords[0], longest.coords[-1]
    inset = 0.2 * (x1 - x0)
    return Grainline(start=(x0 + inset, y), end=(x1 - inset, y), kind="stretch")


def _totals(edges: list[PieceEdge]) -> tuple[Total, ...]:
    """Three lengths to check on paper: the two longest seams and the longest finished edge."""
    seams = sorted((e for e in edges if e.seam is not None), key=lambda e: -e.length)
    free = sorted((e for e in edges if e.seam is None), key=lambda e: -e.length)
    chosen = [*seams[: 3 - min(1, len(free))], *free[:1]]
    return tuple(
        Total(what=f"{edge.slug.replace('_', ' ')}, along the stitch line", length=edge.length)
        for edge in chosen
    )
