"""The pieces of one glove: palm and back, the strips between the fingers, the thumb.

Every piece is drawn for the left hand with its outside up, and mirrored for the right.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.glove.ends import GloveEnds
from layfigure.draft.glove.flat_digit import FlatDigit
from layfigure.draft.glove.layout import FlatHand, strip_share
from layfigure.draft.glove.lines import PlacedLine
from layfigure.draft.glove.mirrored import mirrored_edges, mirrored_line
from layfigure.draft.glove.outline import HalfEdge, covered_length
from layfigure.draft.glove.sewing import GloveSewing
from layfigure.draft.glove.thumb import SetInThumb
from layfigure.draft.wrap.outline import straight
from layfigure.geometry.polyline import arc_lengths, length
from layfigure.piece.piece import EdgeRole, InnerLine, Piece, Total

Points = NDArray[np.float64]

GRAIN = 40.0
STEEPEST = 0.7
"""A strip's edge leaves its middle line no steeper than this, as the sine of the angle: it can be sewn."""


def glove_pieces(
    flat: FlatHand,
    ends: GloveEnds,
    halves: dict[str, list[HalfEdge]],
    thumb: SetInThumb | None,
    lines: list[PlacedLine],
    sewing: GloveSewing,
) -> list[Piece]:
    """All of one glove, palm and back first. halves, thumb : as ``halves_and_thumb`` gives them."""
    pieces = [
        half_piece("palm", flat, halves["palm"], lines, sewing),
        half_piece("back", flat, halves["back"], lines, sewing),
    ]
    if thumb is not None:
        slots = {edge.slug: edge.curve for edge in halves["palm"]}
        pieces.append(thumb_piece(thumb, sewing))
        pieces += [strip_piece(k, flat, slots[f"slot_{k}"], ends.fingers, sewing) for k in (1, 2, 3)]
    return pieces


def half_piece(
    half: Literal["palm", "back"],
    flat: FlatHand,
    edges: Sequence[HalfEdge],
    lines: Sequence[PlacedLine],
    sewing: GloveSewing,
) -> Piece:
    """Palm or back. With the palm up the thumb of a left hand lies left; the back is its mirror image."""
    uses = []
    for edge in edges:
        shared = (edge.slug.startswith("slot") and flat.fit.strips) or edge.slug == "thumb_hole"
        role: EdgeRole = "seam" if edge.sewn else "closure" if edge.slug == "slit" else "hem"
        seam = (f"{edge.slug}_{half}" if shared else edge.slug) if edge.sewn else ""
        web = _web(edge.curve) if edge.slug.startswith("slot") else None
        uses.append(sewing.edge(edge.slug, edge.curve, role, seam=seam, web=web))
    share = np.linspace(0.0, 1.0, 61)
    low = float(edges[0].curve[:, 1].max())
    drawn = [
        InnerLine(kind="placement", curve=flat.place(share, heights), label=line.label)
        for line in lines
        if float((heights := (line.palm if half == "palm" else line.back)(share)).min()) > low + 1.0
    ]
    top = float(flat.slots[-2, 1])
    cuff = edges[0].curve
    middle = np.stack([0.5 * (cuff[0] + cuff[-1]), flat.fingers[1].at + np.array([0.0, 12.0])])
    middle[0] += (low - middle[0, 1] + 8.0) / (middle[1, 1] - middle[0, 1]) * (middle[1] - middle[0])
    drawn.append(
        InnerLine(
            kind="balance",
            curve=middle,
            label="to the middle finger",
        )
    )
    if sewing.grain == "stretch":
        grain = flat.place([0.3, 0.3 + GRAIN / float(flat.half(0.5 * top))], 0.5 * top)
    else:
        grain = middle.mean(axis=0) + np.array([[14.0, -0.5 * GRAIN], [14.0, 0.5 * GRAIN]])
    slot = next(edge for edge in edges if edge.slug == "slot_2")
    side = next(edge for edge in edges if edge.slug == "little_side")
    return sewing.piece(
        half,
        half,
        uses if half == "palm" else mirrored_edges(uses),
        grain=grain if half == "palm" else grain * (-1.0, 1.0),
        totals=(
            Total(what="cuff, from side to side", length=length(edges[0].curve)),
            Total(what="seam on the little finger's side", length=length(side.curve)),
            Total(what="down and up the slot between middle and ring finger", length=length(slot.curve)),
        ),
        lines=tuple(drawn if half == "palm" else [mirrored_line(line) for line in drawn]),
    )


