"""Whether two colours match, in words, by published thresholds, and whether that can be said at all."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.colour.difference import ciede2000

Array = NDArray[np.float64]
Answer = Literal["match", "no match", "not sure"]

LIGHT_SKIN, DARK_SKIN = 65.0, 40.0
"""Lightness of typical light and dark skin (TRADE.md section 10, from memory); between them we interpolate
what is seen, which is ours and not published."""


UNLIKE = 1.4
"""Times as far off as a camera's usual misfit makes it, for two that look alike and are of different stuff: a
chart's own patches do not tell how a camera sees unlike dyes of one colour (benchmarks/colour.py)."""


@dataclass(frozen=True, slots=True)
class Threshold:
    """A published difference [CIEDE2000], and whose."""

    value: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What counts for one pair: from where on it is seen, and no longer accepted."""

    seen: Threshold
    accepted: Threshold


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """difference : CIEDE2000, the best answer. sure_to : how far off it may be, 95 of 100. middle : what
    half of the colours that the two may have lie apart by. answer : match, no match, or not sure. words
    : what the difference looks like.
    """

    difference: float
    sure_to: float
    middle: float
    answer: Answer
    words: str

    @property
    def low(self) -> float:
        """The least it may be."""
        return max(0.0, self.difference - self.sure_to)

    @property
    def high(self) -> float:
        """The most it may be."""
        return self.difference + self.sure_to


def limits_for(*, skin: bool, lightness: float) -> Limits:
    """Skin's thresholds for a pair with skin in it, cloth's for another. lightness : L* of the skin."""
    known = thresholds()
    if not skin:
        return Limits(seen=known["cloth_seen"], accepted=known["cloth_accepted"])
    light, dark = known["skin_seen_light"], known["skin_seen_dark"]
    share = float(np.clip((LIGHT_SKIN - lightness) / (LIGHT_SKIN - DARK_SKIN), 0.0, 1.0))
    source = light.source if share < 0.5 else dark.source
    if 0.0 < share < 1.0:
        source += f" ({light.value:g} on light and {dark.value:g} on dark skin; in between by lightness)"
    return Limits(
        seen=Threshold(light.value + share * (dark.value - light.value), source),
        accepted=known["skin_accepted"],
    )


def judged(
    one: Array, two: Array, draws_one: Array, draws_two: Array, limits: Limits, *, unlike: bool = False
) -> Verdict:
    """The verdict on two colours (3,), each of which may be any of its draws (n, 3) instead, drawn together.

    Where the two may be alike, the difference may be off by as much as the step between them may be, either
    way: the draws' own differences would say that two colours never match, since shaken they lie further
    apart than still. Where they cannot be alike, the draws' differences say how far off it may be. unlike :
    both were seen by a camera and are of different stuff.
    """
    difference = float(ciede2000(one, two))
    apart = ciede2000(draws_one, draws_two)
    shaken = (draws_one - draws_two) - (one - two)
    step = float(np.quantile(ciede2000(one + shaken, one), 0.95)) * (UNLIKE if unlike else 1.0)
    sure_to = step if difference < step else float(np.quantile(np.abs(apart - difference), 0.95))
    accepted = limits.accepted.value
    # A pair is called only where the spread leaves no doubt on which side of what is accepted it lies.
    answer: Answer = "not sure"
    if difference + sure_to <= accepted:
        answer = "match"
    elif difference - sure_to > accepted:
        answer = "no match"
    return Verdict(
        difference=difference,
        sure_to=sure_to,
        middle=float(np.median(apart)),
        answer=answer,
        words=looks(difference, limits),
    )


def looks(difference: float, limits: Limits) -> str:
    """What a difference looks like."""
    known = thresholds()
    if difference <= limits.seen.value:
        return "no difference that can be seen"
    if difference <= limits.accepted.value:
        return "a difference that a close look finds, and most accept"
    if difference <= known["side_by_side"].value:
        return "a difference seen where the two touch"
    if difference <= known["different"].value:
        return "a difference seen side by side at a glance"
    return "two different colours"


@cache
def thresholds() -> dict[str, Threshold]:
    """Every threshold by use, each with its source."""
    text = files("layfigure.colour").joinpath("data/thresholds.toml").read_text(encoding="utf-8")
    return {row["use"]: Threshold(row["value"], row["source"]) for row in tomllib.loads(text)["thresholds"]}
