"""What all pieces of one glove share: names, allowances, grain; and edges and pieces made with them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.glove.fit import GloveFit
from layfigure.draft.glove.mirrored import mirrored_piece
from layfigure.draft.glove.options import SLOT_SPARE, GloveOptions, GlovePractice
from layfigure.draft.registry import DraftRequest
from layfigure.draft.sheet_practice import cautions_for
from layfigure.geometry.polyline import length
from layfigure.materials.cloth import Cloth, MaterialKind
from layfigure.piece.piece import EdgeRole, Grainline, InnerLine, Notch, Piece, PieceEdge, Total, Verdict

Points = NDArray[np.float64]

NOTCHED = 50.0
"""Seams from this length on get a notch [mm]."""

FACED = 12.0
"""Turned in along the edges of a slit [mm] (common practice, no source)."""

_GRAIN: dict[MaterialKind, Literal["grain", "stretch"]] = {
    "knit": "stretch",
    "mesh": "stretch",
    "woven": "grain",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class GloveSewing:
    """What every piece of a glove shares; allowances [mm]. grain : see ``Grainline``."""

    slug: str
    label: str
    kind: str
    cloth: str
    side: Literal["left", "right"]
    seam: float
    hem: float
    closure: float
    grain: Literal["grain", "stretch", "any"]
    verdict: Verdict
    note: tuple[str, ...]
    cautions: tuple[str, ...]
    layer: int
    edition: int
    thickness: float

    def edge(
        self,
        slug: str,
        curve: Points,
        role: EdgeRole,
        *,
        seam: str = "",
        against: bool = False,
        web: float | None = None,
    ) -> PieceEdge:
        """An edge with the allowance of its role. seam : its name within the glove. web : distance along it
        to the web between two fingers, which gets a double notch; a longer seam without gets one midway.
        """
        allowance = {"seam": self.seam, "hem": self.hem, "closure": self.closure}[role]
        notches: tuple[Notch, ...] = ()
        if web is not None:
            notches = (Notch(name="web", distance=web, count=2),)
        elif seam and length(curve) >= NOTCHED:
            notches = (Notch(name="middle", distance=0.5 * length(curve)),)
        return PieceEdge(
            slug=slug,
            curve=curve,
            role=role,
            allowance=allowance,
            seam=f"{self.slug}.{seam}" if seam else None,
            against=against,
            notches=notches,
        )

    def piece(
        self,
        part: str,
        words: str,
        edges: Sequence[PieceEdge],
        *,
        grain: Points,
        totals: tuple[Total, ...],
        lines: tuple[InnerLine, ...],
    ) -> Piece:
        """A piece for the side that the glove is for. grain : (2, 2) ends of its arrow."""
        start, end = ((float(x), float(y)) for x, y in grain)
        piece = Piece(
            slug=f"{self.slug}_{part}",
            label=f"{self.label}, {words}",
            kind=self.kind,
            cloth=self.cloth,
            edges=tuple(edges),
            grainline=Grainline(start=start, end=end, kind=self.grain),
            totals=totals,
            verdict=self.verdict,
            side=self.side,
            lines=lines,
            note=self.note,
            cautions=self.cautions,
            layer=self.layer,
            edition=self.edition,
            thickness=self.thickness,
        )
        return piece if self.side == "left" else mirrored_piece(piece)


def sewing_of(
    request: DraftRequest,
    options: GloveOptions,
    practice: GlovePractice,
    cloth: Cloth,
    side: Literal["left", "right"],
    fit: GloveFit,
) -> GloveSewing:
    """Of one glove, its verdict and note still to be found."""
    statement = request.statement
    return GloveSewing(
        slug=statement.slug,
        label=statement.label or statement.slug.replace("_", " "),
        kind=statement.kind,
        cloth=cloth.slug,
        side=side,
        seam=fit.slot / 2.0 - SLOT_SPARE,
        hem=practice.hem if options.hem is None else options.hem,
        closure=FACED,
        grain=_GRAIN.get(cloth.kind, "any"),
        verdict=Verdict(level="paper"),
        note=(),
        cautions=cautions_for(cloth),
        layer=statement.layer,
        edition=request.edition,
        thickness=cloth.thickness,
    )
