"""What is verified of a strap: how it lies, whether it stays, what it bears."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from shapely import Polygon

from layfigure.draft.registry import Check
from layfigure.draft.strap.fasten import SNAP_HOLDS
from layfigure.draft.strap.keepers import LOOP_HOLDS, Keeper, beyond_friction, sideways_share
from layfigure.draft.strap.passes_at import nearest_low
from layfigure.draft.strap.pieces import StrapMake, StrapPart
from layfigure.draft.strap.route import SHARP, StrapRun
from layfigure.draft.strap.slots import STILL_OVER
from layfigure.errors import DraftError

NARROW, WIDE, LIGHT = 20.0, 25.0, 0.5
"""A strap is 20 mm wide under half a kilogram, 25 to 40 above (common practice, no source) [mm, kg]."""

EDGES_OFF = 15.0
"""A strap's edges standing further off than this look loose [mm] (common practice, no source)."""

MOST_POKE = 1.0
"""The body stands out of a strap's middle line by no more than this [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """How a strap lies. off : how far its edges stand off, neutral : height of its middle line [mm].
    pull : in it, moving [N]. keepers : what holds it aside.
    """

    run: StrapRun
    off: float
    neutral: float
    pull: float
    keepers: tuple[Keeper, ...]

    @property
    def poke(self) -> float:
        """How far the body stands out of its middle line [mm]."""
        return max(0.0, self.neutral - float(self.run.gap.min()))

    @property
    def turn(self) -> float:
        """The sharpest turn sideways [degrees]."""
        return max((abs(math.degrees(held.turn)) for held in self.run.held), default=0.0)

    @property
    def slips(self) -> float:
        """Sideways pull over what holds it."""
        return sideways_share(self.run, self.keepers, self.pull)

    @property
    def lies_well(self) -> bool:
        """Whether every check of it passes."""
        return (
            self.off <= EDGES_OFF
            and self.poke <= MOST_POKE
            and self.turn <= round(math.degrees(SHARP))
            and self.slips <= 1.0
        )


def way_checks(way: Way, at: Callable[[float], Way] | None = None, *, low: float = 0.0) -> list[Check]:
    """Of a strap's way. at : the same strap with another lowest place, where it goes across the body by that;
    low : station of its own.
    """

    def elsewhere(*, lower: bool) -> float | None:
        return None if at is None else nearest_low(low, lambda tried: at(tried).lies_well, lower=lower)

    kept = " and what is set there" if way.keepers else ""
    return [
        Check.at_most(
            what="how far its edges stand off, but for 5 % of them",
            unit="mm",
            value=way.off,
            limit=EDGES_OFF,
            advice="" if way.off <= EDGES_OFF else _off_advice(way, elsewhere(lower=False)),
        ),
        Check.at_most(
            what="how far the body stands out of its middle line",
            unit="mm",
            value=way.poke,
            limit=MOST_POKE,
            advice="Mark the line with more points.",
        ),
        Check.at_most(
            what="how sharply it turns sideways where it is held",
            unit="degrees",
            value=way.turn,
            limit=round(math.degrees(SHARP)),
            advice="State it as two straps that meet in a ring there.",
        ),
        Check.at_most(
            what=f"sideways pull where it is held, over what friction{kept} holds",
            value=way.slips,
            limit=1.0,
            advice="" if way.slips <= 1.0 else _slip_advice(way, elsewhere(lower=True)),
        ),
    ]


def _off_advice(way: Way, higher: float | None) -> str:
    """Edges of a strap whose middle spans a hollow stand off however narrow it is."""
    if float(np.percentile(way.run.gap - way.neutral, 95)) < 0.5 * EDGES_OFF:
        return "Make it narrower."
    if higher is not None:
        return f"It spans the hollow above the hip: let it pass higher, low = {higher:g}."
    return "It spans a hollow: move its line out of it, or pad the hollow."


def _slip_advice(way: Way, lower: float | None) -> str:
    """A lower way turns less; else it is held by what takes the pull that friction leaves."""
    most = max(beyond_friction(held, way.pull) for held in way.run.held)
    snapped = [keeper.by == "snap" for keeper in way.keepers]
    if most > LOOP_HOLDS:
        return "Nothing on cloth holds that: state it as two straps that meet in a ring there."
    hold = "held_by = 'loop'"
    if not snapped and most <= SNAP_HOLDS:
        hold = "held_by = 'snap' or held_by = 'loop'"
    held = f"old it there on the layer below, {hold}."
    return f"H{held}" if lower is None else f"Let it pass lower on the hip, low = {lower:g}, or h{held}"


def part_checks(parts: Sequence[StrapPart], make: StrapMake, mass: float | None) -> list[Check]:
    """Of its parts. mass : that it bears [kg], if known. Raises DraftError for plates beyond its end."""
    crossed = sum(
        not Polygon(np.concatenate([edge.curve[:-1] for edge in part.edges])).is_valid for part in parts
    )
    checks = [
        Check(
            what="how many outlines cross themselves",
            value=float(crossed),
            limit=0.0,
            passed=crossed == 0,
            advice="" if crossed == 0 else "Make it narrower.",
        )
    ]
    if mass is not None:
        least = WIDE if mass >= LIGHT else NARROW
        checks.append(
            Check.at_least(
                what="its width, for the weight it bears",
                unit="mm",
                value=make.width,
                limit=least,
                advice=f"Make it {least:g} mm wide or wider.",
            )
        )
    row = make.slots
    if row is not None:
        room = parts[0].worn
        if row.reach > room:
            raise DraftError(
                f"{row.count} plates reach further than their strap is long.",
                advice="Take fewer or lower plates, more overlap, or fasten the strap further along.",
            )
        checks.append(
            Check.at_least(
                what="overlap left when one plate is up and the next one down",
                unit="mm",
                value=row.least_overlap,
                limit=STILL_OVER,
                advice="Take less travel or more overlap, or the plates catch behind each other.",
            )
        )
    return checks
