"""Gores of a cap as pieces to cut."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.registry import DraftRequest
from layfigure.draft.shell.flat_pieces import (
    FlatEdge,
    bevel_lines,
    grain,
    piece_edges,
    totals_of,
    turned,
)
from layfigure.draft.shell.gores import Gores
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import InnerLine, Piece, Verdict

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceWords:
    """What all pieces of a statement share: verdict, make note, cautions."""

    verdict: Verdict
    note: tuple[str, ...]
    cautions: tuple[str, ...]


def piece_of(
    request: DraftRequest,
    cloth: Cloth,
    words: PieceWords,
    *,
    slug: str,
    label: str,
    edges: Sequence[FlatEdge],
    lines: Sequence[InnerLine],
    totals: Mapping[str, str],
    bottom: Points,
    top: Points,
) -> Piece:
    """A piece of the statement. totals : edge slug to what it is called. bottom, top : ends of its middle."""
    statement = request.statement
    own = list(edges)
    return Piece(
        slug=f"{statement.slug}_{slug}",
        label=label,
        kind=statement.kind,
        cloth=cloth.slug,
        edges=piece_edges(own, cloth),
        grainline=grain(own, top - bottom, cloth),
        totals=totals_of(own, totals),
        verdict=words.verdict,
        side="middle" if statement.side == "both" else statement.side,
        lines=(*lines, *bevel_lines(own, cloth)),
        note=words.note,
        cautions=words.cautions,
        layer=statement.layer,
        edition=request.edition,
        thickness=cloth.thickness,
    )


def gore_pieces(
    request: DraftRequest,
    cloth: Cloth,
    words: PieceWords,
    gores: Gores,
    *,
    label: str,
    marks: Mapping[str, Sequence[tuple[float, float, str]]] | None = None,
    prefix: str = "gore",
) -> list[Piece]:
    """One piece a gore, numbered counter-clockwise seen from outside.

    marks : gore slug to places on it as (share of its width from the left, share up its height, words).
    """
    pieces = []
    for number in range(gores.count):
        flat = gores.flats[f"gore_{number + 1}"]
        rim, right, left = (flat.curves[edge.slug] for edge in flat.panel.outline)
        rim_use = flat.panel.outline[0]
        bottom, turn = gores.upright(number + 1)
        top = right[-1]
        rim, right, left = (turned(curve, turn, bottom) for curve in (rim, right, left))
        after = (number + 1) % gores.count
        edges = [
            FlatEdge(slug="rim", curve=rim, seam=rim_use.seam, against=rim_use.against),
            FlatEdge(
                slug="right", curve=right, seam=flat.panel.outline[1].seam, bevel=tuple(gores.bevels[after])
            ),
            FlatEdge(
                slug="left",
                curve=left,
                seam=flat.panel.outline[2].seam,
                against=True,
                bevel=tuple(gores.bevels[number][::-1]),
            ),
        ]
        height = float(np.linalg.norm(top - bottom))
        middle = np.array([[0.0, 0.0], [0.0, height]])
        lines = [InnerLine(kind="centre", curve=middle, label="")]
        for across, up, what in (marks or {}).get(f"gore_{number + 1}", ()):
            lines.append(_mark(left[::-1], right, across, up, what))
        pieces.append(
            piece_of(
                request,
                cloth,
                words,
                slug=f"{prefix}_{number + 1}",
                label=f"{label}, gore {number + 1} of {gores.count}",
                edges=edges,
                lines=lines,
                totals={"rim": "rim edge", "right": "right edge", "left": "left edge"},
                bottom=middle[0],
                top=middle[1],
            )
        )
    return pieces


def _mark(left: Points, right: Points, across: float, up: float, words: str) -> InnerLine:
    """A short level line across a gore. left, right : its sides upward."""
    a, b = left[int(up * (len(left) - 1))], right[int(up * (len(right) - 1))]
    middle = a + across * (b - a)
    way = (b - a) / np.linalg.norm(b - a)
    return InnerLine(kind="placement", curve=np.stack([middle - 8.0 * way, middle + 8.0 * way]), label=words)
