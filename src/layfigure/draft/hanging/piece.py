"""What every hanging piece has beside its outside: lining, stiffener, verdict."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from layfigure.draft.registry import Check, DraftRequest
from layfigure.draft.sewn_practice import sewn_practice
from layfigure.draft.verdict import governing_measures, wrap_verdict
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Piece, PieceEdge, Verdict
from layfigure.place.placement import PlacedEdge

TRIAL = "Hang a hand-wide strip of it overnight, measure how far it drops,"


def behind(request: DraftRequest, base: Piece) -> list[Piece]:
    """Lining and stiffener of a piece, where the design names cloths for them."""
    cloths, found = request.statement.cloths, []
    if "lining" in cloths:
        lining = request.cloths[cloths["lining"]]
        found.append(
            replace(
                base,
                slug=f"{base.slug}_lining",
                label=f"{base.label}, lining",
                cloth=lining.slug,
                edges=tuple(
                    replace(edge, allowance=sewn_practice(lining).seam) for edge in mirrored_edges(base.edges)
                ),
                grainline=replace(
                    base.grainline,
                    start=(-base.grainline.start[0], base.grainline.start[1]),
                    end=(-base.grainline.end[0], base.grainline.end[1]),
                ),
                lines=base.lines[:1],
                note=(
                    f"Cut once from {lining.name}, outside up: it is the mirror image of the piece.",
                    "Sew to the piece outside to outside along sides and hem, turn and press.",
                ),
                thickness=lining.thickness,
            )
        )
    if "stiffener" in cloths:
        stiffener = request.cloths[cloths["stiffener"]]
        found.append(
            replace(
                base,
                slug=f"{base.slug}_stiffener",
                label=f"{base.label}, stiffener",
                cloth=stiffener.slug,
                edges=tuple(replace(edge, allowance=0.0, seam=None, notches=()) for edge in base.edges),
                lines=base.lines[:1],
                note=("Cut without allowances and lay it between piece and lining, inside the stitch line.",),
                thickness=stiffener.thickness,
            )
        )
    return found


def mirrored_edges(edges: tuple[PieceEdge, ...]) -> tuple[PieceEdge, ...]:
    """The outline of the mirror image: every seam is met from the other side."""
    flipped = []
    for edge in reversed(edges):
        whole = edge.length
        flipped.append(
            replace(
                edge,
                curve=(edge.curve * (-1.0, 1.0))[::-1],
                against=not edge.against if edge.seam is not None else edge.against,
                notches=tuple(
                    replace(notch, distance=whole - notch.distance) for notch in reversed(edge.notches)
                ),
            )
        )
    return tuple(flipped)


def hanging_verdict(
    request: DraftRequest, cloth: Cloth, top: PlacedEdge | None, checks: Sequence[Check], spread: float
) -> Verdict:
    """How far it can be trusted, by the measures near its top line."""
    region = None if top is None else top.at[0].region
    stations = [] if top is None else [at.station for at in top.at]
    measures = () if region is None else governing_measures(region, min(stations), max(stations))
    return wrap_verdict(
        checks,
        form=request.form,
        cloth=cloth,
        measures=measures,
        spread=spread,
        assumed=request.assumed,
        trial=TRIAL,
    )


def named_checks(label: str, checks: Sequence[Check]) -> tuple[Check, ...]:
    """Checks that say which piece they are of."""
    return tuple(replace(check, what=f"{label}: {check.what}") for check in checks)
