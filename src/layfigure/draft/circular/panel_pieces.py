"""Panels of a circular piece as pieces to cut, and those of the lining that hangs inside them."""

from __future__ import annotations

from dataclasses import replace

from layfigure.draft.circular.options import CircularOptions
from layfigure.draft.circular.panels import panel_edges, panel_grain, panel_lines
from layfigure.draft.circular.plan import CircularPlan
from layfigure.draft.sewn_practice import sewn_practice
from layfigure.geometry.polyline import length
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Piece, Total, Verdict

LINING_SHORTER = 20.0
"""A lining's hem above the cloth's own [mm] (common practice, no source)."""


def panel_pieces(
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
    """Every panel as a piece, from the opening toward the wearer's left.

    base : what all have in common. suffix : added to their names. shorter : their hem is higher by this [mm].
    """
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


def lining_pieces(
    base: Piece, plan: CircularPlan, options: CircularOptions, cloth: Cloth, count: int, verdict: Verdict
) -> list[Piece]:
    """The panels again, from the lining's cloth, hung inside the others."""
    note = (
        f"Lining, from {cloth.name}: made like the outside and hung inside it, seams to the inside.",
        f"It is {LINING_SHORTER:g} mm shorter; leave its hem free of the outside's.",
    )
    # A lining's top is sewn in with the outside's, so its seams there bear no name of their own.
    pieces = panel_pieces(base, plan, options, cloth, count, note, suffix="_lining", shorter=LINING_SHORTER)
    return [
        replace(
            piece,
            edges=tuple(replace(edge, seam=None) if edge.slug == "top" else edge for edge in piece.edges),
            verdict=verdict,
            thickness=cloth.thickness,
        )
        for piece in pieces
    ]
