"""What a hanging piece hangs by: loops, a channel, hook and loop, or a seam."""

from __future__ import annotations

import numpy as np

from layfigure.draft.flat_edges import grain, inner, rectangle
from layfigure.draft.hanging.options import HangingOptions
from layfigure.draft.sewn_practice import SewnPractice
from layfigure.piece.item import Item
from layfigure.piece.piece import EdgeRole, InnerLine, Piece, Total

LOOP_EASE = 10.0
"""Room for the belt inside a loop, flat [mm] (common practice, no source)."""
LOOP_WIDTH = 40.0
CHANNEL_EASE = 6.0
TURN_IN = 10.0
TAPE = 25.0
"""Width of hook and loop [mm]."""
ROD_BEYOND = 40.0


def loop_length(options: HangingOptions, practice: SewnPractice) -> float:
    """Cut length of a loop: once round the belt with room, and a seam at either end [mm]."""
    return 2.0 * (options.carrier_width + options.carrier_thickness + LOOP_EASE) + 2.0 * practice.seam


def channel_allowance(options: HangingOptions) -> float:
    """What is turned over at the top to make a channel: half the rod's girth, room, and a turning [mm]."""
    return options.carrier_width + options.carrier_thickness + CHANNEL_EASE + TURN_IN


def top_finish(options: HangingOptions, practice: SewnPractice) -> tuple[EdgeRole, float]:
    """Role and allowance of the top edge."""
    if options.carrying == "channel":
        return "hem", channel_allowance(options)
    return "seam", max(practice.seam, practice.edge)


def loop_places(options: HangingOptions, width: float) -> np.ndarray:
    """Middles of the loops across the top [mm]."""
    half = 0.5 * width - 0.5 * LOOP_WIDTH
    return np.linspace(-half, half, options.loops)


def carry_lines(
    options: HangingOptions, width: float, rise: np.ndarray, across: np.ndarray
) -> list[InnerLine]:
    """Where loops or tape are sewn, drawn on the piece."""
    lines = []
    if options.carrying == "loops":
        for place in loop_places(options, width):
            y = float(np.interp(place, across, rise))
            lines += [
                inner("placement", (place + side, y), (place + side, y - 25.0), label)
                for side, label in ((-0.5 * LOOP_WIDTH, "loop"), (0.5 * LOOP_WIDTH, ""))
            ]
    if options.carrying == "hook_and_loop":
        lines.append(
            InnerLine(
                kind="placement", curve=np.column_stack([across, rise - TAPE]), label="hook and loop above"
            )
        )
    return lines


def loop_piece(options: HangingOptions, base: Piece, practice: SewnPractice) -> Piece:
    """A loop, folded lengthwise in half and sewn as a tube."""
    long = loop_length(options, practice)
    wide = 2.0 * LOOP_WIDTH
    return_in: tuple[EdgeRole, float] = ("opening", practice.seam)
    return Piece(
        slug=f"{base.slug}_loop",
        label=f"{base.label}, loop",
        kind=base.kind,
        cloth=base.cloth,
        edges=rectangle(long, wide, bottom=return_in, right=("seam", 0.0), top=return_in, left=("seam", 0.0)),
        grainline=grain((0.15 * long, 0.25 * wide), (0.85 * long, 0.25 * wide)),
        totals=(
            Total(what="length, seams at both ends within", length=long),
            Total(what="width, unfolded", length=wide),
            Total(what="girth it passes, sewn", length=long - 2.0 * practice.seam),
        ),
        verdict=base.verdict,
        count=options.loops,
        lines=(inner("fold", (0.0, LOOP_WIDTH), (long, LOOP_WIDTH), "fold line"),),
        note=(
            "Fold lengthwise, outside in; sew the long edges, turn, press.",
            "Fold across and sew both ends into the top edge, over its marks.",
            f"A belt {options.carrier_width:g} mm wide passes.",
        ),
        cautions=base.cautions,
        layer=base.layer,
        edition=base.edition,
    )


def carry_items(options: HangingOptions, width: float) -> tuple[Item, ...]:
    """What is bought to hang it by."""
    if options.carrying == "hook_and_loop":
        return (
            Item(
                slug="hook_and_loop_25mm",
                name="hook and loop, 25 mm wide",
                length=width,
                use="hook on the belt, loop behind the top edge: pulled along, not peeled",
            ),
        )
    if options.carrying == "channel":
        return (
            Item(
                slug=f"rod_{options.carrier_width:g}mm".replace(".", "_"),
                name=f"rod or slat, {options.carrier_width:g} x {options.carrier_thickness:g} mm",
                length=width + 2.0 * ROD_BEYOND,
                use="through the channel; round or cap its ends",
            ),
        )
    return ()


def carry_note(options: HangingOptions) -> tuple[str, ...]:
    """How it is hung, in words."""
    told = {
        "loops": (
            f"Baste {options.loops} loops to the top edge on their marks, outside to outside.",
            "Face the top edge, or turn it in, over their ends.",
        ),
        "channel": (
            "Turn the top over on the stitch line, its raw edge under, and sew it down as a channel.",
            "Leave both ends of the channel open.",
        ),
        "hook_and_loop": (
            "Face or turn in the top edge; sew the loop side along it behind, the hook side to the belt.",
        ),
        "sewn": ("Sew the top edge into the seam or onto the edge it hangs from.",),
    }
    return told[options.carrying]
