"""Outlines of a pouch: front, back with flap, the strip round a box, and a roll with its pockets."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import Literal

from layfigure.draft.flat_edges import Place, grain, inner, straight_edge
from layfigure.draft.sewn_practice import SewnPractice
from layfigure.piece.piece import EdgeRole, Grainline, InnerLine, Notch, PieceEdge, Total

MARGIN = 15.0
"""Beside the outermost pockets of a roll [mm] (common practice, no source)."""
FLAP_OF_ROLL = 0.35
"""Flap of a roll, share of the longest thing: it must cover what stands out and turn down."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PouchPart:
    """One part: its outline and what is said of it. name : added to the slug. count : how many."""

    name: str
    label: str
    edges: tuple[PieceEdge, ...]
    grainline: Grainline
    totals: tuple[Total, ...]
    note: tuple[str, ...]
    lines: tuple[InnerLine, ...] = ()
    count: int = 1


def _seam(
    name: str,
    a: Place,
    b: Place,
    allowance: float,
    seam: str | None,
    *,
    against: bool = False,
    role: EdgeRole = "seam",
) -> PieceEdge:
    """A sewn edge with a notch in its middle."""
    long = ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5
    notches = (Notch(name=f"{seam}_middle", distance=0.5 * long),) if seam else ()
    return straight_edge(name, a, b, role, allowance, seam=seam, against=against, notches=notches)


def _size(width: float, height: float, last: Total) -> tuple[Total, ...]:
    return (Total(what="width", length=width), Total(what="height", length=height), last)


def front(
    width: float, height: float, practice: SewnPractice, seam: str, mate: Literal["strip", "back"]
) -> PouchPart:
    """The front, open at the top. Sizes lie in the middle of the sheet [mm]."""
    s = practice.seam
    corners: tuple[Place, ...] = ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))
    edges = (
        _seam("bottom", corners[0], corners[1], s, f"{seam}_{mate}_front_bottom"),
        _seam("right", corners[1], corners[2], s, f"{seam}_{mate}_front_right"),
        straight_edge("top", corners[2], corners[3], "opening", practice.edge),
        _seam("left", corners[3], corners[0], s, f"{seam}_{mate}_front_left"),
    )
    return PouchPart(
        name="front",
        label="front",
        edges=edges,
        grainline=grain((0.2 * width, 0.2 * height), (0.2 * width, 0.8 * height)),
        totals=_size(
            width, height, Total(what="right round the seam, top to top", length=width + 2.0 * height)
        ),
        note=("Finish the top edge before it is joined.",),
        lines=(inner("centre", (0.5 * width, 0.0), (0.5 * width, height), "middle"),),
    )


def back(
    width: float,
    height: float,
    depth: float,
    flap: float,
    practice: SewnPractice,
    seam: str,
    mate: Literal["strip", "front"],
    loops: tuple[InnerLine, ...],
) -> PouchPart:
    """The back, with the flap going over the top and down the front where there is one. Lengths in mm."""
    s, e = practice.seam, practice.edge
    # Seen from behind, the left of the back meets the right of the front.
    names = (
        {side: f"{seam}_strip_back_{side}" for side in ("bottom", "left", "right")}
        if mate == "strip"
        else {
            "bottom": f"{seam}_back_front_bottom",
            "left": f"{seam}_back_front_right",
            "right": f"{seam}_back_front_left",
        }
    )
    against = mate == "front"
    whole = height + (depth + flap if flap > 0.0 else 0.0)
    edges = [
        _seam("bottom", (0.0, 0.0), (width, 0.0), s, names["bottom"], against=against),
        _seam("right", (width, 0.0), (width, height), s, names["right"], against=against),
    ]
    lines = [inner("centre", (0.5 * width, 0.0), (0.5 * width, whole), "middle"), *loops]
    if flap > 0.0:
        edges += [
            straight_edge("flap_right", (width, height), (width, whole), "opening", e),
            straight_edge("flap_end", (width, whole), (0.0, whole), "opening", e),
            straight_edge("flap_left", (0.0, whole), (0.0, height), "opening", e),
        ]
        lines.append(inner("fold", (0.0, height), (width, height), "top of the back"))
        if depth > 2.0:
            lines.append(inner("fold", (0.0, height + depth), (width, height + depth), "top of the front"))
    else:
        edges.append(straight_edge("top", (width, height), (0.0, height), "opening", e))
    edges.append(_seam("left", (0.0, height), (0.0, 0.0), s, names["left"], against=against))
    return PouchPart(
        name="back",
        label="back and flap" if flap > 0.0 else "back",
        edges=tuple(edges),
        grainline=grain((0.2 * width, 0.15 * height), (0.2 * width, 0.8 * height)),
        totals=_size(width, whole, Total(what="bottom to the top of the back", length=height)),
        note=(
            "Sew the belt loops to the back first.",
            *(
                ("Round the corners of the flap inside the drawn line, and finish its edges.",)
                if flap > 0.0
                else ()
            ),
        ),
        lines=tuple(lines),
    )


