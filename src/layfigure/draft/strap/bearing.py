"""What each strap of a harness bears, in numbers and in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.strap.load import GRAVITY, MOVING, branch_pulls, share_words, support_shares
from layfigure.draft.strap.route import StrapRun

Points = NDArray[np.float64]

ASKEW = 20.0
"""A load whose middle lies further than this outside the ends it hangs from swings visibly [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What one strap bears. mass : [kg]. pull : greatest at one end, at rest [N]. notes : in words."""

    mass: float
    pull: float
    notes: tuple[str, ...]


def loads_on(
    runs: Sequence[StrapRun], weight: Points | None, *, mass: float | None, moving: str
) -> list[Load]:
    """Shares of a mass, first over the straps and then over the two ends that meet at a ring.

    weight : (n, 3) places of what hangs, None for evenly below the straps' low ends. mass : [kg], if known.
    moving : see ``MOVING``.
    """
    lowest = np.array([_low_end(run) for run in runs])
    centre = (lowest if weight is None else weight).mean(axis=0)
    shares, askew = support_shares(lowest, centre)
    known = mass or 0.0
    loads = []
    for run, share in zip(runs, shares, strict=True):
        notes = [] if len(runs) == 1 else [f"{run.name}: carries {share_words(float(share))}."]
        pull = float(share)
        if run.rings:
            out = np.stack([run.points[1] - run.points[0], run.points[-2] - run.points[-1]])
            pulls = branch_pulls(out / np.linalg.norm(out, axis=1, keepdims=True), run.outward[0])
            whole = max(float(pulls.sum()), 1e-9)
            first, second = (share_words(float(p) / whole) for p in pulls)
            front = run.points[2, 1] < run.points[-3, 1]
            one, two = ("front", "back") if front else ("back", "front")
            notes.append(f"{run.name}: at the ring the {one} end takes {first}, the {two} end {second}.")
            pull *= float(pulls.max())
        if mass is not None:
            notes.append(
                f"{run.name}: built for {MOVING[moving]:g} times the weight at rest, "
                f"{MOVING[moving] * pull * known * GRAVITY:.0f} N at its most loaded end."
            )
        if weight is not None and askew > ASKEW:
            notes.append(
                f"The load's middle lies {askew:.0f} mm outside the ends it hangs from: it will swing round "
                "until it hangs below them. Move an end, or add a strap."
            )
        loads.append(Load(mass=float(share) * known, pull=pull * known * GRAVITY, notes=tuple(notes)))
    return loads


def _low_end(run: StrapRun) -> Points:
    """Where a strap's load hangs: at its ring, at the lowest place of a loop, at the lower of two ends."""
    places = run.points if run.loop else run.points[[0, -1]]
    lowest: Points = run.points[0] if run.rings else places[int(np.argmin(places[:, 2]))]
    return lowest