def strip_piece(number: int, flat: FlatHand, slot: Points, covered: float, sewing: GloveSewing) -> Piece:
    """The strip between two fingers, its outside up, the palm's edge below, the thumb's side to the left.

    number : of the slot, 1 beside the index finger. slot : the edge of the palm that it is sewn to.
    """
    left, right = flat.fingers[number - 1], flat.fingers[number]
    half = 0.5 * flat.strip * _strip_shares(left, right, slot, covered)
    along = arc_lengths(slot[::-1])
    if covered >= 1.0:
        half = np.minimum(half, STEEPEST * np.minimum(along, along[-1] - along))
    # Both edges are as long as the slot point by point, whatever their bend.
    steps = np.sqrt(np.diff(along) ** 2 - np.diff(half) ** 2)
    x = np.concatenate([[0.0], np.cumsum(steps)])
    lower, upper = np.column_stack([x, -half]), np.column_stack([x, half])[::-1]
    names = (left.digit.name, right.digit.name)
    down = _web(slot)
    up = float(along[-1]) - down
    edges = [sewing.edge("palm_edge", lower, "seam", seam=f"slot_{number}_palm", against=True, web=up)]
    if covered < 1.0:
        edges.append(sewing.edge(f"end_{names[1]}", straight(lower[-1], upper[0]), "hem"))
    edges.append(sewing.edge("back_edge", upper, "seam", seam=f"slot_{number}_back", web=down))
    if covered < 1.0:
        edges.append(sewing.edge(f"end_{names[0]}", straight(upper[-1], lower[0]), "hem"))
    web = float(x[int(np.argmin(slot[::-1][:, 1]))])
    widest = float(flat.strip)
    middle = np.array([[0.15 * x[-1], 0.0], [0.85 * x[-1], 0.0]])
    return sewing.piece(
        f"strip_{number}",
        f"strip between {names[0]} and {names[1]} finger",
        edges,
        grain=np.array([[0.5 * x[-1] - 0.5 * GRAIN, 0.0], [0.5 * x[-1] + 0.5 * GRAIN, 0.0]]),
        totals=(
            Total(what="straight from end to end", length=float(x[-1])),
            Total(what="across, at the fold over the web", length=widest),
            Total(what="either long edge", length=length(lower)),
        ),
        lines=(
            InnerLine(kind="fold", curve=np.array([[web, -0.5 * widest], [web, 0.5 * widest]]), label="web"),
            InnerLine(kind="balance", curve=middle, label=""),
        ),
    )


def thumb_piece(thumb: SetInThumb, sewing: GloveSewing) -> Piece:
    """The set-in thumb, its outside up, tip up, the palm's side right."""
    closed = bool(abs(thumb.right[-1, 0]) < 1e-6)
    edges = [
        sewing.edge("palm_edge", thumb.lower_palm[::-1], "seam", seam="thumb_hole_palm", against=True),
        sewing.edge("right", thumb.right, "seam", seam="thumb_side"),
    ]
    if not closed:
        edges.append(sewing.edge("end_thumb", straight(thumb.right[-1], thumb.left[-1]), "hem"))
    edges += [
        sewing.edge("left", thumb.left[::-1], "seam", seam="thumb_side", against=True),
        sewing.edge("back_edge", thumb.lower_back, "seam", seam="thumb_hole_back"),
    ]
    at = float(min(0.45 * thumb.right[-1, 1], 30.0))
    grain = np.array([[8.0, at - 0.5 * GRAIN], [8.0, at + 0.5 * GRAIN]])
    if sewing.grain == "stretch":
        grain = np.array([[-0.5 * GRAIN, at], [0.5 * GRAIN, at]]) * 0.8
    return sewing.piece(
        "thumb",
        "thumb",
        edges,
        grain=grain,
        totals=(
            Total(what="fold, from tongue to end", length=length(thumb.fold)),
            Total(what="straight across from corner to corner", length=2.0 * float(thumb.right[0, 0])),
            Total(what="either side seam", length=length(thumb.right)),
        ),
        lines=(InnerLine(kind="fold", curve=thumb.fold, label="outer side of the thumb"),),
    )


def _strip_shares(left: FlatDigit, right: FlatDigit, slot: Points, covered: float) -> Points:
    """Width of a strip over its width at the web, along a slot from the left finger's end to the right's."""
    along = arc_lengths(slot[::-1])
    sides = [
        length(digit.side(sign, covered_length(digit, covered)))
        for digit, sign in ((left, 1.0), (right, -1.0))
    ]
    whole = [length(digit.side(sign, digit.cap)) for digit, sign in ((left, 1.0), (right, -1.0))]
    up = np.clip((sides[0] - along) / whole[0], 0.0, 1.0)
    down = np.clip((along - (along[-1] - sides[1])) / whole[1], 0.0, 1.0)
    shares: Points = strip_share(np.maximum(up, down))
    if covered >= 1.0:
        shares[[0, -1]] = 0.0
    return shares


def _web(slot: Points) -> float:
    """How far along a slot's edge its lowest point is [mm]."""
    return float(arc_lengths(slot)[int(np.argmin(slot[:, 1]))])
