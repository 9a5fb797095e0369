"""What finishes trousers inside: facing and shield of the fly, and waist facings where there is no band."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.registry import DraftRequest
from layfigure.draft.woven.bodice import is_right_way
from layfigure.draft.woven.bodice_edges import cut_curve, mirrored_edges
from layfigure.draft.woven.bodice_facing import INNER_ALLOWANCE
from layfigure.draft.woven.bodice_fit import HALVES
from layfigure.draft.woven.closed_edge import joined, of_dart, one_line
from layfigure.draft.woven.curve import curve_between
from layfigure.draft.woven.half_outline import Dart
from layfigure.draft.woven.options import WovenOptions
from layfigure.draft.woven.strip import parallel
from layfigure.draft.woven.trouser_pieces import Side, fly_and_crotch, fly_seam, waist_seam
from layfigure.draft.woven.trousers_flat import TrouserHalf
from layfigure.geometry.polyline import length
from layfigure.piece.piece import Grainline, Notch, Piece, PieceEdge, Total, Verdict

Points = NDArray[np.float64]

FLY_WIDTH = 45.0
"""Of a fly's facing and shield [mm] (common practice, no source)."""


def fly_pieces(
    request: DraftRequest,
    halves: Mapping[tuple[str, str], TrouserHalf],
    options: WovenOptions,
    verdict: Verdict,
    cloth: str,
) -> list[Piece]:
    """The facing of the left front's opening and the shield under the zip, on the right front's."""
    notes = {
        "left": (
            "Sew the facing to the opening of the left front, right sides together; finish its inner edge.",
            "Stitch it down along its inner edge from outside: that is the line of the fly.",
        ),
        "right": (
            "Join the two shields along the curved edge and turn them: the shield is double.",
            "Sew the zip between it and the opening of the right front; it keeps the zip off the skin.",
        ),
    }
    found = []
    sides: tuple[Side, Side] = ("left", "right")
    for side, name, count in zip(sides, ("facing", "shield"), (1, 2), strict=True):
        half = halves["front", side]
        fly, _ = fly_and_crotch(half)
        run = half.waist[-1]
        assert not isinstance(run, Dart)
        top = cut_curve(run[::-1], [min(FLY_WIDTH, 0.8 * length(run))])[0]
        down = fly[min(5, len(fly) - 1)] - fly[0]
        inner = curve_between(fly[-1], np.array([1.0, 0.5]), top[-1], -down, 0.3, 0.6)
        seam = fly_seam(request.statement.slug, side)
        notch = Notch(name=f"{seam} middle", distance=0.5 * length(fly))
        edges = [
            PieceEdge(
                slug="fly",
                curve=fly,
                role="seam",
                allowance=options.seam_allowance,
                seam=seam,
                notches=(notch,),
            ),
            PieceEdge(slug="inner", curve=inner, role="opening", allowance=INNER_ALLOWANCE),
            PieceEdge(slug="waist", curve=top[::-1], role="seam", allowance=options.seam_allowance),
        ]
        found.append(
            _piece(
                request, edges, f"fly_{name}", "front", side, verdict, cloth, count=count, note=notes[side]
            )
        )
    return found


def waist_facings(
    request: DraftRequest,
    halves: Mapping[tuple[str, str], TrouserHalf],
    options: WovenOptions,
    verdict: Verdict,
    cloth: str,
) -> list[Piece]:
    """A facing of every half's waist edge, its darts folded out, for trousers without a waistband."""
    slug, found = request.statement.slug, []
    for part, side in HALVES:
        runs = _folded(halves[part, side])
        edge = one_line(runs)
        inner = parallel(edge, options.facing_width, options.facing_width)
        centre = f"{slug}_waist_facing_back" if part == "back" else None
        edges = [
            PieceEdge(
                slug=f"waist_{number}",
                curve=run,
                role="seam",
                allowance=options.seam_allowance,
                seam=waist_seam(slug, part, side, number),
            )
            for number, run in enumerate(runs, start=1)
        ]
        edges += [
            PieceEdge(
                slug="centre",
                curve=np.array([edge[-1], inner[-1]]),
                role="seam" if centre else "closure",
                allowance=options.seam_allowance,
                seam=centre,
            ),
            PieceEdge(slug="inner", curve=inner[::-1], role="opening", allowance=INNER_ALLOWANCE),
            PieceEdge(
                slug="side",
                curve=np.array([inner[0], edge[0]]),
                role="seam",
                allowance=options.seam_allowance,
                seam=f"{slug}_waist_facing_side_{side}",
            ),
        ]
        note = (
            "Join the facings at sides and centre back; finish their inner edge.",
            "Sew right sides together along the waist edge, its darts folded, trim, turn and press.",
        )
        found.append(
            _piece(request, edges, f"{part}_waist_facing_{side}", part, side, verdict, cloth, note=note)
        )
    return found


def _folded(half: TrouserHalf) -> list[Points]:
    """Runs of the waist edge from the side to the centre, as they meet with the darts between them folded."""
    darts = [of_dart(run) for run in half.waist if isinstance(run, Dart)]
    return joined([run for run in half.waist if not isinstance(run, Dart)], darts)


def _piece(
    request: DraftRequest,
    edges: Sequence[PieceEdge],
    name: str,
    part: str,
    side: Side,
    verdict: Verdict,
    cloth: str,
    *,
    count: int = 1,
    note: Sequence[str],
) -> Piece:
    statement = request.statement
    # Sewn right sides together and turned: cut as the mirror image of the panel.
    edges = mirrored_edges(edges) if is_right_way(part, side) else list(edges)
    outline = np.vstack([edge.curve for edge in edges])
    low, high = outline.min(axis=0), outline.max(axis=0)
    x, tall = float(0.5 * (low[0] + high[0])), float(high[1] - low[1])
    label = statement.label or statement.slug.replace("_", " ")
    return Piece(
        slug=f"{statement.slug}_{name}",
        label=f"{label}, {name.replace('_', ' ')}",
        kind=statement.kind,
        cloth=cloth,
        edges=tuple(edges),
        grainline=Grainline(
            start=(x, float(low[1]) + 0.35 * tall), end=(x, float(low[1]) + 0.75 * tall), kind="grain"
        ),
        totals=(
            Total(
                what="sewn edge",
                length=sum(edge.length for edge in edges if edge.slug.startswith(("fly", "waist_"))),
            ),
            Total(what="inner edge", length=next(edge.length for edge in edges if edge.slug == "inner")),
            Total(what="whole height", length=tall),
        ),
        verdict=verdict,
        side=side,
        count=count,
        note=tuple(note),
        layer=statement.layer,
        edition=request.edition,
    )
