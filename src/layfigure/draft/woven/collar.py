"""A collar drafted to the neckline it is sewn to: a stand that leans in to the neck, and a fall over it.

Both are parts of a ring, so that their sewn edges are as long as what they meet. The stand's upper edge is as
long as the neck there and a finger's room (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.woven.bodice import BodicePlan, Halves
from layfigure.piece.piece import Grainline, InnerLine, Piece, PieceEdge, Total

Points = NDArray[np.float64]

FINGER_ROOM = 25.0
"""Of a stand's upper edge over the neck [mm] (common practice, no source)."""
LEAST_LEAN, MOST_LEAN = 0.0, 0.14
"""How much shorter the upper edge may be, as shares of the lower: more would not stand (common practice, no
source)."""
FALL_DEEPER = 15.0
"""A fall is this much deeper than its stand, to hide the seam [mm] (common practice, no source)."""
FALL_SPREAD = 12.0
"""The fall's outer edge is this much longer than the neckline, to lie over it [mm] (common practice, no
source)."""
STEP = 2.0

TURNED = "Cut twice: outside and inside. Sew them together at ends and top, turn and press."
FALL_BETWEEN = (
    "Cut twice: outside and inside. Sew them together at ends and top, the fall between, turn and press."
)
TO_NECKLINE = (
    "Sew the stand to the neckline before the facing goes on; its corners are the shoulder seams and centres."
)
UNDER_COLLAR = (
    "Cut twice, the under collar a little smaller so that the seam rolls under. Sew them at ends and "
    "outer edge, turn, and catch the inner edge in the top of the stand."
)

FROM_FRONT = (("front", "left"), ("back", "left"), ("back", "right"), ("front", "right"))
FROM_BACK = (("back", "right"), ("front", "right"), ("front", "left"), ("back", "left"))
"""Order of the halves round the neck, seen from outside, from the opening on."""

Stretch = tuple[str, float, str, bool]
"""Name, length [mm], seam, and whether it runs against the seam."""


def collar_pieces(form: Form, halves: Halves, plan: BodicePlan) -> list[Piece]:
    """The stand, and its fall where one is wanted; nothing for a bodice without a collar."""
    options = plan.options
    if options.collar == "none":
        return []
    stretches, height = _neckline(halves, plan), options.collar_height
    whole = sum(size for _, size, _, _ in stretches)
    overlap = 2.0 * _overlap(plan)
    top = whole * (1.0 - stand_lean(form, halves, plan))
    fall = options.collar == "stand_and_fall"
    seam = f"{plan.prefix}_collar_fall"
    # A fall meets between the centre lines, not past them.
    ends = 0.5 * overlap
    upper: list[Stretch] = [("top", top, seam, False)]
    if fall and ends:
        upper = [
            ("top_lap", ends, "", False),
            ("top", top - overlap, seam, False),
            ("top_end", ends, "", False),
        ]
    stand = _ring_piece(
        plan,
        "collar_stand",
        stretches,
        upper if fall else [("top", top, "", False)],
        height,
        note=(FALL_BETWEEN if fall else TURNED, TO_NECKLINE),
    )
    if not fall:
        return [stand]
    inner = top - overlap
    outer = max(whole - overlap + FALL_SPREAD, inner)
    return [
        stand,
        _ring_piece(
            plan,
            "collar_fall",
            [("outer", outer, "", False)],
            [("top", inner, seam, True)],
            height + FALL_DEEPER,
            note=(UNDER_COLLAR,),
        ),
    ]


def stand_lean(form: Form, halves: Halves, plan: BodicePlan) -> float:
    """How much shorter the stand's upper edge is than its lower one, as a share."""
    whole = sum(size for _, size, _, _ in _neckline(halves, plan))
    neck = float(form.charts["neck"].girths.min()) + 2.0 * np.pi * plan.request.stack + FINGER_ROOM
    return float(np.clip(1.0 - (neck + 2.0 * _overlap(plan)) / whole, LEAST_LEAN, MOST_LEAN))


