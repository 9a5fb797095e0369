"""The hood as a piece to cut: one half, cut twice mirrored."""

from __future__ import annotations

import numpy as np

from layfigure.draft.knit.hood import face_elastic, hood_checks, hood_half, worn_hood
from layfigure.draft.knit.note import CAUTIONS
from layfigure.draft.knit.options import FINISH_ALLOWANCE, KnitOptions
from layfigure.draft.knit.verdict import knit_verdict
from layfigure.draft.registry import DraftRequest, DraftResult
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length
from layfigure.materials.cloth import Cloth
from layfigure.materials.stretch import Reduction
from layfigure.piece.piece import Grainline, InnerLine, Notch, Piece, PieceEdge, Total
from layfigure.units import parse_length

BLIND = (
    "It may cover ears and narrow what is seen at the sides: try it at home before wearing it among people."
)


def draft_hood(
    request: DraftRequest, options: KnitOptions, cloth: Cloth, reduction: Reduction
) -> DraftResult:
    """A close hood. Raises DraftError for windows, which its formula knows no place for."""
    statement, form = request.statement, request.form
    where = f"piece {statement.slug}"
    if statement.windows:
        raise DraftError("a hood has no windows.", where=where, advice="Leave them out, or cut them by hand.")
    half = hood_half(form, cloth, reduction, parse_length(options.face_width))
    allowance, finish = parse_length(options.seam_allowance), FINISH_ALLOWANCE[options.neck]
    checks = hood_checks(half, form, cloth)
    whole = length(half.centre)
    crown = float(half.centre[:, 1].argmax()) / (len(half.centre) - 1) * whole
    edges = (
        PieceEdge(slug="neck", curve=half.neck, role="opening", allowance=finish),
        PieceEdge(
            slug="centre",
            curve=half.centre,
            role="seam",
            seam=f"{statement.slug}.centre",
            allowance=allowance,
            notches=(Notch(name="crown", distance=crown, count=2),),
        ),
        PieceEdge(slug="face", curve=half.face, role="opening", allowance=finish),
        PieceEdge(
            slug="chin", curve=half.chin, role="seam", seam=f"{statement.slug}.chin", allowance=allowance
        ),
    )
    outline = np.concatenate([edge.curve for edge in edges])
    low, high = float(outline[:, 0].min()), float(outline[:, 0].max())
    level = 0.75 * half.brow
    label = statement.label or statement.slug.replace("_", " ")
    piece = Piece(
        slug=f"{statement.slug}_half",
        label=f"{label}: half",
        kind="knit",
        cloth=cloth.slug,
        edges=edges,
        grainline=Grainline(
            start=(low + 0.2 * (high - low), level), end=(low + 0.7 * (high - low), level), kind="stretch"
        ),
        totals=(
            Total(what="centre seam, along the stitch line", length=whole),
            Total(what="face, along the stitch line", length=edges[2].length),
            Total(what="lower edge, along the stitch line", length=edges[0].length),
        ),
        verdict=knit_verdict(
            checks,
            form=form,
            cloth=cloth,
            measures=("head_girth", "neck_girth"),
            where=statement.slug,
        ),
        side="both",
        count=2,
        lines=(
            InnerLine(
                kind="balance",
                curve=np.array([[0.0, half.brow], [high, half.brow]]),
                label="brow",
            ),
        ),
        note=(
            "Lay the arrow along the cloth's greater stretch, which runs round the head. Cut two, mirrored.",
            "Sew the centre seam from nape to forehead, crowns meeting; sew the short seam below the chin.",
            "Sew elastic round the face, stretched evenly; finish the lower edge.",
            "Overlock or zigzag: a straight stitch breaks when the cloth stretches.",
        ),
        cautions=(*CAUTIONS, BLIND),
        layer=statement.layer,
        edition=request.edition,
    )
    items = (face_elastic(half, reduction),) if options.neck == "elastic" else ()
    worn = (worn_hood(form, f"{statement.slug}_half", cloth.slug),)
    return DraftResult(pieces=(piece,), checks=checks, items=items, worn=worn)
