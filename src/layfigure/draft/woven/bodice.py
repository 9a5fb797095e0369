"""Bodice panels as pieces: fronts, back, their facings and linings."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.registry import DraftRequest
from layfigure.draft.woven.bodice_edges import (
    HalfPlace,
    dart_lines,
    half_edges,
    mirrored_edges,
    mirrored_lines,
)
from layfigure.draft.woven.bodice_flat import HalfFlat
from layfigure.draft.woven.bodice_lines import level_lines, side_lines
from layfigure.draft.woven.finishing import button_lines, buttonhole_lines, evenly
from layfigure.draft.woven.options import WovenOptions
from layfigure.piece.piece import Grainline, InnerLine, Piece, PieceEdge, Total, Verdict

Points = NDArray[np.float64]
Side = Literal["left", "right"]
SIDES: tuple[Side, Side] = ("left", "right")
Halves = Mapping[tuple[str, str], HalfFlat]
BUTTON_IN = 15.0
"""First and last button this far from the ends of the front edge [mm] (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BodicePlan:
    """What the panels of one bodice share.

    closure : as in the options. prefix : of its seams' names. breaks : panel to distances along its waist
    edge from
    the centre at which its mate is divided [mm]. waist_seam : from a panel and a stretch counted from its
    centre to
    the seam there; None where the waist edge is a hem.
    """

    request: DraftRequest
    options: WovenOptions
    closure: str
    prefix: str
    verdict: Verdict
    cloth: str
    suffix: str = ""
    breaks: Mapping[str, Sequence[float]]
    waist_seam: Callable[[str, int], str] | None


def is_right_way(part: str, side: str) -> bool:
    """Whether a half, seen from outside, has its centre at the left as it was laid flat."""
    return (part == "front") == (side == "left")


def bodice_pieces(halves: Halves, plan: BodicePlan, note: Sequence[str]) -> list[Piece]:
    """Front and back panels; the part that does not open is one piece, but a back has a seam at its
    centre.
    """
    pieces: list[Piece] = []
    for part in ("front", "back"):
        if part == "front" and plan.closure == "back_zip":
            pieces += _whole(halves, plan, note)
        else:
            for side in SIDES:
                pieces += _half(halves, part, side, plan, note)
    return pieces


def _place(halves: Halves, part: str, side: str, plan: BodicePlan) -> HalfPlace:
    opens_front = plan.closure != "back_zip"
    centre = "faced" if opens_front and not plan.suffix else "open"
    if part == "back":
        centre = "seam" if opens_front else "zip"
    elif not opens_front:
        centre = "joined"
    other = halves["back" if part == "front" else "front", side]
    breaks: dict[str, Sequence[float]] = {
        stem: np.cumsum(other.run_lengths(stem))[:-1].tolist() for stem in ("side", "shoulder")
    }
    breaks["waist"] = plan.breaks.get(f"{part}_{side}", ())
    seam = plan.waist_seam
    lapped = part == "front" and plan.closure == "front_buttons" and not plan.suffix
    return HalfPlace(
        part=part,
        side=side,
        prefix=plan.prefix + plan.suffix,
        extension=plan.options.overlap if lapped else 0.0,
        centre=centre,
        neck_faced=not plan.suffix,
        breaks=breaks,
        waist_seam=None if seam is None or plan.suffix else lambda k: seam(f"{part}_{side}", k),
    )


def _half(halves: Halves, part: str, side: Side, plan: BodicePlan, note: Sequence[str]) -> list[Piece]:
    half = halves[part, side]
    place = _place(halves, part, side, plan)
    centre, *at_side = half_edges(half, place, plan.options)
    lines = _lines(half, part, place, plan)
    pieces = []
    for name, edges, own in (
        (f"{part}_{side}", centre, lines),
        *((f"{part}_side_{side}", edges, side_lines(half, part)) for edges in at_side),
    ):
        if not is_right_way(part, side):
            edges, own = _turned(edges), mirrored_lines(own)
        pieces.append(_piece(plan, name, edges, own, side, note))
    return pieces


def _whole(halves: Halves, plan: BodicePlan, note: Sequence[str]) -> list[Piece]:
    """Both halves of the front in one: the right one joined to the left one along the straight centre."""
    (left, *left_side), (right, *right_side) = (
        half_edges(halves["front", side], _place(halves, "front", side, plan), plan.options) for side in SIDES
    )
    edges = [
        *(replace(edge, slug=f"{edge.slug}_left") for edge in left),
        *(replace(edge, slug=f"{edge.slug}_right") for edge in _turned(right)),
    ]
    lines = _lines(halves["front", "left"], "front", _place(halves, "front", "left", plan), plan)
    right_half = halves["front", "right"]
    lines += mirrored_lines([*dart_lines(right_half), *level_lines(right_half, "front")])
    tall = float(halves["front", "left"].named("centre")[0][0, 1])
    lines.append(InnerLine(kind="centre", curve=np.array([[0.0, 0.0], [0.0, tall]]), label="centre front"))
    pieces = [_piece(plan, "front", edges, lines, "middle", note)]
    for edges in left_side:
        own = side_lines(halves["front", "left"], "front")
        pieces.append(_piece(plan, "front_side_left", edges, own, "left", note))
    for edges in right_side:
        own = mirrored_lines(side_lines(halves["front", "right"], "front"))
        pieces.append(_piece(plan, "front_side_right", _turned(edges), own, "right", note))
    return pieces


def _turned(edges: Sequence[PieceEdge]) -> list[PieceEdge]:
    """The other side's edges. Waist seams run round the body, from right to left on every panel seen from
    outside.
    """
    return [
        replace(edge, against=False) if edge.slug.startswith("waist") else edge
        for edge in mirrored_edges(edges)
    ]


def _lines(half: HalfFlat, part: str, place: HalfPlace, plan: BodicePlan) -> list[InnerLine]:
    lines = [*dart_lines(half), *level_lines(half, part)]
    if not place.extension:
        return lines
    top = float(half.named("centre")[0][0, 1])
    lines.append(InnerLine(kind="centre", curve=np.array([[0.0, 0.0], [0.0, top]]), label="centre front"))
    heights = evenly(top - BUTTON_IN, BUTTON_IN, plan.options.button_spacing)
    places = np.stack([np.zeros(len(heights)), heights], axis=1)
    # Drawn with the wearer's right over left; which side laps over is the maker's.
    lines += buttonhole_lines(places, outward=-1.0) if place.side == "right" else button_lines(places)
    return lines


def _piece(
    plan: BodicePlan,
    name: str,
    edges: Sequence[PieceEdge],
    lines: Sequence[InnerLine],
    side: Literal["left", "right", "middle"],
    note: Sequence[str],
) -> Piece:
    statement = plan.request.statement
    low, high = (
        np.vstack([edge.curve for edge in edges]).min(axis=0),
        np.vstack([edge.curve for edge in edges]).max(axis=0),
    )
    x, tall = float(0.6 * low[0] + 0.4 * high[0]), float(high[1] - low[1])
    lapped = plan.options.overlap if any(line.label.startswith("button") for line in lines) else 0.0
    label = statement.label or statement.slug.replace("_", " ")
    lining = ", lining" if plan.suffix else ""
    return Piece(
        slug=f"{statement.slug}_{name}{plan.suffix}",
        label=f"{label}, {name.replace('_', ' ')}{lining}",
        kind=statement.kind,
        cloth=plan.cloth,
        edges=tuple(edges),
        grainline=Grainline(start=(x, low[1] + 0.15 * tall), end=(x, low[1] + 0.6 * tall), kind="grain"),
        totals=(
            Total(what="waist edge to the centre, darts folded", length=_sum(edges, "waist") - lapped),
            Total(what="shoulder, darts folded", length=_sum(edges, "shoulder")),
            Total(what="side seam, dart folded", length=_sum(edges, "side"))
            if any(edge.slug.startswith("side") for edge in edges)
            else Total(what="centre line", length=_sum(edges, "centre")),
        ),
        verdict=plan.verdict,
        side=side,
        lines=tuple(lines),
        note=tuple(note),
        layer=statement.layer,
        edition=plan.request.edition,
    )


def _sum(edges: Sequence[PieceEdge], stem: str) -> float:
    """Length of all runs of an edge [mm]."""
    return sum(edge.length for edge in edges if edge.slug.startswith(stem))
