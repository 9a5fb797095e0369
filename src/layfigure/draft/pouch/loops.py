"""Belt loops of a pouch, as many and as long as its back has room for, and what else is bought for it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from layfigure.draft.belt.parts import loop_length
from layfigure.draft.flat_edges import grain, inner, rectangle
from layfigure.draft.pouch.options import PouchOptions
from layfigure.draft.pouch.shell import PouchPart
from layfigure.draft.sewn_practice import SewnPractice
from layfigure.errors import DraftError
from layfigure.materials.cloth import Cloth
from layfigure.piece.item import Item
from layfigure.piece.piece import EdgeRole, InnerLine, Total

LOOP_EASE = 6.0
"""Room for the belt, flat [mm] (common practice, no source)."""
TAB, LEAST_TAB, LEAST_WIDTH = 20.0, 10.0, 8.0
"""What is sewn down of a loop's end, and the least of it and of its width that hold [mm] (common practice,
no source)."""
FREE = 5.0
"""Left of the back beyond a loop, and between two of them [mm] (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BeltLoops:
    """The belt loops of one back.

    count, width : how many, and how wide each. tab : sewn down of either end. free : between what is sewn.
    top : where the upper end of a loop is sewn, from the foot of the back. below : the pouch hangs below the
    belt, and both ends of a loop are sewn on one place. told : where it is not as asked, in words. Lengths
    in mm.
    """

    count: int
    width: float
    tab: float
    free: float
    top: float
    below: bool
    told: tuple[str, ...] = ()

    def rise(self, belt_width: float) -> float:
        """Height of the top of the back above the middle of a belt [mm]."""
        return FREE + (0.5 * (belt_width - self.free) if self.below else self.tab + 0.5 * self.free)


def fit_loops(
    options: PouchOptions, cloth: Cloth, width: float, height: float, where: str
) -> BeltLoops | None:
    """Loops that a back, or the outer part of a roll, has room for; None where none are asked for.

    width, height : of where they go [mm]. A back too low for loops sewn down above and below the belt gets
    loops right round it. Raises DraftError where no loop can be sewn on at all.
    """
    if options.loops == 0:
        return None
    wide, high = width - 2.0 * FREE, height - 2.0 * FREE
    if wide < LEAST_WIDTH or high < LEAST_TAB:
        raise DraftError(
            "it is too small to sew a belt loop on.",
            where=where,
            advice="Write loops = 0 and hang it by a strap, or make it larger: inside_width, inside_height.",
        )
    flat = options.belt_width + 2.0 * options.belt_thickness + LOOP_EASE
    too_low = high < flat + 2.0 * LEAST_TAB
    if too_low and options.hangs == "on_belt":
        raise DraftError(
            "it is too low for loops sewn down above and below its belt.",
            where=where,
            advice="Leave hangs unsaid, so that it hangs below the belt, or make it higher by inside_height.",
        )
    count = max(1, min(options.loops, int((wide + FREE) / (options.loop_width + FREE))))
    each = min(options.loop_width, wide)
    told = []
    if count < options.loops or each < options.loop_width:
        loops = "one belt loop" if count == 1 else f"{count} belt loops"
        told.append(f"There is room for {loops}, {each:.0f} mm wide, where they are sewn on.")
    below = too_low or options.hangs == "below_belt"
    if below:
        told.append(
            f"{'It is too low for loops sewn down above and below the belt, so it' if too_low else 'It'} "
            "hangs below the belt: each loop goes right round it, both ends sewn on one over the other."
        )
        if count == 1:
            told.append("By one loop it turns and swings: tack its lower edge to what is worn beneath.")
        tab = min(TAB, high)
        # Both ends pass from what is sewn to the top edge of the back before they go round the belt.
        free = loop_length(options.belt_width, options.belt_thickness, cloth) + 2.0 * FREE
        top = height - FREE
    else:
        tab = min(TAB, 0.5 * (high - flat))
        free, top = flat, height - FREE - tab
    return BeltLoops(count=count, width=each, tab=tab, free=free, top=top, below=below, told=tuple(told))


def loop_part(loops: BeltLoops, options: PouchOptions, practice: SewnPractice) -> PouchPart:
    """A strap sewn down above and below the belt, or with both its ends below it."""
    long, wide = loops.free + 2.0 * loops.tab, loops.width
    side: tuple[EdgeRole, float] = ("opening", practice.edge)
    lines = [
        inner("stitch", (x, 0.0), (x, wide), "sew down to the end") for x in (loops.tab, long - loops.tab)
    ]
    how = "Sew each end down in a box, not in one row."
    if loops.below:
        lines.append(inner("fold", (0.5 * long, 0.0), (0.5 * long, wide), "over the top of the belt"))
        how = "Fold it over the belt and sew both ends down in one box, one over the other."
    return PouchPart(
        name="loop",
        label="belt loop",
        edges=rectangle(long, wide, bottom=side, right=("seam", 0.0), top=side, left=("seam", 0.0)),
        grainline=grain((0.2 * long, 0.3 * wide), (0.8 * long, 0.3 * wide)),
        totals=(
            Total(what="whole length", length=long),
            Total(what="width", length=wide),
            Total(what="between the stitched ends", length=loops.free),
        ),
        note=(f"A belt {options.belt_width:g} mm wide passes. {how}",),
        lines=tuple(lines),
        count=loops.count,
    )


def loop_lines(loops: BeltLoops | None, first: float, last: float) -> tuple[InnerLine, ...]:
    """Where loops are sewn down on a piece, evenly over the room between two places across it [mm]."""
    if loops is None:
        return ()
    half = 0.5 * loops.width
    start, end = first + FREE + half, last - FREE - half
    heights = (loops.top, loops.top - (loops.tab if loops.below else loops.free))
    words = "belt loop, both ends" if loops.below else "belt loop"
    lines = []
    for number in range(loops.count):
        share = 0.5 if loops.count == 1 else number / (loops.count - 1)
        x = start + share * (end - start)
        lines += [
            inner("placement", (x - half, y), (x + half, y), words if y == loops.top else "") for y in heights
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
