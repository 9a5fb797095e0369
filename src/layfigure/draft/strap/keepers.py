"""What holds a strap aside where friction does not: snaps, or a loop, on the layer below."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from layfigure.draft.strap.fasten import SNAP_HOLDS
from layfigure.draft.strap.load import RUBBING, sideways, slips
from layfigure.draft.strap.route import Held, StrapRun
from layfigure.draft.strap.shape import STRAIGHT
from layfigure.errors import DraftError
from layfigure.piece.item import Item

HeldBy = Literal["friction", "snap", "loop"]

HAND_TIGHT = 20.0
"""Pull in a strap that bears nothing, drawn snug by hand [N] (our assumption)."""

SNAP_PITCH = 20.0
"""From the middle of one snap to the next [mm] (common practice, no source)."""

ROWS = 2
"""Of snaps at one place, across the strap: more stiffen it where it has to bend."""

LOOP_HOLDS = 100.0
"""Sideways, by two rows of stitches on either side in cloth [N] (common practice, no source)."""

LOOP_WIDTH, LOOP_PLAY, LOOP_TURNED = 20.0, 3.0, 15.0
"""Webbing of a loop, its room round the strap, and what is turned under at either end [mm] (common
practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Keeper:
    """What holds a strap at one place. along : from the run's start [mm]. count : snaps, 1 for a loop."""

    place: str
    along: float
    by: HeldBy
    count: int

    @property
    def holds(self) -> float:
        """Sideways pull that it takes [N]. Snaps by their opening force: sideways they hold more."""
        return LOOP_HOLDS if self.by == "loop" else self.count * SNAP_HOLDS


def keepers_of(run: StrapRun, by: HeldBy, *, pull: float, width: float) -> tuple[Keeper, ...]:
    """A keeper at every place where the strap is held aside, of as many snaps as it takes and has room for.

    pull : in the strap, moving [N]. width : of the strap [mm].
    Raises DraftError where the strap is held aside nowhere.
    """
    if by == "friction":
        return ()
    aside = [held for held in run.held if abs(held.turn) >= STRAIGHT]
    if not aside:
        raise DraftError(
            "the strap turns nowhere, so nothing has to hold it aside.",
            advice="Leave out held_by, or give its line a sharp point where it is held.",
        )
    room = ROWS * abreast(width)
    return tuple(
        Keeper(
            place=held.name,
            along=held.along,
            by=by,
            count=1
            if by == "loop"
            else min(room, max(1, math.ceil(beyond_friction(held, pull) / SNAP_HOLDS))),
        )
        for held in aside
    )


def abreast(width: float) -> int:
    """Snaps side by side across a strap of a width [mm]."""
    return max(1, int(width // SNAP_PITCH))


def beyond_friction(held: Held, pull: float) -> float:
    """Sideways pull that friction leaves to a keeper, in a strap drawn snug or loaded [N]."""
    return max(0.0, sideways(held.turn) - RUBBING * abs(held.wrap)) * max(pull, HAND_TIGHT)


def sideways_share(run: StrapRun, keepers: tuple[Keeper, ...], pull: float) -> float:
    """Greatest sideways pull over what friction and keepers hold: above 1 it slides."""
    drawn = max(pull, HAND_TIGHT)
    kept = {keeper.along: keeper.holds for keeper in keepers}
    return max(
        (slips(held.turn, held.wrap, kept=kept.get(held.along, 0.0) / drawn) for held in run.held),
        default=0.0,
    )


def keeper_items(keepers: tuple[Keeper, ...], *, width: float, thickness: float) -> list[Item]:
    """Snaps, or webbing for loops. width, thickness : of the strap [mm]."""
    items = []
    for keeper in keepers:
        if keeper.by == "snap":
            use = f"hold the strap at the {keeper.place}, the other halves on the layer below"
            items.append(Item(slug="snap", name="snap", count=keeper.count, use=use))
        else:
            items.append(
                Item(
                    slug=f"webbing_{LOOP_WIDTH:.0f}mm",
                    name=f"webbing, {LOOP_WIDTH:.0f} mm wide",
                    length=loop_length(width, thickness),
                    use=f"a loop over the strap at the {keeper.place}, sewn to the layer below at both ends",
                )
            )
    return items


def loop_length(width: float, thickness: float) -> float:
    """Of webbing for one loop: over the strap, and turned under on either side [mm]."""
    return width + 2.0 * thickness + LOOP_PLAY + 2.0 * LOOP_TURNED


def keeper_note(keepers: tuple[Keeper, ...]) -> list[str]:
    """How they are set."""
    if not keepers:
        return []
    places = " and ".join(dict.fromkeys(keeper.place for keeper in keepers))
    if keepers[0].by == "loop":
        how = (
            f"sew a loop of webbing over it, its ends turned under {LOOP_TURNED:g} mm, by two rows of "
            "stitches on either side. The strap slides through it lengthwise and cannot slip sideways."
        )
    else:
        how = "set the snaps at the rings drawn on the strap, their other halves on the layer below."
    return [
        f"Put it on over the layer below and mark there where it lies at the {places}; {how}",
        "The layer below takes that pull: back it there with a patch of firm cloth.",
    ]