def _neckline(halves: Halves, plan: BodicePlan) -> list[Stretch]:
    """Stretches of the neckline as the panels are cut, in order."""
    found: list[Stretch] = []
    for number, (part, side) in enumerate(FROM_BACK if plan.closure == "back_zip" else FROM_FRONT):
        size = halves[part, side].edge_length("neck") + (_overlap(plan) if part == "front" else 0.0)
        # Seams of the neck run from the shoulder to the centre.
        against = number % 2 == 0
        found.append((f"neck_{part}_{side}", size, f"{plan.prefix}_neck_{part}_{side}", against))
    return found


def _overlap(plan: BodicePlan) -> float:
    return plan.options.overlap if plan.closure == "front_buttons" else 0.0


def _ring_piece(
    plan: BodicePlan,
    name: str,
    lower: Sequence[Stretch],
    upper: Sequence[Stretch],
    height: float,
    *,
    note: Sequence[str],
) -> Piece:
    """A part of a ring, ``height`` wide, its lower edge from left to right and its upper edge back."""
    long, short = (sum(size for _, size, _, _ in stretches) for stretches in (lower, upper))
    edges, at = [], -0.5 * long
    allowance = min(plan.options.seam_allowance, 10.0)

    def edge(stretch: Stretch, curve: Points) -> PieceEdge:
        slug, _, seam, against = stretch
        return PieceEdge(
            slug=slug, curve=curve, role="seam", allowance=allowance, seam=seam or None, against=against
        )

    for stretch in lower:
        edges.append(edge(stretch, _arc(at, at + stretch[1], 0.0, long, short, height)))
        at += stretch[1]
    right = _arc(0.5 * long, 0.5 * long, 0.0, long, short, height)[:1]
    left = _arc(-0.5 * long, -0.5 * long, 0.0, long, short, height)[:1]
    back, at = [], 0.5 * short
    for stretch in upper:
        # Stretches above are named from the left; they alone or mirror images, so either way round is one.
        back.append(edge(stretch, _arc(at, at - stretch[1], height, long, short, height)))
        at -= stretch[1]
    sides = [
        PieceEdge(slug="end", curve=np.vstack([right, back[0].curve[:1]]), role="seam", allowance=allowance),
        PieceEdge(
            slug="other_end", curve=np.vstack([back[-1].curve[-1:], left]), role="seam", allowance=allowance
        ),
    ]
    middle = np.array([[0.0, 0.15 * height], [0.0, 0.85 * height]])
    opens_behind = plan.closure == "back_zip"
    statement = plan.request.statement
    label = statement.label or statement.slug.replace("_", " ")
    return Piece(
        slug=f"{statement.slug}_{name}",
        label=f"{label}, {name.replace('_', ' ')}",
        kind=statement.kind,
        cloth=plan.cloth,
        edges=(*edges, sides[0], *back, sides[1]),
        grainline=Grainline(
            start=(-0.15 * long, 0.5 * height), end=(0.15 * long, 0.5 * height), kind="grain"
        ),
        totals=(
            Total(what="lower edge", length=long),
            Total(what="upper edge", length=short),
            Total(what="height", length=height),
        ),
        verdict=plan.verdict,
        side="middle",
        count=2,
        lines=(
            InnerLine(kind="centre", curve=middle, label="centre front" if opens_behind else "centre back"),
        ),
        note=tuple(note),
        layer=statement.layer,
        edition=plan.request.edition,
    )


def _arc(first: float, last: float, up: float, long: float, short: float, height: float) -> Points:
    """Part of the ring at a height above its lower edge, from one place to another counted from the middle
    along the edge there, (n, 2) [mm]. long, short : of lower and upper edge.
    """
    count = max(2, int(np.ceil(abs(last - first) / STEP)) + 1)
    along = np.linspace(first, last, count)
    turn = (long - short) / height
    if abs(turn) < 1e-9:
        return np.column_stack([along, np.full(count, up)])
    radius = long / turn
    own = radius - up
    angle = along / own
    return np.column_stack([own * np.sin(angle), radius - own * np.cos(angle)])
