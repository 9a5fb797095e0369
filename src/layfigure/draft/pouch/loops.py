"""Belt loops of a pouch, and what else is bought for it."""

from __future__ import annotations

import math

from layfigure.draft.flat_edges import grain, inner, rectangle
from layfigure.draft.pouch.options import PouchOptions
from layfigure.draft.pouch.shell import PouchPart
from layfigure.draft.sewn_practice import SewnPractice
from layfigure.piece.item import Item
from layfigure.piece.piece import EdgeRole, InnerLine, Total

LOOP_EASE = 6.0
"""Room for the belt, flat [mm], and what is sewn down at either end (common practice, no source)."""
TAB = 20.0


def loop_span(options: PouchOptions) -> float:
    """Between the two rows that hold a loop: the belt's width, its thickness twice, and room [mm]."""
    return options.belt_width + 2.0 * options.belt_thickness + LOOP_EASE


def loop_part(options: PouchOptions, practice: SewnPractice) -> PouchPart:
    """A strap sewn down above and below the belt."""
    long, wide = loop_span(options) + 2.0 * TAB, options.loop_width
    side: tuple[EdgeRole, float] = ("opening", practice.edge)
    lines = tuple(inner("stitch", (x, 0.0), (x, wide), "sew down to the end") for x in (TAB, long - TAB))
    return PouchPart(
        name="loop",
        label="belt loop",
        edges=rectangle(long, wide, bottom=side, right=("seam", 0.0), top=side, left=("seam", 0.0)),
        grainline=grain((0.2 * long, 0.3 * wide), (0.8 * long, 0.3 * wide)),
        totals=(
            Total(what="whole length", length=long),
            Total(what="width", length=wide),
            Total(what="between the stitched ends", length=loop_span(options)),
        ),
        note=(f"A belt {options.belt_width:g} mm wide passes. Sew each end down in a box, not in one row.",),
        lines=lines,
        count=options.loops,
    )


def loop_lines(options: PouchOptions, first: float, last: float, top: float) -> tuple[InnerLine, ...]:
    """Where loops go on a piece, evenly between two places across it, their upper ends at ``top`` [mm]."""
    if options.loops == 0:
        return ()
    span, half = loop_span(options), 0.5 * options.loop_width
    lines = []
    for number in range(options.loops):
        share = 0.5 if options.loops == 1 else number / (options.loops - 1)
        x = first + share * (last - first)
        lines += [
            inner("placement", (x - half, y), (x + half, y), "belt loop" if y == top else "")
            for y in (top, top - span)
        ]
    return tuple(lines)


def closing_items(options: PouchOptions, width: float, around: float) -> tuple[Item, ...]:
    """What closes it. around : of a roll, where a tie goes round [mm]."""
    closing = options.closing
    if closing == "snap":
        count = 1 if width < 120.0 else 2
        return (Item(slug="snap", name="snap, bag weight", count=count, use="flap to front"),)
    if closing == "buckle":
        return (Item(slug="buckle_20mm", name="buckle, 20 mm", use="flap to front, on a 20 mm strap"),)
    if closing == "hook_and_loop":
        long = min(width, 80.0)
        return (
            Item(slug="hook_and_loop_25mm", name="hook and loop, 25 mm", length=long, use="flap to front"),
        )
    if closing == "tie":
        long = 2.0 * math.ceil(around) + 400.0 if around else 600.0
        return (Item(slug="tie", name="tape or cord to tie", length=long, use="its middle sewn to the edge"),)
    return ()