def strip(width: float, height: float, depth: float, practice: SewnPractice, seam: str) -> PouchPart:
    """The strip round the sides and the bottom of a box: its upper edge meets the front. Lengths in mm."""
    s = practice.seam
    cuts = (0.0, height, height + width, 2.0 * height + width)
    runs = list(itertools.pairwise(cuts))
    # Its lower edge meets the back, seen from behind: right, bottom, left.
    lower = [
        _seam(f"back_{side}", (a, 0.0), (b, 0.0), s, f"{seam}_strip_back_{side}", against=True)
        for side, (a, b) in zip(("right", "bottom", "left"), runs, strict=True)
    ]
    upper = [
        _seam(f"front_{side}", (b, depth), (a, depth), s, f"{seam}_strip_front_{side}", against=True)
        for side, (a, b) in zip(("right", "bottom", "left"), reversed(runs), strict=True)
    ]
    long = cuts[-1]
    edges = (
        *lower,
        straight_edge("right_end", (long, 0.0), (long, depth), "opening", practice.edge),
        *upper,
        straight_edge("left_end", (0.0, depth), (0.0, 0.0), "opening", practice.edge),
    )
    return PouchPart(
        name="strip",
        label="strip round the sides",
        edges=edges,
        grainline=grain((0.3 * long, 0.3 * depth), (0.7 * long, 0.3 * depth)),
        totals=(
            Total(what="whole length", length=long),
            Total(what="width", length=depth),
            Total(what="bottom, corner to corner", length=width),
        ),
        note=(
            "Finish both ends. Sew its upper edge to the front, notch to notch, then the lower to the back.",
            "Clip the strip's allowance at the corners, up to the stitch line and not through it.",
        ),
        lines=tuple(inner("balance", (x, 0.0), (x, depth), "corner") for x in cuts[1:3]),
    )


def roll_base(
    width: float, height: float, pocket: float, flap: float, practice: SewnPractice, seam: str
) -> PouchPart:
    """The outside of a roll, flap at the top. Lengths in mm."""
    s, e = practice.seam, practice.edge
    whole = height + flap
    edges = (
        _seam("bottom", (0.0, 0.0), (width, 0.0), s, f"{seam}_pocket_bottom"),
        _seam("right", (width, 0.0), (width, pocket), s, f"{seam}_pocket_right"),
        straight_edge("right_free", (width, pocket), (width, whole), "opening", e),
        straight_edge("top", (width, whole), (0.0, whole), "opening", e),
        straight_edge("left_free", (0.0, whole), (0.0, pocket), "opening", e),
        _seam("left", (0.0, pocket), (0.0, 0.0), s, f"{seam}_pocket_left"),
    )
    return PouchPart(
        name="outside",
        label="outside and flap",
        edges=edges,
        grainline=grain((0.12 * width, 0.25 * whole), (0.12 * width, 0.7 * whole)),
        totals=_size(width, whole, Total(what="bottom to the fold of the flap", length=height)),
        note=("The flap folds down over the tops before it is rolled.",),
        lines=(inner("fold", (0.0, height), (width, height), "flap folds here"),),
    )


def roll_pockets(
    widths: tuple[float, ...], names: tuple[str, ...], pocket: float, practice: SewnPractice, seam: str
) -> PouchPart:
    """The pocket panel, its outside facing into the roll: the mirror image of what lies behind it."""
    s = practice.seam
    width = sum(widths) + 2.0 * MARGIN
    edges = (
        _seam("bottom", (0.0, 0.0), (width, 0.0), s, f"{seam}_pocket_bottom", against=True),
        _seam("right", (width, 0.0), (width, pocket), s, f"{seam}_pocket_left", against=True),
        straight_edge("top", (width, pocket), (0.0, pocket), "hem", practice.edge),
        _seam("left", (0.0, pocket), (0.0, 0.0), s, f"{seam}_pocket_right", against=True),
    )
    places = list(itertools.accumulate((MARGIN, *widths)))
    lines = [
        inner("stitch", (x, 0.0), (x, pocket), "stitch through" if k == 0 else "")
        for k, x in enumerate(places)
    ]
    for (a, b), name in zip(itertools.pairwise(places), names, strict=True):
        x = 0.5 * (a + b)
        lines.append(inner("placement", (x, 0.15 * pocket), (x, 0.55 * pocket), name))
    return PouchPart(
        name="pockets",
        label="pocket panel",
        edges=edges,
        grainline=grain((0.35 * width, 0.75 * pocket), (0.65 * width, 0.75 * pocket)),
        totals=_size(width, pocket, Total(what="first stitch line to last", length=sum(widths))),
        note=(
            "Hem the top edge. Lay it on the inside, bottom edges together, and baste sides and bottom.",
            "Sew down every stitch line, back and forth at its top.",
        ),
        lines=tuple(lines),
    )
