"""A printed part for one wearer: its scale, and where it is cut so that each part fits on the printer."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

AXES = ("width", "depth", "height")
_ENDS = {"width": ("left", "right"), "depth": ("front", "back"), "height": ("lower", "upper")}


@dataclass(frozen=True, slots=True, kw_only=True)
class Split:
    """How a part is divided: number of parts along width, depth and height, and its whole size [mm]."""

    counts: tuple[int, int, int]
    size: tuple[float, float, float]

    @property
    def parts(self) -> int:
        """How many parts in all."""
        return math.prod(self.counts)

    def cuts(self) -> tuple[tuple[str, tuple[float, ...]], ...]:
        """For every axis that is cut: its name, and the places from its first end [mm]."""
        return tuple(
            (axis, tuple(whole * k / count for k in range(1, count)))
            for axis, whole, count in zip(AXES, self.size, self.counts, strict=True)
            if count > 1
        )

    def names(self) -> tuple[str, ...]:
        """A name for each part, by where it lies: ``upper left``; one undivided part is ``whole``."""
        if self.parts == 1:
            return ("whole",)
        words = [
            [_place(axis, k, count) for k in range(count)]
            for axis, count in zip(AXES, self.counts, strict=True)
        ]
        return tuple(
            " ".join(word for word in (upright, across, along) if word)
            for across, along, upright in itertools.product(*words)
        )


def _place(axis: str, number: int, count: int) -> str:
    if count == 1:
        return ""
    first, last = _ENDS[axis]
    if count == 2:
        return (first, last)[number]
    if count == 3:
        return (first, "middle", last)[number]
    return f"{axis} {number + 1}"


def scale_for(measure: float, model: float, clearance: float, *, girth: bool) -> float:
    """Factor that makes a model fit: the wearer's measure with room, over what the model fits. All in mm.

    A girth grows by a whole turn of the clearance, a length by the clearance at both ends.
    """
    room = 2.0 * math.pi * clearance if girth else 2.0 * clearance
    return (measure + room) / model


def fewest_parts(size: Sequence[float], bed: Sequence[float], margin: float) -> Split:
    """The split with the fewest parts, the part turned on the bed as suits it best, square to it.

    margin : of the bed kept free all round, and of its height above [mm]. Raises ValueError for a bed that
    its margin uses up.
    """
    room = (bed[0] - 2.0 * margin, bed[1] - 2.0 * margin, bed[2] - margin)
    if min(room) <= 0.0:
        raise ValueError("the margin leaves nothing of the bed")
    best: tuple[int, int, int] | None = None
    for turned in itertools.permutations(room):
        counts = tuple(max(1, math.ceil(s / r - 1e-9)) for s, r in zip(size, turned, strict=True))
        if best is None or math.prod(counts) < math.prod(best):
            best = (counts[0], counts[1], counts[2])
    assert best is not None
    return Split(counts=best, size=(size[0], size[1], size[2]))
