"""The part: an outline to be laid on cloth, and how it may lie."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

ONE_WAY = (0.0,)
TWO_WAYS = (0.0, 180.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """Where the pattern of a cloth must meet a part.

    at : a point of the part [mm, grain coordinates]. phase : where in the repeat that point lies, along and
    across [mm].
    """

    at: tuple[float, float]
    phase: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Part:
    """One outline to lay, as often as ``count`` says.

    outline : (n, 2) cut line [mm] in grain coordinates: x along the roll, the way the nap runs, y across;
    simple, first point not repeated. mirrored : how many of the copies lie turned over.
    turns : angles it may be turned by [deg], None for any. quality : of a hide, the poorest zone it may
    touch: 1 is the best, 0 takes any. on_fold : its straight edge at y = 0 lies on the fold of the cloth.
    match : where the pattern of the cloth must meet it. cuts : slugs of the pieces that one copy gives.
    """

    slug: str
    label: str
    outline: Points
    count: int = 1
    mirrored: int = 0
    turns: tuple[float, ...] | None = TWO_WAYS
    quality: int = 0
    on_fold: bool = False
    match: Match | None = None
    cuts: tuple[str, ...] = field(default=())

    @property
    def area(self) -> float:
        """Area of one copy [mm²]."""
        x, y = self.outline.T
        return 0.5 * abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1)))


def posed(outline: Points, *, turn: float, mirrored: bool, x: float, y: float) -> Points:
    """An outline as it lies: turned over about the grain, turned by ``turn`` [deg], then moved, (n, 2)."""
    flat = outline * [1.0, -1.0] if mirrored else outline
    quarter = turn / 90.0
    if quarter == round(quarter):
        # Quarter turns are exact; cosines of them are not.
        cosine, sine = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(quarter) % 4]
    else:
        cosine, sine = float(np.cos(np.radians(turn))), float(np.sin(np.radians(turn)))
    turned: Points = flat @ np.array([[cosine, sine], [-sine, cosine]]) + [x, y]
    return turned


def pieces_cut(parts: Iterable[Part]) -> Counter[str]:
    """How many of each piece the parts give."""
    total: Counter[str] = Counter()
    for part in parts:
        for piece in part.cuts or (part.slug,):
            total[piece] += part.count
    return total
