"""What lies beneath a stiff sheet: a lining of its shape, and a stiffener that slips in and comes out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from shapely import Polygon

from layfigure.draft.registry import DraftRequest
from layfigure.draft.sheet_practice import cautions_for
from layfigure.errors import DraftError
from layfigure.geometry.corners import cut_at_corners
from layfigure.geometry.polyline import length
from layfigure.piece.piece import InnerLine, Piece, PieceEdge, Total

LINING_ALLOWANCE = 10.0
"""A lining is cut this much larger and trimmed after gluing [mm] (common practice, no source)."""

NO_ROOM = "a lattice in one piece has no room for a stiffener between its openings."


def beneath(piece: Piece, request: DraftRequest, inset: float) -> Iterator[Piece]:
    """Lining and stiffener of one sheet, as far as the statement names cloths for them.

    inset : how far inside the sheet the stiffener ends [mm]. The lining of a lattice in one piece is glued
    whole, and its openings cut after. Raises DraftError where nothing is left of a stiffener.
    """
    cloths = request.statement.cloths
    if "lining" in cloths:
        cloth = request.cloths[cloths["lining"]]
        yield replace(
            piece,
            slug=f"{piece.slug}_lining",
            label=f"{piece.label}, lining",
            cloth=cloth.slug,
            edges=tuple(
                replace(
                    edge, role="opening", seam=None, against=False, notches=(), allowance=LINING_ALLOWANCE
                )
                for edge in piece.edges
            ),
            windows=(),
            lines=(
                *piece.lines,
                *(InnerLine(kind="trim", curve=window.curve, closed=True) for window in piece.windows),
            ),
            note=(
                f"Cut from {cloth.name}, with the outside of the drawing down.",
                "Glue or baste it to the inside, closure last, and trim it to the sheet.",
                *(("Cut its openings last, along those of the sheet.",) if piece.windows else ()),
            ),
            cautions=cautions_for(cloth),
            thickness=cloth.thickness,
        )
    if "stiffener" in cloths:
        if piece.windows:
            raise DraftError(NO_ROOM, advice="Leave cloths.stiffener out, or cut the bands apart.")
        cloth = request.cloths[cloths["stiffener"]]
        inner = Polygon(piece.stitch_line).buffer(-inset, join_style="mitre")
        if inner.geom_type != "Polygon" or inner.is_empty:
            raise DraftError(
                f"nothing whole is left of {piece.label} for a stiffener.", advice="Ask for a smaller inset."
            )
        ring = np.asarray(inner.exterior.coords, dtype=np.float64)[:-1]
        if not inner.exterior.is_ccw:
            ring = ring[::-1]
        edges = tuple(
            PieceEdge(slug=f"edge_{number}", curve=curve, role="opening", allowance=0.0)
            for number, curve in enumerate(cut_at_corners(ring), start=1)
        )
        yield replace(
            piece,
            slug=f"{piece.slug}_stiffener",
            label=f"{piece.label}, stiffener",
            cloth=cloth.slug,
            edges=edges,
            windows=(),
            lines=(),
            totals=tuple(
                Total(what=f"{edge.slug.replace('_', ' ')}, along the line", length=length(edge.curve))
                for edge in sorted(edges, key=lambda edge: -edge.length)[:3]
            ),
            note=(
                f"Cut from {cloth.name}, and round its corners.",
                "Sew a pocket for it into the lining, open at the closure: it comes out for washing.",
            ),
            cautions=cautions_for(cloth),
            thickness=cloth.thickness,
        )
